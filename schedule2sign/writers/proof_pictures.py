"""What the proof book draws: signs to a stated scale with their dimensions, and braille as dots with their numbers."""

import math
from functools import cache, lru_cache, partial
from itertools import chain

from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.shape import Box, Outline, SignLayout
from schedule2sign.writers.colors import find_colors, mix
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.pdfblocks import Sketch
from schedule2sign.writers.pdfpen import Form, Pen, make_form

SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 15, 20)  # a plate is drawn 1 : n
_POINTS_PER_MM = 72 / MM_PER_INCH
_CELL_PT, _DOT_PITCH_PT, _DOT_PT, _LINE_PT = 17.0, 3.6, 2.2, 19.0
_CELL_BOX = (0.0, -12.0, _CELL_PT, 4.0)
_HELD, _EDGE = "#A03000", "#6B6B6B"
_ROOM_PT = 30.0  # beside and under a plate, for its dimensions


def plate_picture(layout: SignLayout, scale: int, *, held: bool = False, sized: bool = False) -> Sketch:
    """A plate drawn 1 : scale.

    Args:
        held: marked as not for production.
        sized: with dimension lines.
    """
    unit = _POINTS_PER_MM / scale
    width, height = layout.width_mm * unit, layout.height_mm * unit
    room = _ROOM_PT if sized else 0.0

    def paint(pen: Pen) -> None:
        with pen.placed(room, room, scale=unit):
            _paint_plate(pen, layout)
        if held:
            _mark_held(pen, room, room, width, height)
        if sized:
            _add_sizes(pen, layout, unit)

    return Sketch(width + room, height + room, paint)


def _paint_plate(pen: Pen, layout: SignLayout) -> None:
    """In mm."""
    base, letter, _ = find_colors(layout.build)
    pen.line_width(0.3)
    pen.stroke(_EDGE)
    pen.fill(base)
    if layout.outline:
        pen.rings((layout.outline,))
    else:
        pen.round_rect(layout.width_mm, layout.height_mm, layout.corner_radius_mm, "B")
    pen.fill(letter)
    pen.rings(layout.border)
    if layout.pictogram is not None:
        pen.rings(layout.pictogram.rings)
    for glyph in chain.from_iterable([line.glyphs for line in layout.lines] + [flat.glyphs for flat in layout.visual]):
        pen.form(_letter(glyph.outline), glyph.x_mm, glyph.baseline_mm)
    pen.fill("#FFFFFF")
    if layout.window is not None:
        box = layout.window
        pen.rect(box.left_mm, box.bottom_mm, box.width_mm, box.height_mm, "B")
    for hole in layout.holes:
        pen.circle(hole.x_mm, hole.y_mm, hole.diameter_mm / 2, "B")
    if layout.dots:
        pen.stroke(mix(base, "#ffffff", 0.55))
        pen.dots(((dot.x_mm, dot.y_mm) for dot in layout.dots), layout.cell_size.base_mm)


@lru_cache(maxsize=4096)
def _letter(outline: Outline) -> Form:
    """One and the same outline stands wherever its letter does in this size."""
    return make_form(_corners(outline.box), partial(Pen.rings, rings=outline.rings))


def best_scale(layout: SignLayout, wide_pt: float, high_pt: float) -> int:
    """The largest drawing that fits: n of 1 : n."""
    for scale in SCALES:
        unit = _POINTS_PER_MM / scale
        if layout.width_mm * unit <= wide_pt and layout.height_mm * unit <= high_pt:
            return scale
    return math.ceil(max(layout.width_mm * _POINTS_PER_MM / wide_pt, layout.height_mm * _POINTS_PER_MM / high_pt))


def braille_picture(cells: str, width_pt: float) -> Sketch:
    """Cells as dots, much enlarged, the numbers of the raised dots under each."""
    count = max(1, int(width_pt // _CELL_PT))
    rows = [cells[first : first + count] for first in range(0, len(cells), count)]
    height = len(rows) * _LINE_PT

    def paint(pen: Pen) -> None:
        pen.fill("#000000")
        for number, row in enumerate(rows):
            top = height - number * _LINE_PT - 2
            for place, cell in enumerate(row):
                if numbers := dot_numbers(cell):  # a blank cell stays blank
                    left = place * _CELL_PT
                    pen.form(_cell(numbers), left, top)
                    pen.text(left + 1, top - 2 * _DOT_PITCH_PT - 7, "".join(map(str, numbers)), 5)

    return Sketch(width_pt, height, paint)


@cache
def _cell(numbers: tuple[int, ...]) -> Form:
    return make_form(_CELL_BOX, partial(_paint_cell, numbers=numbers))


def _paint_cell(pen: Pen, numbers: tuple[int, ...]) -> None:
    """The six places of a cell, those of its dots black; the origin is over the upper left one."""
    places = {dot: (3 + _DOT_PITCH_PT * ((dot - 1) // 3), -_DOT_PITCH_PT * ((dot - 1) % 3)) for dot in range(1, 7)}
    pen.stroke("#B8BEC4")
    pen.dots((place for dot, place in places.items() if dot not in numbers), 0.7)
    pen.stroke("#000000")
    pen.dots((places[dot] for dot in numbers), _DOT_PT)


def dot_numbers(cell: str) -> tuple[int, ...]:
    """Raised dots of a braille pattern (Unicode: U+2800 and a bit a dot)."""
    bits = ord(cell) - 0x2800
    return tuple(dot for dot in range(1, 7) if bits >> (dot - 1) & 1)


def _corners(box: Box) -> tuple[float, float, float, float]:
    return box.left_mm - 1, box.bottom_mm - 1, box.right_mm + 1, box.top_mm + 1


def _mark_held(pen: Pen, left: float, bottom: float, width: float, height: float) -> None:
    """A frame and a word on the plate's upper edge: the text under question stays legible."""
    pen.stroke(_HELD)
    pen.fill(_HELD)
    pen.line_width(2)
    pen.rect(left, bottom, width, height)
    pen.rect(left, bottom + height - 12, 34, 12, "f")
    pen.fill("#FFFFFF")
    pen.text(left + 5, bottom + height - 9, "HELD", 9)


def _add_sizes(pen: Pen, layout: SignLayout, unit: float) -> None:
    """Width under the plate, height left of it, each between two ticks."""
    width, height, edge = layout.width_mm * unit, layout.height_mm * unit, _ROOM_PT
    pen.stroke("#000000")
    pen.fill("#000000")
    pen.line_width(0.5)
    line = edge - 10
    ticks = [(x, line - 3, x, edge - 3) for x in (edge, edge + width)]
    ticks += [(line - 3, y, edge - 3, y) for y in (edge, edge + height)]
    pen.lines([(edge, line, edge + width, line), (line, edge, line, edge + height), *ticks])
    pen.text_centered(edge + width / 2, line - 10, inch_text(layout.width_mm), 8)
    with pen.placed(line - 4, edge + height / 2, turned_deg=90):
        pen.text_centered(0, 0, inch_text(layout.height_mm), 8)
