"""What a drawing file holds, in millimetres: closed rings and circles by layer, whatever format it came in."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from schedule2sign.geometry.rings import box_of, ring_area
from schedule2sign.model.shape import Box, Ring
from schedule2sign.verification.difference import TOLERANCE_MM, Difference, say_mm

# Layer names are the drawings' public contract; they are said again here, not taken from what writes them.
EDGE, RAISED, DRILL, PICTOGRAM = "PLATE_EDGE", "RAISED_OUTLINE", "BRAILLE_DRILL", "PICTOGRAM"
WINDOW, HOLES, REFERENCE, NOTES = "WINDOW", "FIXING_HOLES", "REF", "NOTES"
VISUAL = "VISUAL_TEXT"
CUT = "RAISED_CUT"  # center lines of the cutter; only in a DXF
PLATE_CUT, PATCH, STOCK, WRITING = "PLATE_CUT", "PATCH_EDGE", "STOCK_EDGE", "PLATE_ID"  # only on a stock sheet
SHEET_LAYERS = frozenset({PLATE_CUT, PATCH, STOCK})
RING_LAYERS = frozenset({EDGE, RAISED, CUT, PICTOGRAM, VISUAL, WINDOW, REFERENCE, NOTES})
CIRCLE_LAYERS = frozenset({DRILL, HOLES})
INCH_MM = 25.4
CHORD_MM = 0.001  # chord error of arcs and curves read from a file


class UnreadableError(ValueError):
    """The file is no drawing of ours, or is damaged; the message says how."""


@dataclass(frozen=True, slots=True, eq=False)
class DrawnRing:
    """A closed path."""

    layer: str
    points: Ring
    box: Box


@dataclass(frozen=True, slots=True)
class DrawnCircle:
    """A circle: a dot or a hole."""

    layer: str
    x_mm: float
    y_mm: float
    diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadDrawing:
    """One file. `title` is the sign id the file states of itself."""

    file: str
    title: str
    rings: tuple[DrawnRing, ...]
    circles: tuple[DrawnCircle, ...]

    def on(self, layer: str) -> tuple[DrawnRing, ...]:
        return tuple(ring for ring in self.rings if ring.layer == layer)

    def circles_on(self, layer: str) -> tuple[DrawnCircle, ...]:
        return tuple(circle for circle in self.circles if circle.layer == layer)


def make_ring(layer: str, points: Ring) -> DrawnRing:
    """A ring as read.

    Raises:
        UnreadableError: an unknown layer, or nothing that encloses an area.
    """
    if layer not in RING_LAYERS | SHEET_LAYERS:
        raise UnreadableError(f"it has a path on the layer {layer or 'without a name'!r}")
    if not all(math.isfinite(value) for point in points for value in point):
        raise UnreadableError(f"a path on {layer} has a coordinate that is no number")
    if len(points) < 3 or ring_area(points) == 0:
        raise UnreadableError(f"a path of {len(points)} points on {layer} encloses nothing")
    return DrawnRing(layer, points, box_of([points]))


def make_circle(layer: str, x_mm: float, y_mm: float, diameter_mm: float) -> DrawnCircle:
    """A circle as read.

    Raises:
        UnreadableError: an unknown layer, or no size.
    """
    if layer not in CIRCLE_LAYERS:
        raise UnreadableError(f"it has a circle on the layer {layer or 'without a name'!r}")
    if not all(map(math.isfinite, (x_mm, y_mm, diameter_mm))) or diameter_mm <= 0:
        raise UnreadableError(f"a circle on {layer} has no size or no place")
    return DrawnCircle(layer, x_mm, y_mm, diameter_mm)


def check_scale(drawing: ReadDrawing, sign_id: str) -> Iterator[Difference]:
    """The reference square is one inch, once."""
    squares = drawing.on(REFERENCE)
    if len(squares) != 1:
        message = f"{drawing.file} has {len(squares)} reference squares, not one, so its scale cannot be checked."
        yield Difference(code="scale", file=drawing.file, sign_id=sign_id, message=message)
    for square in squares:
        sides = (square.box.width_mm, square.box.height_mm)
        off = max(sides, key=lambda side: abs(side - INCH_MM))
        if abs(off - INCH_MM) > TOLERANCE_MM:
            yield Difference(
                code="scale",
                file=drawing.file,
                sign_id=sign_id,
                message=f"{drawing.file} is out of scale: its 1 in reference square measures {off / INCH_MM:.4f} in.",
                found=say_mm(off),
                expected=say_mm(INCH_MM),
            )


def check_title(drawing: ReadDrawing, sign_id: str) -> Iterator[Difference]:
    """The file says it is the sign's own, and draws nothing but the sign."""
    if odd := sorted({ring.layer for ring in drawing.rings} & SHEET_LAYERS):
        message = f"{drawing.file} draws {odd[0]}, which stands on stock sheets only."
        yield Difference(code="layer", file=drawing.file, sign_id=sign_id, message=message)
    if drawing.title != sign_id:
        yield Difference(
            code="title",
            file=drawing.file,
            sign_id=sign_id,
            message=f"{drawing.file} says it is the drawing of sign {drawing.title or '(none)'}.",
            found=drawing.title,
            expected=sign_id,
        )


def box_off_mm(a: Box, b: Box) -> float:
    """The largest distance of two like sides."""
    return max(
        abs(a.left_mm - b.left_mm),
        abs(a.bottom_mm - b.bottom_mm),
        abs(a.right_mm - b.right_mm),
        abs(a.top_mm - b.top_mm),
    )
