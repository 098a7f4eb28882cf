"""Where the cutter cannot go: gaps it cannot enter, counters that vanish, inner corners, slivers."""

import functools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from schedule2sign.geometry.rings import polygons_of
from schedule2sign.model.bench import CutWidth
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.process import Process
from schedule2sign.model.shape import Outline, Ring, SignLayout
from schedule2sign.production.amounts import length_text
from schedule2sign.production.cutwidth import Waste, judge_waste
from schedule2sign.production.limits import load_limits
from schedule2sign.production.raised import Part, fill_rings, gaps_between, name_of, raised_parts

_ARC_SEGMENTS = 16
_SEEN = 0.001  # share of a letter below which a round corner is not worth naming
_FINE_MM = 0.01  # inscribed circles are found to this


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """What a round cutter makes of one part.

    Attributes:
        corner_share: what it leaves in inner corners, over the part's area.
        vanished: counters it cannot enter.
        closed: notches or splits that would grow shut.
        thin: strokes too thin to survive, with the path off by its error on both sides.
        counters_mm: widest circle in each counter.
    """

    corner_share: float
    vanished: int
    closed: int
    thin: int
    counters_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SignReach:
    """The worst of a sign's parts."""

    corner_share: float
    worst_part: str
    corners: tuple[tuple[str, float], ...]
    least_gap_mm: float | None
    flags: tuple[Flag, ...]


def measure_reach(rings: Sequence[Ring], offset_mm: float, path_error_mm: float) -> Reach:
    """What the cutter leaves of one part."""
    shape = fill_rings(rings)
    grown = shape.buffer(offset_mm, quad_segs=_ARC_SEGMENTS)
    left = grown.buffer(-offset_mm, quad_segs=_ARC_SEGMENTS).difference(shape).area
    # An entry must stay open with the path off by its error on both sides.
    tight = shape.buffer(offset_mm + path_error_mm, quad_segs=_ARC_SEGMENTS)
    counters = [shapely.Polygon(hole) for part in polygons_of(shape) for hole in part.interiors]
    vanished = [c for c in counters if c.buffer(-offset_mm - path_error_mm, quad_segs=_ARC_SEGMENTS).is_empty]
    # Counters that stay open keep one hole each (or break into several); a hole more is a notch that shut.
    expected_parts, expected_holes = (
        len(polygons_of(shape)),
        sum(len(polygons_of(c.buffer(-offset_mm - path_error_mm, quad_segs=_ARC_SEGMENTS))) for c in counters),
    )
    parts, holes = _count(tight)
    return Reach(
        corner_share=left / shape.area if shape.area else 0.0,
        vanished=len(vanished),
        thin=_count_thin(shape, load_limits()["stroke"].low / 2 + path_error_mm),
        closed=max(0, expected_parts - parts) + max(0, holes - expected_holes),
        counters_mm=tuple(2 * shapely.maximum_inscribed_circle(c, tolerance=_FINE_MM).length for c in counters),
    )


def _count_thin(shape: BaseGeometry, half_mm: float) -> int:
    """Places where the shape falls apart, or parts that vanish, when this much is taken off all round."""
    left = polygons_of(shape.buffer(-half_mm, quad_segs=_ARC_SEGMENTS))
    whole = polygons_of(shape)
    kept = sum(any(part.intersects(piece) for piece in left) for part in whole)
    return len(whole) - kept + max(0, len(left) - kept)


def check_reach(layout: SignLayout, process: Process, cut: CutWidth, raised: Sequence[Part] | None = None) -> SignReach:
    """Every place of a sign where the cutter cannot do what is drawn.

    Args:
        raised: the sign's `raised_parts`, where they are at hand.
    """
    error = process.letter_cut.path_error_mm
    parts = _parts_of(layout, cut.offset_mm, error)
    worst = max(parts, key=lambda part: part[1].corner_share, default=None)
    raised = raised_parts(layout) if raised is None else raised
    gaps = gaps_between(raised, _told_mm(process, cut), _most_height_mm(layout))
    flags = [
        *(flag for name, reach in parts for flag in _check_part(name, reach, process, cut)),
        *_check_gaps(gaps, process, cut),
    ]
    return SignReach(
        corner_share=worst[1].corner_share if worst else 0.0,
        worst_part=worst[0] if worst else "",
        corners=tuple(sorted({(name, reach.corner_share) for name, reach in parts if reach.corner_share > _SEEN})),
        least_gap_mm=min((gap for _, _, gap in gaps), default=None),
        flags=tuple(dict.fromkeys(flags)),
    )


def _parts_of(layout: SignLayout, offset_mm: float, error_mm: float) -> list[tuple[str, Reach]]:
    """What becomes of the parts; letters that are alike stand for each other."""
    outlines = dict.fromkeys(glyph.outline for line in layout.lines for glyph in line.glyphs)
    parts = [(outline.char, _reach_of(outline, offset_mm, error_mm)) for outline in outlines]
    if layout.pictogram is not None and layout.pictogram.rings:
        parts.append((layout.pictogram.name, _reach_in(layout.pictogram.rings, offset_mm, error_mm)))
    if layout.border:
        parts.append(("border", _reach_in(layout.border, offset_mm, error_mm)))
    return parts


@functools.lru_cache(maxsize=4096)
def _reach_of(outline: Outline, offset_mm: float, error_mm: float) -> Reach:
    return measure_reach(outline.rings, offset_mm, error_mm)


@functools.lru_cache(maxsize=256)
def _reach_in(rings: tuple[Ring, ...], offset_mm: float, error_mm: float) -> Reach:
    # Most signs of a kind have their pictogram in the same place.
    return measure_reach(rings, offset_mm, error_mm)


def _count(shape: BaseGeometry) -> tuple[int, int]:
    polygons = polygons_of(shape)
    return len(polygons), sum(len(polygon.interiors) for polygon in polygons)


def _most_height_mm(layout: SignLayout) -> float:
    return max((line.height_mm for line in layout.lines), default=25.4) / 2


def _told_mm(process: Process, cut: CutWidth) -> float:
    """Gaps wider than this are nothing to speak of."""
    limits = load_limits()
    return max(
        cut.width_mm + 2 * process.letter_cut.path_error_mm,
        2 * cut.width_mm + limits["sliver"].high,
        2 * cut.spread_mm + limits["gap_at_base"].low,
    )


def _least_entry(process: Process, cut: CutWidth) -> str:
    return f"{length_text(cut.width_mm + 2 * process.letter_cut.path_error_mm, process.unit)} min."


def _check_part(name: str, reach: Reach, process: Process, cut: CutWidth) -> Iterator[Flag]:
    unit, share = process.unit, load_limits()["corner_share"]
    if reach.vanished:
        yield Flag(
            code="production/counter-vanishes",
            severity=Severity.HOLD,
            message=f"The cutter cannot enter {reach.vanished} counter(s) of {name!r}; they would stay filled.",
            measured=length_text(min(reach.counters_mm), unit),
            required=_least_entry(process, cut),
            fix="Use a cutter with a smaller angle or tip, or larger letters.",
            who="shop",
        )
    if reach.closed:
        yield Flag(
            code="production/notch-closes",
            severity=Severity.HOLD,
            message=f"The cutter cannot enter a narrow place of {name!r}.",
            required=_least_entry(process, cut),
            fix="Use a cutter with a smaller angle or tip, or larger letters.",
            who="shop",
        )
    if reach.thin:
        least = load_limits()["stroke"]
        yield Flag(
            code="production/stroke-too-thin",
            severity=Severity.ASK,
            message=f"A stroke of {name!r} may not survive cutting and peeling ({reach.thin} places).",
            required=f"{least.printed}, the cutter off its path by {length_text(process.letter_cut.path_error_mm, unit)} "
            "on both sides",
            fix="Use larger or bolder letters, or try them on the test piece.",
            who="shop",
        )
    if reach.corner_share > share.low:
        yield Flag(
            code="production/inner-corners",
            severity=Severity.HOLD if reach.corner_share > share.high else Severity.NOTE,
            message=f"The round cutter leaves plastic in the inner corners of {name!r}.",
            measured=f"{reach.corner_share:.1%} of the letter, corner radius {length_text(cut.offset_mm, unit)}",
            required=f"{share.high:.0%} max.",
            fix="Use a cutter with a smaller angle or tip.",
            who="shop",
        )
    for width in reach.counters_mm:
        if judge_waste(width, cut, process.letter_cut.path_error_mm) is Waste.SLIVER:
            yield _sliver(f"the counter of {name!r}", width, process, cut)


def _check_gaps(gaps: Sequence[tuple[Part, Part, float]], process: Process, cut: CutWidth) -> Iterator[Flag]:
    unit, limit = process.unit, load_limits()["gap_at_base"]
    error_mm = process.letter_cut.path_error_mm
    least = min((gap for _, _, gap in gaps), default=None)
    if least is None or (judge_waste(least, cut, error_mm) is Waste.CLEAN and limit.holds(least - 2 * cut.spread_mm)):
        return  # nothing can be said of a wider gap either
    named = [(f"{name_of(one)} and {name_of(two)}", gap) for one, two, gap in gaps]
    for names, gap in named:
        waste = judge_waste(gap, cut, error_mm)
        if waste is Waste.BLOCKED:
            yield Flag(
                code="production/gap-too-narrow",
                severity=Severity.HOLD,
                message=f"The cutter cannot pass between {names}.",
                measured=length_text(gap, unit),
                required=f"{length_text(cut.width_mm + 2 * process.letter_cut.path_error_mm, unit)} min.",
                fix="Use a cutter with a smaller angle or tip, or set the letters wider.",
                who="shop",
            )
        elif not limit.holds(gap - 2 * cut.spread_mm):
            yield Flag(
                code="production/gap-at-base",
                severity=Severity.HOLD,
                message=f"Between {names} the walls leave too little at their foot.",
                measured=length_text(gap - 2 * cut.spread_mm, unit),
                required=limit.printed,
                clause=limit.clause,
                fix="Use a cutter with a smaller angle, or set the letters wider.",
                who="shop",
            )
    slivers = [(names, gap) for names, gap in named if judge_waste(gap, cut, error_mm) is Waste.SLIVER]
    if slivers:
        names, gap = min(slivers, key=lambda pair: pair[1])
        more = f" and {len(slivers) - 1} more places" if len(slivers) > 1 else ""
        yield _sliver(f"between {names}{more}", gap, process, cut)


def _sliver(where: str, gap_mm: float, process: Process, cut: CutWidth) -> Flag:
    return Flag(
        code="production/sliver",
        severity=Severity.NOTE,
        message=f"A hair of waste is left standing in {where}; pick it off by hand.".replace("in between", "between"),
        measured=length_text(gap_mm - 2 * cut.width_mm, process.unit),
        required=f"{length_text(load_limits()['sliver'].high, process.unit)} min. to come off clean",
        fix="Use a cutter with a smaller angle (40 degrees or less for letters of 5/8 in).",
        who="shop",
    )
