"""The test piece: what is tried on scrap of the job's own lot before the job."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from schedule2sign.geometry.dotgrid import dots_cell, place_line
from schedule2sign.model.bench import Coupon, CouponCell, CutPath, CutWidth, PlannedSign
from schedule2sign.model.braille import CellSize
from schedule2sign.model.process import Process
from schedule2sign.model.shape import PlacedGlyph, SignLayout
from schedule2sign.production.amounts import length_text
from schedule2sign.production.cutpath import plan_glyph
from schedule2sign.production.drilling import order_dots
from schedule2sign.production.raised import letter_gap_mm
from schedule2sign.production.tally import Tally

_MARGIN_MM = 12.7
_APART_MM = 12.7
_FULL_CELL = dots_cell(range(1, 7))


def plan_coupon(
    signs: Sequence[PlannedSign],
    tally: Tally,
    layout_of: Callable[[str], SignLayout],
    cut: CutWidth,
    process: Process,
) -> Coupon | None:
    """Three full braille cells at three depths; beside them the closest two letters and the one with most corners.

    Args:
        tally: of their cuttings.
        layout_of: gives the layout of a sign, by its id.
    """
    if not signs:
        return None
    cells = tuple(_drill_cells(signs[0].plate.cell_size, process))
    paths: list[CutPath] = []
    words: list[str] = []
    right = _MARGIN_MM + len(cells) * _APART_MM
    top = _MARGIN_MM
    for why, glyphs in (_closest(signs, tally, layout_of, process.unit), _hardest(signs, tally, layout_of)):
        if not glyphs:
            continue
        left = min(glyph.box.left_mm for glyph in glyphs)
        moved = [replace(g, x_mm=g.x_mm - left + right, baseline_mm=_MARGIN_MM) for g in glyphs]
        for glyph in moved:
            paths += plan_glyph(glyph, cut, process.letter_cut.direction)
        right = max(glyph.box.right_mm for glyph in moved) + _APART_MM
        top = max([top, *(glyph.box.top_mm for glyph in moved)])
        words.append(f"{' '.join(glyph.outline.char for glyph in glyphs)} ({why})")
    return Coupon(
        width_mm=right - _APART_MM + _MARGIN_MM,
        height_mm=max(top, *(y for cell in cells for _, y in cell.holes), _MARGIN_MM) + _MARGIN_MM,
        cells=cells,
        paths=tuple(paths),
        letters="; ".join(words),
    )


def trial_depths(process: Process) -> tuple[float, ...]:
    """The set depth, and the depth error to each side of it; () where nothing is drilled."""
    drilling = process.drilling
    if drilling is None:
        return ()
    return tuple(drilling.depth_mm + step * drilling.depth_error_mm for step in (-1, 0, 1))


def _drill_cells(size: CellSize, process: Process) -> Iterator[CouponCell]:
    for index, depth in enumerate(trial_depths(process)):
        left = _MARGIN_MM + index * _APART_MM
        dots = place_line(
            _FULL_CELL, line=0, left_mm=left, top_mm=_MARGIN_MM + 2 * size.dot_pitch_mm + size.base_mm, size=size
        )
        yield CouponCell(depth_mm=depth, holes=tuple((dot.x_mm, dot.y_mm) for dot in order_dots(dots)))


def closest_gap(layout: SignLayout) -> tuple[float, tuple[PlacedGlyph, PlacedGlyph]] | None:
    """The two neighbors of a word that stand closest, and how close."""
    pairs = (
        (line.glyphs[index], line.glyphs[index + 1])
        for line in layout.lines
        for first, after in line.words
        for index in range(first, after - 1)
    )
    gaps = ((letter_gap_mm(a.outline, b.outline, round(b.x_mm - a.x_mm, 6), 0.0), (a, b)) for a, b in pairs)
    return min(gaps, key=lambda found: round(found[0], 6), default=None)


def _closest(
    signs: Sequence[PlannedSign], tally: Tally, layout_of: Callable[[str], SignLayout], unit: str
) -> tuple[str, list[PlacedGlyph]]:
    """The two neighbors of a word that stand closest in the whole job."""
    if tally.closest is None:
        return "", []
    sign = signs[tally.closest]
    found = closest_gap(layout_of(sign.sign_id))
    if found is None:
        raise ValueError(f"the closest letters of sign {sign.sign_id!r} are not in its layout")
    return f"narrowest gap, {length_text(found[0], unit)}", list(found[1])


def _hardest(
    signs: Sequence[PlannedSign], tally: Tally, layout_of: Callable[[str], SignLayout]
) -> tuple[str, list[PlacedGlyph]]:
    """The letter of which the round cutter leaves most in its inner corners."""
    for place in sorted(range(len(signs)), key=lambda place: -round(tally.corner_shares[place], 9)):
        sign = signs[place]
        part = sign.cutting.worst_part
        if not any(part in text for text in sign.plate.texts):
            continue
        for line in layout_of(sign.sign_id).lines:
            for glyph in line.glyphs:
                if glyph.outline.char == part:
                    return f"inner corners, {tally.corner_shares[place]:.1%}", [glyph]
    return "", []
