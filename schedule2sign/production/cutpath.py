"""Center lines of the letter cutter: counters before outlines, letter by letter, bottom line last.

Each letter's counters are cut just before its own outline, not all counters of the plate first: a piece is never loose
while its own counter is cut, and the cutter hops once from letter to letter.
"""

import functools
import itertools
import math
from collections.abc import Iterable, Sequence
from operator import attrgetter

from shapely.geometry.base import BaseGeometry

from schedule2sign.geometry.rings import ring_area, shape_rings
from schedule2sign.model.bench import CutPath, CutWidth, PathKind, StartOn
from schedule2sign.model.process import Direction
from schedule2sign.model.shape import Outline, PlacedGlyph, Point, Ring, SignLayout
from schedule2sign.production.raised import fill_rings, make_plate

_ARC_SEGMENTS = 16  # a quarter turn round a corner; chord error 0.0012 of the offset, under 0.001 mm
_THIN_MM = 0.006  # points are dropped when the path stays this close; inside 0.0005 in (0.0127 mm)
_STRAIGHT_MM = 2.0  # chords this long are no pieces of a letter's curve


def center_lines(shape: BaseGeometry, offset_mm: float) -> tuple[Ring, ...]:
    """Rings the cutter's center follows so that its edge, at final depth, just touches the shape."""
    grown = shape.buffer(offset_mm, quad_segs=_ARC_SEGMENTS)
    return shape_rings(grown.simplify(_THIN_MM))


def plan_paths(layout: SignLayout, cut: CutWidth, direction: Direction) -> tuple[CutPath, ...]:
    """All letter paths of a sign in cutting order: pictogram, lines from the top down, border.

    The plate's own edge is `plan_edge`; it is cut after everything else.
    """
    paths: list[CutPath] = []
    if layout.pictogram is not None:
        paths += _plan_rings(layout.pictogram.name, layout.pictogram.rings, cut.offset_mm, direction)
    for line in sorted(layout.lines, key=lambda line: -line.baseline_mm):
        for glyph in sorted(line.glyphs, key=attrgetter("left_mm")):
            paths += plan_glyph(glyph, cut, direction)
    if layout.border:
        paths += _plan_rings("border", layout.border, cut.offset_mm, direction)
    return tuple(paths)


def plan_glyph(glyph: PlacedGlyph, cut: CutWidth, direction: Direction) -> tuple[CutPath, ...]:
    """Paths of one letter where it stands, counters first."""
    drawn = _plan_outline(glyph.outline, cut.offset_mm, direction)
    return tuple(
        CutPath(
            kind=path.kind,
            part=path.part,
            local=path.local,
            length_mm=path.length_mm,
            start_on=path.start_on,
            x_mm=glyph.x_mm,
            y_mm=glyph.baseline_mm,
        )
        for path in drawn
    )


def plan_edge(layout: SignLayout, cutter_mm: float, direction: Direction) -> CutPath:
    """The plate's edge for a straight cutter, offset by half its diameter."""
    corners = (layout.width_mm, layout.height_mm, layout.corner_radius_mm)
    return _plan_edge(layout.outline, *corners, cutter_mm, direction)


@functools.lru_cache(maxsize=256)
def _plan_edge(
    outline: Ring, width_mm: float, height_mm: float, radius_mm: float, cutter_mm: float, direction: Direction
) -> CutPath:
    # A job has few sizes of plate. Numbers are the key: a shape is written out whole each time it is looked up.
    (ring,) = center_lines(make_plate(outline, width_mm, height_mm, radius_mm), cutter_mm / 2)
    return _start(PathKind.EDGE, "plate", ring, direction)


def run_of(path: CutPath, overcut_mm: float) -> tuple[Point, ...]:
    """The points a pass goes through: once round, back to the start and on past it by the overcut."""
    ring = path.ring
    points = [*ring, ring[0]]
    left = overcut_mm
    for a, b in itertools.pairwise((*ring, ring[0])):
        step = math.dist(a, b)
        if left <= step:
            if left > 0:
                share = left / step
                points.append((a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share))
            break
        points.append(b)
        left -= step
    return tuple(points)


def length_of(points: Sequence[Point]) -> float:
    """Length of an open run."""
    return sum(map(math.dist, points, points[1:]))


@functools.lru_cache(maxsize=4096)
def _plan_outline(outline: Outline, offset_mm: float, direction: Direction) -> tuple[CutPath, ...]:
    # Outlines are shared by every place they stand in, so each is offset once.
    return tuple(_plan_part(outline.char, outline.rings, offset_mm, direction))


@functools.lru_cache(maxsize=256)
def _plan_rings(part: str, rings: tuple[Ring, ...], offset_mm: float, direction: Direction) -> tuple[CutPath, ...]:
    # Most signs of a kind have their pictogram or border in the same place.
    return tuple(_plan_part(part, rings, offset_mm, direction))


def _plan_part(part: str, rings: Sequence[Ring], offset_mm: float, direction: Direction) -> list[CutPath]:
    lines = center_lines(fill_rings(rings), offset_mm)
    counters = [ring for ring in lines if ring_area(ring) < 0]
    outlines = [ring for ring in lines if ring_area(ring) > 0]
    return [
        *(_start(PathKind.COUNTER, part, ring, direction) for ring in _left_to_right(counters)),
        *(_start(PathKind.OUTLINE, part, ring, direction) for ring in _left_to_right(outlines)),
    ]


def _left_to_right(rings: Iterable[Ring]) -> list[Ring]:
    return sorted(rings, key=lambda ring: (min(x for x, _ in ring), -max(y for _, y in ring)))


def _start(kind: PathKind, part: str, ring: Ring, direction: Direction) -> CutPath:
    # shape_rings gives outlines counter-clockwise and counters clockwise: the letter on the left all along. With the
    # spindle turning clockwise that is conventional cutting; the same edge faces the letter inside and out.
    way = ring if direction is Direction.CONVENTIONAL else tuple(reversed(ring))
    sides = list(zip(way, (*way[1:], way[0]), strict=True))
    # Rounded lengths, and the lowest leftmost of equal ones: the same letter starts at the same place every time.
    index = max(range(len(sides)), key=lambda i: (round(math.dist(*sides[i]), 3), -sides[i][0][1], -sides[i][0][0]))
    a, b = sides[index]
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    start_on = StartOn.STRAIGHT if math.dist(a, b) >= _STRAIGHT_MM else StartOn.CURVE
    round_trip = (middle, *way[index + 1 :], *way[: index + 1])
    length = length_of((*round_trip, middle))
    return CutPath(kind=kind, part=part, local=round_trip, length_mm=length, start_on=start_on)
