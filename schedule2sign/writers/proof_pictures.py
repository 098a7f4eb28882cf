"""What the proof book draws: signs to a stated scale with their dimensions, and braille as dots with their numbers."""

import math
from collections.abc import Iterable, Sequence
from typing import Any

from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.shape import Box, Outline, Ring, SignLayout
from schedule2sign.writers.colors import find_colors, mix
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.pdf import FONT, pdf_text, sketch

SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 15, 20)  # a plate is drawn 1 : n
_POINTS_PER_MM = 72 / MM_PER_INCH
_EVEN_ODD = 0
_CELL_PT, _DOT_PITCH_PT, _DOT_PT, _LINE_PT = 17.0, 3.6, 2.2, 19.0
_HELD, _EDGE = "#A03000", "#6B6B6B"
_ROOM_PT = 30.0  # beside and under a plate, for its dimensions


class Painter:
    """Draws signs on the canvas of one document; a letter that repeats is stored in the document once."""

    def __init__(self) -> None:
        self._forms: dict[int, str] = {}

    def picture(self, layout: SignLayout, scale: int, *, held: bool = False, sized: bool = False) -> Any:
        """A flowable of a plate drawn 1 : scale.

        Args:
            held: marked as not for production.
            sized: with dimension lines.
        """
        unit = _POINTS_PER_MM / scale
        width, height = layout.width_mm * unit, layout.height_mm * unit
        room = _ROOM_PT if sized else 0.0

        def draw(canvas: Any) -> None:
            canvas.saveState()
            canvas.translate(room, room)
            canvas.scale(unit, unit)
            self._paint(canvas, layout)
            canvas.restoreState()
            if held:
                _mark_held(canvas, room, room, width, height)
            if sized:
                _add_sizes(canvas, layout, unit)

        return sketch(width + room, height + room, draw)

    def _paint(self, canvas: Any, layout: SignLayout) -> None:
        base, letter, _ = find_colors(layout.build)
        canvas.setLineWidth(0.3)
        canvas.setStrokeColor(_EDGE)
        canvas.setFillColor(base)
        if layout.outline:
            _fill(canvas, (layout.outline,))
        else:
            canvas.roundRect(0, 0, layout.width_mm, layout.height_mm, layout.corner_radius_mm, stroke=1, fill=1)
        canvas.setFillColor(letter)
        _fill(canvas, layout.border)
        if layout.pictogram is not None:
            _fill(canvas, layout.pictogram.rings)
        for line in layout.lines:
            for glyph in line.glyphs:
                self._letter(canvas, glyph.outline, glyph.x_mm, glyph.baseline_mm)
        for flat in layout.visual:
            for glyph in flat.glyphs:
                self._letter(canvas, glyph.outline, glyph.x_mm, glyph.baseline_mm)
        canvas.setFillColor("#FFFFFF")
        if layout.window is not None:
            box = layout.window
            canvas.rect(box.left_mm, box.bottom_mm, box.width_mm, box.height_mm, stroke=1, fill=1)
        for hole in layout.holes:
            canvas.circle(hole.x_mm, hole.y_mm, hole.diameter_mm / 2, stroke=1, fill=1)
        if layout.dots:
            canvas.setStrokeColor(mix(base, "#ffffff", 0.55))
            _dots(canvas, ((dot.x_mm, dot.y_mm) for dot in layout.dots), layout.cell_size.base_mm)

    def _letter(self, canvas: Any, outline: Outline, x_mm: float, baseline_mm: float) -> None:
        name = self._forms.get(id(outline))
        if name is None:
            name = self._forms[id(outline)] = f"letter{len(self._forms)}"
            canvas.beginForm(name, *_corners(outline.box))
            _fill(canvas, outline.rings)
            canvas.endForm()
        canvas.saveState()
        canvas.translate(round(x_mm, 3), round(baseline_mm, 3))
        canvas.doForm(name)
        canvas.restoreState()


def best_scale(layout: SignLayout, wide_pt: float, high_pt: float) -> int:
    """The largest drawing that fits: n of 1 : n."""
    for scale in SCALES:
        unit = _POINTS_PER_MM / scale
        if layout.width_mm * unit <= wide_pt and layout.height_mm * unit <= high_pt:
            return scale
    return math.ceil(max(layout.width_mm * _POINTS_PER_MM / wide_pt, layout.height_mm * _POINTS_PER_MM / high_pt))


def braille_picture(cells: str, width_pt: float) -> Any:
    """Cells as dots, much enlarged, the numbers of the raised dots under each."""
    count = max(1, int(width_pt // _CELL_PT))
    rows = [cells[first : first + count] for first in range(0, len(cells), count)]
    height = len(rows) * _LINE_PT

    def draw(canvas: Any) -> None:
        raised: list[tuple[float, float]] = []
        flat: list[tuple[float, float]] = []
        canvas.setFillColor("#000000")
        canvas.setFont(FONT, 5)
        for number, row in enumerate(rows):
            top = height - number * _LINE_PT - 2
            for place, cell in enumerate(row):
                dots, left = dot_numbers(cell), place * _CELL_PT
                for dot in range(1, 7) if dots else ():  # a blank cell stays blank
                    right, down = divmod(dot - 1, 3)
                    spot = (left + 3 + _DOT_PITCH_PT * right, top - _DOT_PITCH_PT * down)
                    (raised if dot in dots else flat).append(spot)
                canvas.drawString(left + 1, top - 2 * _DOT_PITCH_PT - 7, "".join(map(str, dots)))
        canvas.setStrokeColor("#B8BEC4")
        _dots(canvas, flat, 0.7)
        canvas.setStrokeColor("#000000")
        _dots(canvas, raised, _DOT_PT)

    return sketch(width_pt, height, draw)


def dot_numbers(cell: str) -> tuple[int, ...]:
    """Raised dots of a braille pattern (Unicode: U+2800 and a bit a dot)."""
    bits = ord(cell) - 0x2800
    return tuple(dot for dot in range(1, 7) if bits >> (dot - 1) & 1)


def _dots(canvas: Any, centers: Iterable[tuple[float, float]], diameter: float) -> None:
    """Round dots as strokes without length, the shortest way to write one."""
    path = canvas.beginPath()
    empty = True
    for x, y in centers:
        path.moveTo(round(x, 3), round(y, 3))
        path.lineTo(round(x, 3), round(y, 3))
        empty = False
    if not empty:
        canvas.setLineCap(1)
        canvas.setLineWidth(diameter)
        canvas.drawPath(path, stroke=1, fill=0)
        canvas.setLineWidth(0.3)


def _fill(canvas: Any, rings: Sequence[Ring]) -> None:
    if not rings:
        return
    path = canvas.beginPath()
    for ring in rings:
        path.moveTo(round(ring[0][0], 3), round(ring[0][1], 3))
        for x, y in ring[1:]:
            path.lineTo(round(x, 3), round(y, 3))
        path.close()
    canvas.drawPath(path, stroke=0, fill=1, fillMode=_EVEN_ODD)


def _corners(box: Box) -> tuple[float, float, float, float]:
    return box.left_mm - 1, box.bottom_mm - 1, box.right_mm + 1, box.top_mm + 1


def _mark_held(canvas: Any, left: float, bottom: float, width: float, height: float) -> None:
    """A frame and a word on the plate's upper edge: the text under question stays legible."""
    canvas.saveState()
    canvas.setStrokeColor(_HELD)
    canvas.setFillColor(_HELD)
    canvas.setLineWidth(2)
    canvas.rect(left, bottom, width, height, stroke=1, fill=0)
    canvas.rect(left, bottom + height - 12, 34, 12, stroke=0, fill=1)
    canvas.setFillColor("#FFFFFF")
    canvas.setFont(FONT, 9)
    canvas.drawString(left + 5, bottom + height - 9, "HELD")
    canvas.restoreState()


def _add_sizes(canvas: Any, layout: SignLayout, unit: float) -> None:
    """Width under the plate, height left of it, each between two ticks."""
    width, height, edge = layout.width_mm * unit, layout.height_mm * unit, _ROOM_PT
    canvas.setStrokeColor("#000000")
    canvas.setFillColor("#000000")
    canvas.setLineWidth(0.5)
    canvas.setFont(FONT, 8)
    line = edge - 10
    canvas.line(edge, line, edge + width, line)
    canvas.line(line, edge, line, edge + height)
    for x in (edge, edge + width):
        canvas.line(x, line - 3, x, edge - 3)
    for y in (edge, edge + height):
        canvas.line(line - 3, y, edge - 3, y)
    canvas.drawCentredString(edge + width / 2, line - 10, pdf_text(inch_text(layout.width_mm)))
    canvas.saveState()
    canvas.translate(line - 4, edge + height / 2)
    canvas.rotate(90)
    canvas.drawCentredString(0, 0, pdf_text(inch_text(layout.height_mm)))
    canvas.restoreState()
