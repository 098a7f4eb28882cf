"""The raised parts of a sign and its plate as filled shapes where they stand."""

import functools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy
import shapely
from shapely.geometry.base import BaseGeometry

from schedule2sign.geometry.rings import box_of, fill_contours, move_shape
from schedule2sign.model.shape import Box, Outline, PlacedGlyph, Ring, SignLayout

_NOISE = 9  # decimals of a mm; sums of coordinates differ after that


def fill_rings(rings: Sequence[Ring]) -> BaseGeometry:
    """The area that stays raised."""
    return fill_contours(rings)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Figure:
    """A pictogram or a border that is cut raised."""

    name: str
    rings: tuple[Ring, ...]
    left_mm: float
    bottom_mm: float
    right_mm: float
    top_mm: float


Part = PlacedGlyph | Figure  # whatever is raised on a sign


def raised_parts(layout: SignLayout) -> tuple[Part, ...]:
    """Every letter, the pictogram and the border."""
    parts: list[Part] = [glyph for line in layout.lines for glyph in line.glyphs]
    if layout.pictogram is not None and layout.pictogram.rings:
        parts.append(_make_figure(layout.pictogram.name, layout.pictogram.rings))
    if layout.border:
        parts.append(_make_figure("border", layout.border))
    return tuple(parts)


@functools.lru_cache(maxsize=256)
def _make_figure(name: str, rings: tuple[Ring, ...]) -> Figure:
    # Most signs of a kind have their pictogram or border in the same place.
    box = box_of(rings)
    return Figure(
        name=name,
        rings=rings,
        left_mm=box.left_mm,
        bottom_mm=box.bottom_mm,
        right_mm=box.right_mm,
        top_mm=box.top_mm,
    )


def name_of(part: Part) -> str:
    """A letter, or what the figure is called."""
    return part.name if isinstance(part, Figure) else part.outline.char


def shape_of(part: Part) -> BaseGeometry:
    """The area that stays raised, where it stands."""
    return _fill_figure(part) if isinstance(part, Figure) else glyph_shape(part)


def area_mm2(part: Part) -> float:
    """The area that stays raised."""
    return float(_fill_figure(part).area) if isinstance(part, Figure) else _outline_area_mm2(part.outline)


def near_parts(parts: Sequence[Part], box: Box, reach_mm: float) -> tuple[Part, ...]:
    """The parts whose own boxes come that near to the box: no others can."""
    return tuple(
        part
        for part in parts
        if part.left_mm - reach_mm <= box.right_mm
        and part.right_mm + reach_mm >= box.left_mm
        and part.bottom_mm - reach_mm <= box.top_mm
        and part.top_mm + reach_mm >= box.bottom_mm
    )


def gaps_between(parts: Sequence[Part], told_mm: float, reach_mm: float) -> list[tuple[Part, Part, float]]:
    """Distances of raised parts, in their order: of every two that stand within `told_mm`, and of the closest two.

    Parts farther apart than `reach_mm` are no neighbors and never count.
    """
    if len(parts) < 2:
        return []
    edges = [(part.left_mm, part.right_mm, part.bottom_mm, part.top_mm) for part in parts]
    left, right, bottom, top = numpy.array(edges).T
    # Parts are at least as far apart as their boxes are, across or along.
    across, along = left[:, None] - right, bottom[:, None] - top
    apart = numpy.maximum(numpy.maximum(across, across.T), numpy.maximum(along, along.T))
    pairs = numpy.argwhere(numpy.triu(apart <= reach_mm, 1))
    box_gaps = apart[pairs[:, 0], pairs[:, 1]]
    found: list[tuple[int, int, float]] = []
    least = reach_mm
    for index in numpy.argsort(box_gaps, kind="stable").tolist():
        if box_gaps[index] > max(told_mm, least):
            break
        one, two = pairs[index].tolist()
        gap = _gap_mm(parts[one], parts[two])
        if gap <= reach_mm:
            found.append((one, two, gap))
            least = min(least, gap)
    return [(parts[one], parts[two], gap) for one, two, gap in sorted(found)]


def _gap_mm(one: Part, two: Part) -> float:
    if isinstance(one, Figure) or isinstance(two, Figure):
        return float(shape_of(one).distance(shape_of(two)))
    dx, dy = two.x_mm - one.x_mm, two.baseline_mm - one.baseline_mm
    return letter_gap_mm(one.outline, two.outline, round(dx, _NOISE), round(dy, _NOISE))


@functools.lru_cache(maxsize=32_768)
def letter_gap_mm(first: Outline, second: Outline, dx_mm: float, dy_mm: float) -> float:
    """Distance of two letters, by where the second stands as seen from the first."""
    # The same two letters stand the same way apart all over a job.
    return float(fill_outline(first).distance(move_shape(fill_outline(second), dx_mm, dy_mm)))


def plate_shape(layout: SignLayout) -> shapely.Polygon:
    """The plate: its own outline, or a rectangle with rounded corners."""
    return make_plate(layout.outline, layout.width_mm, layout.height_mm, layout.corner_radius_mm)


@functools.lru_cache(maxsize=256)
def make_plate(outline: Ring, width_mm: float, height_mm: float, radius_mm: float) -> shapely.Polygon:
    """A plate of this outline, or without one of this size."""
    # A job has few sizes of plate.
    if outline:
        return shapely.Polygon(outline)
    if radius_mm <= 0:
        return shapely.box(0, 0, width_mm, height_mm)
    inner = shapely.box(radius_mm, radius_mm, width_mm - radius_mm, height_mm - radius_mm)
    return inner.buffer(radius_mm, quad_segs=32)


def glyph_shape(glyph: PlacedGlyph) -> BaseGeometry:
    """A letter where it stands."""
    return move_shape(fill_outline(glyph.outline), glyph.x_mm, glyph.baseline_mm)


@functools.lru_cache(maxsize=4096)
def fill_outline(outline: Outline) -> BaseGeometry:
    """A letter as a filled shape; outlines are shared by every place they stand in, so each is filled once."""
    return fill_rings(outline.rings)


@functools.lru_cache(maxsize=4096)
def _outline_area_mm2(outline: Outline) -> float:
    return float(fill_outline(outline).area)


@functools.lru_cache(maxsize=256)
def _fill_figure(figure: Figure) -> BaseGeometry:
    return fill_rings(figure.rings)
