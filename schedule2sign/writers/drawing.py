"""A layout as closed paths and circles by operation, in inches: what every drawing writer draws."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from schedule2sign.model.shape import Box, Ring, SignLayout
from schedule2sign.writers.inches import PLACES, columns_of, drop_repeats, inch, inches_of

PLATE_EDGE = "PLATE_EDGE"
RAISED_OUTLINE = "RAISED_OUTLINE"
BRAILLE_DRILL = "BRAILLE_DRILL"
PICTOGRAM = "PICTOGRAM"
VISUAL_TEXT = "VISUAL_TEXT"
WINDOW = "WINDOW"
FIXING_HOLES = "FIXING_HOLES"
REF = "REF"
NOTES = "NOTES"
LAYERS = (PLATE_EDGE, RAISED_OUTLINE, BRAILLE_DRILL, PICTOGRAM, VISUAL_TEXT, WINDOW, FIXING_HOLES, REF, NOTES)

PATH_NOTE = "PATH=EDGE: paths are the true finished edges, not offset for any cutter."
ONE_LINE_CAUTION = "NOT A COMPLIANCE CERTIFICATE. CHECK CODE, BRAILLE AND FIRST ARTICLE BEFORE RELEASE."

_REFERENCE_IN = 1.0
_REFERENCE_GAP_IN = 0.5
_KEEP_CLEAR_MM = 9.525  # 3/8 in around the dots, ADA 703.3.2
_CHORD_ERROR_IN = 0.0002  # of a plate's corner


class Vertex(NamedTuple):  # a job has millions: a tuple is made several times faster than a dataclass
    """A corner in inches."""

    x: float
    y: float


Path = tuple[Vertex, ...]  # closed; the first vertex is not repeated


@dataclass(frozen=True, slots=True)
class Shape:
    """Paths that fill together under the even-odd rule: a letter with its counters."""

    layer: str
    paths: tuple[Path, ...]


@dataclass(frozen=True, slots=True)
class Circle:
    """A hole, in inches."""

    layer: str
    x: float
    y: float
    radius: float


@dataclass(frozen=True, slots=True)
class Drawing:
    """Everything drawn of one sign; origin at the plate's bottom left corner, y up."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    circles: tuple[Circle, ...]


def draw_sign(layout: SignLayout, *, raised: bool = True) -> Drawing:
    """The drawing of a layout; without what is raised where only the plate is asked for.

    Raises:
        ValueError: a shape that cannot be cut: fewer than three corners, no area, not a finite number.
    """
    width, height = _inch(layout.width_mm), _inch(layout.height_mm)
    if layout.outline:
        shapes = [_shape(PLATE_EDGE, (layout.outline,))]
    else:
        shapes = [Shape(PLATE_EDGE, (_plate(width, height, _inch(layout.corner_radius_mm)),))]
    if raised and layout.border:
        shapes.append(_shape(RAISED_OUTLINE, layout.border))
    if raised:
        shapes += [_shape(RAISED_OUTLINE, glyph.rings) for line in layout.lines for glyph in line.glyphs]
    shapes += [_shape(VISUAL_TEXT, glyph.rings) for line in layout.visual for glyph in line.glyphs]
    if raised and layout.pictogram is not None:
        shapes.append(_shape(PICTOGRAM, layout.pictogram.rings))
        shapes.append(Shape(NOTES, (_box(layout.pictogram.field),)))
    if layout.window is not None:
        shapes.append(Shape(WINDOW, (_box(layout.window),)))
    if layout.dots:
        shapes.append(Shape(NOTES, (_keep_clear(layout),)))
    shapes.append(Shape(REF, (_reference_square(width),)))
    drill = _inch(layout.cell_size.base_mm / 2)
    circles = [Circle(BRAILLE_DRILL, _inch(dot.x_mm), _inch(dot.y_mm), drill) for dot in layout.dots]
    circles += [
        Circle(FIXING_HOLES, _inch(hole.x_mm), _inch(hole.y_mm), _inch(hole.diameter_mm / 2)) for hole in layout.holes
    ]
    _refuse_flat(circles)
    return Drawing(width, height, tuple(shapes), tuple(circles))


def _inch(value_mm: float) -> float:
    if not math.isfinite(value_mm):
        raise ValueError(f"a coordinate is {value_mm}")
    return inch(value_mm)


def _shape(layer: str, rings: Sequence[Ring]) -> Shape:
    return Shape(layer, tuple(_close_ring(ring) for ring in rings))


def _close_ring(ring: Ring) -> Path:
    # What is not finite has no finite area and is refused there.
    xs, ys = columns_of(ring)
    return _refuse_empty(tuple(map(Vertex, *drop_repeats(inches_of(xs), inches_of(ys)))), len(ring))


def _close(ring: Sequence[Vertex]) -> Path:
    """Drop every vertex whose outgoing segment has no length."""
    kept = tuple(a for a, b in zip(ring, (*ring[1:], *ring[:1]), strict=True) if a.x != b.x or a.y != b.y)
    return _refuse_empty(kept, len(ring))


def _refuse_empty(path: Path, points: int) -> Path:
    if len(path) < 3 or not math.isfinite(area := _area(path)) or area == 0:
        where = f" at ({path[0].x}, {path[0].y}) in" if path else ""
        raise ValueError(f"an outline of {points} points{where} encloses nothing and cannot be cut")
    return path


def _area(path: Path) -> float:
    return sum(a.x * b.y - b.x * a.y for a, b in zip(path, (*path[1:], path[0]), strict=True)) / 2


def _plate(width: float, height: float, radius: float) -> Path:
    if min(width, height) <= 0 or not 0 <= radius <= min(width, height) / 2:
        raise ValueError(f"a plate of {width} x {height} in cannot have corners of radius {radius} in")
    if radius == 0:
        return (Vertex(0, 0), Vertex(width, 0), Vertex(width, height), Vertex(0, height))
    # Chords, not arcs: programs in use misread an arc that ends on an axis as the rest of its circle.
    steps = math.ceil(math.pi / 4 / math.acos(1 - min(_CHORD_ERROR_IN / radius, 0.5)))
    turns = [math.pi / 2 * step / steps for step in range(steps + 1)]
    middles = (
        (radius, radius, 2),
        (width - radius, radius, 3),
        (width - radius, height - radius, 0),
        (radius, height - radius, 1),
    )
    return _close(
        [
            Vertex(
                round(x + radius * math.cos(turn + quarter * math.pi / 2), PLACES) + 0.0,
                round(y + radius * math.sin(turn + quarter * math.pi / 2), PLACES) + 0.0,
            )
            for x, y, quarter in middles
            for turn in turns
        ]
    )


def _box(box: Box) -> Path:
    left, right, bottom, top = (_inch(v) for v in (box.left_mm, box.right_mm, box.bottom_mm, box.top_mm))
    return _close((Vertex(left, bottom), Vertex(right, bottom), Vertex(right, top), Vertex(left, top)))


def _keep_clear(layout: SignLayout) -> Path:
    """The space around the braille that no raised part may enter, as far as the plate reaches."""
    grow_mm = layout.cell_size.base_mm / 2 + _KEEP_CLEAR_MM
    xs, ys = [dot.x_mm for dot in layout.dots], [dot.y_mm for dot in layout.dots]
    return _box(
        Box(
            left_mm=max(min(xs) - grow_mm, 0.0),
            bottom_mm=max(min(ys) - grow_mm, 0.0),
            right_mm=min(max(xs) + grow_mm, layout.width_mm),
            top_mm=min(max(ys) + grow_mm, layout.height_mm),
        )
    )


def _reference_square(plate_width: float) -> Path:
    # Beside the plate, so that all coordinates stay positive and nothing lies on the work.
    left = round(plate_width + _REFERENCE_GAP_IN, PLACES)
    right = round(left + _REFERENCE_IN, PLACES)
    return (Vertex(left, 0), Vertex(right, 0), Vertex(right, _REFERENCE_IN), Vertex(left, _REFERENCE_IN))


def _refuse_flat(circles: Iterable[Circle]) -> None:
    for circle in circles:
        if circle.radius <= 0:
            raise ValueError(f"a hole at ({circle.x}, {circle.y}) in has no diameter")
