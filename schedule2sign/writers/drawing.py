"""A layout as closed paths and circles by operation, in inches: what every drawing writer draws."""

import functools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, islice
from typing import Any, TypeVar

import numpy

from schedule2sign.model.plate import Plate
from schedule2sign.model.shape import Box, Outline, PlacedGlyph, Point, SignLayout
from schedule2sign.writers.inches import STEPS, inch, round_steps, steps_of
from schedule2sign.writers.rings import Path, Rings, close_solid, gather, place_all, split_paths

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
_FEW = 16  # signs

Sign = TypeVar("Sign")


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """Paths that fill together under the even-odd rule: a letter with its counters."""

    layer: str
    paths: tuple[Path, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Circles:
    """Holes of one size: x and y of the centers in whole steps of an inch, the radius in inches."""

    layer: str
    centers: Any
    radius: float


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """Everything drawn of one sign; origin at the plate's bottom left corner, y up."""

    width: float
    height: float
    shapes: tuple[Shape, ...]
    circles: tuple[Circles, ...]


def in_groups(signs: Iterable[Sign]) -> Iterator[list[Sign]]:
    """A few signs at a time, to be drawn together: more would no longer fit into the processor's own memory."""
    left = iter(signs)
    while group := list(islice(left, _FEW)):
        yield group


def draw_sign(layout: SignLayout) -> Drawing:
    """The drawing of a layout.

    Raises:
        ValueError: a shape that cannot be cut: fewer than three corners, no area, not a finite number.
    """
    return draw_signs((layout,))[0]


def draw_signs(layouts: Sequence[SignLayout]) -> list[Drawing]:
    """The drawings of layouts, their corners rounded and checked as one array; refuses as `draw_sign`."""
    parts, holes = [_sign_parts(layout) for layout in layouts], [_sign_holes(layout) for layout in layouts]
    closed, rounded = _close(chain.from_iterable(parts)), iter(circles_of([*chain.from_iterable(holes)]))
    drawings = []
    for layout, own_parts, own_holes in zip(layouts, parts, holes, strict=True):
        width = _inch(layout.width_mm)
        shapes = (*_plate(layout), *islice(closed, len(own_parts)), Shape(REF, (_reference_square(width),)))
        circles = tuple(islice(rounded, len(own_holes)))
        drawings.append(Drawing(width, _inch(layout.height_mm), shapes, circles))
    return drawings


def draw_plate(plate: Plate, flat: Iterable[PlacedGlyph]) -> Drawing:
    """The drawing of the plate alone: its edge, what is flat on it, and what goes through it; refuses as `draw_sign`."""
    letters = (_letter(VISUAL_TEXT, glyph) for glyph in flat)
    shapes = (*_plate(plate), *_close([*_edge(plate), *letters, *_opening(plate)]))
    return Drawing(_inch(plate.width_mm), _inch(plate.height_mm), shapes, tuple(circles_of([*_fixing_holes(plate)])))


_Part = tuple[str, Rings, tuple[float, float]]  # what lies on a layer, and where
_HERE = (0.0, 0.0)
Holes = tuple[str, Sequence[Point], float]  # their layer, their centers in millimetres, their radius in inches


def _sign_parts(layout: SignLayout) -> list[_Part]:
    """All that is drawn of a sign but the edge of a rectangular plate and the square beside it."""
    parts = [*_edge(layout)]
    if layout.border:
        parts.append((RAISED_OUTLINE, gather(layout.border), _HERE))
    parts += [_letter(RAISED_OUTLINE, glyph) for line in layout.lines for glyph in line.glyphs]
    parts += _flat_text(layout)
    if layout.pictogram is not None:
        parts.append((PICTOGRAM, gather(layout.pictogram.rings), _HERE))
        parts.append((NOTES, box_ring(layout.pictogram.field), _HERE))
    parts += _opening(layout)
    if layout.dots:
        parts.append((NOTES, box_ring(_keep_clear(layout)), _HERE))
    return parts


def _close(parts: Iterable[_Part]) -> Iterator[Shape]:
    parts = list(parts)
    if not parts:
        return
    corners = place_all([rings.corners for _, rings, _ in parts], [place for _, _, place in parts])
    lengths = [length for _, rings, _ in parts for length in rings.lengths]
    paths = iter(close_solid(steps_of(corners), lengths))
    for layer, rings, _ in parts:
        yield Shape(layer, tuple(islice(paths, len(rings.lengths))))


def _plate(plate: SignLayout | Plate) -> Iterator[Shape]:
    """The edge of a plate that is a rectangle."""
    if not plate.outline:
        sizes = (_inch(plate.width_mm), _inch(plate.height_mm), _inch(plate.corner_radius_mm))
        yield Shape(PLATE_EDGE, (_round_rectangle(*sizes),))


def _edge(plate: SignLayout | Plate) -> Iterator[_Part]:
    """The edge of a plate of another shape."""
    if plate.outline:
        yield PLATE_EDGE, gather((plate.outline,)), _HERE


def _flat_text(layout: SignLayout) -> Iterator[_Part]:
    return (_letter(VISUAL_TEXT, glyph) for line in layout.visual for glyph in line.glyphs)


def _opening(plate: SignLayout | Plate) -> Iterator[_Part]:
    if plate.window is not None:
        yield WINDOW, box_ring(plate.window), _HERE


def _letter(layer: str, glyph: PlacedGlyph) -> _Part:
    return layer, _outline_rings(glyph.outline), (glyph.x_mm, glyph.baseline_mm)


@functools.lru_cache(maxsize=4096)
def _outline_rings(outline: Outline) -> Rings:
    # Outlines are shared by every place they stand in.
    return gather(outline.rings)


def box_ring(box: Box) -> Rings:
    """A box as a ring, from its bottom left corner to the right."""
    left, bottom, right, top = box.left_mm, box.bottom_mm, box.right_mm, box.top_mm
    return Rings(numpy.array([(left, bottom), (right, bottom), (right, top), (left, top)], dtype=float), (4,))


def _inch(value_mm: float) -> float:
    if not math.isfinite(value_mm):
        raise ValueError(f"a coordinate is {value_mm}")
    return inch(value_mm)


@functools.lru_cache(maxsize=256)
def _round_rectangle(width: float, height: float, radius: float) -> Path:
    """A plate in inches; a job has few sizes."""
    if min(width, height) <= 0 or not 0 <= radius <= min(width, height) / 2:
        raise ValueError(f"a plate of {width} x {height} in cannot have corners of radius {radius} in")
    if radius == 0:
        return round_steps(numpy.array([(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]))
    # Chords, not arcs: programs in use misread an arc that ends on an axis as the rest of its circle.
    steps = math.ceil(math.pi / 4 / math.acos(1 - min(_CHORD_ERROR_IN / radius, 0.5)))
    turns = [math.pi / 2 * step / steps for step in range(steps + 1)]
    middles = (
        (radius, radius, 2),
        (width - radius, radius, 3),
        (width - radius, height - radius, 0),
        (radius, height - radius, 1),
    )
    corners = round_steps(
        numpy.array(
            [
                (
                    x + radius * math.cos(turn + quarter * math.pi / 2),
                    y + radius * math.sin(turn + quarter * math.pi / 2),
                )
                for x, y, quarter in middles
                for turn in turns
            ]
        )
    )
    return close_solid(corners, [len(corners)])[0]


def _keep_clear(layout: SignLayout) -> Box:
    """The space around the braille that no raised part may enter, as far as the plate reaches."""
    grow_mm = layout.cell_size.base_mm / 2 + _KEEP_CLEAR_MM
    xs, ys = [dot.x_mm for dot in layout.dots], [dot.y_mm for dot in layout.dots]
    return Box(
        left_mm=max(min(xs) - grow_mm, 0.0),
        bottom_mm=max(min(ys) - grow_mm, 0.0),
        right_mm=min(max(xs) + grow_mm, layout.width_mm),
        top_mm=min(max(ys) + grow_mm, layout.height_mm),
    )


@functools.lru_cache(maxsize=256)
def _reference_square(plate_width: float) -> Path:
    # Beside the plate, so that all coordinates stay positive and nothing lies on the work.
    left = plate_width + _REFERENCE_GAP_IN
    right, top = left + _REFERENCE_IN, _REFERENCE_IN
    return round_steps(numpy.array([(left, 0.0), (right, 0.0), (right, top), (left, top)]))


def _sign_holes(layout: SignLayout) -> list[Holes]:
    return [*_braille(layout), *_fixing_holes(layout)]


def _braille(layout: SignLayout) -> Iterator[Holes]:
    if layout.dots:
        radius = _inch(layout.cell_size.base_mm / 2)
        yield BRAILLE_DRILL, [(dot.x_mm, dot.y_mm) for dot in layout.dots], radius


def _fixing_holes(plate: SignLayout | Plate) -> Iterator[Holes]:
    return ((FIXING_HOLES, [(hole.x_mm, hole.y_mm)], _inch(hole.diameter_mm / 2)) for hole in plate.holes)


def circles_at(layer: str, centers_mm: Sequence[Point], radius_in: float) -> Circles:
    """Holes of one size at points in millimetres; refuses as `circles_of`."""
    return circles_of([(layer, centers_mm, radius_in)])[0]


def circles_of(groups: Sequence[Holes]) -> list[Circles]:
    """Groups of holes of one size as they are drawn.

    Raises:
        ValueError: holes have no diameter.
    """
    flat = [value for _, centers, _ in groups for center in centers for value in center]
    steps = split_paths(steps_of(numpy.array(flat, dtype=float).reshape(-1, 2)), [len(at) for _, at, _ in groups])
    for (_, _, radius), centers in zip(groups, steps, strict=True):
        if not radius > 0:
            where = ", ".join(str(value) for value in (centers[0] / STEPS).tolist())
            raise ValueError(f"a hole at ({where}) in has no diameter")
    return [Circles(layer, centers, radius) for (layer, _, radius), centers in zip(groups, steps, strict=True)]
