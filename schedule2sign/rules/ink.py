"""Closest distances on a finished sign: letter to letter, letter to dot, anything to the plate's edge."""

import math
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from schedule2sign.model.shape import Box, Dot, Outline, PlacedGlyph, Point, RaisedLine, Ring, SignLayout, VisualLine

# Shapely is loaded when the first sign is measured, not when the command line starts.


@lru_cache(maxsize=1024)
def _outline_shape(outline: Outline) -> Any:
    """The filled outer contours; a counter never holds the closest point to something outside the letter."""
    import shapely

    return shapely.geometrycollections([shapely.polygons(ring) for ring in outline.rings if _signed_area(ring) > 0])


@lru_cache(maxsize=4096)
def glyph_shape(glyph: PlacedGlyph) -> Any:
    """A letter where it is cut."""
    import shapely

    shift = (glyph.x_mm, glyph.baseline_mm)
    return shapely.transform(_outline_shape(glyph.outline), lambda points: points + shift)


def text_lines(sign: SignLayout) -> tuple[RaisedLine | VisualLine, ...]:
    """All lines of characters, raised or flat."""
    return (*sign.lines, *sign.visual)


def line_shape(line: RaisedLine | VisualLine) -> Any:
    """All letters of a line."""
    import shapely

    return shapely.geometrycollections([glyph_shape(glyph) for glyph in line.glyphs])


def line_box(line: RaisedLine | VisualLine) -> Box:
    """The box around all letters of a line."""
    boxes = [glyph.box for glyph in line.glyphs]
    return Box(
        left_mm=min(box.left_mm for box in boxes),
        bottom_mm=min(box.bottom_mm for box in boxes),
        right_mm=max(box.right_mm for box in boxes),
        top_mm=max(box.top_mm for box in boxes),
    )


def dot_box(dot: Dot, radius_mm: float) -> Box:
    """The box around a dot."""
    return Box(
        left_mm=dot.x_mm - radius_mm,
        bottom_mm=dot.y_mm - radius_mm,
        right_mm=dot.x_mm + radius_mm,
        top_mm=dot.y_mm + radius_mm,
    )


def rings_shape(rings: tuple[Ring, ...]) -> Any:
    """The contours themselves, not what they enclose: a border encloses the whole text."""
    import shapely

    return shapely.geometrycollections([shapely.linearrings(ring) for ring in rings])


def decoration(sign: SignLayout) -> Iterator[tuple[str, Any]]:
    """Whatever else is raised on the sign, by name."""
    if sign.border:
        yield "the border", rings_shape(sign.border)
    if sign.pictogram is not None and sign.pictogram.rings:
        yield f"pictogram {sign.pictogram.name!r}", rings_shape(sign.pictogram.rings)


def point_shape(point: Point) -> Any:
    """A single point."""
    import shapely

    return shapely.points(*point)


def dots_shape(dots: tuple[Dot, ...]) -> Any:
    """Dot centers."""
    import shapely

    return shapely.multipoints([(dot.x_mm, dot.y_mm) for dot in dots])


def plate_edge(sign: SignLayout) -> Any:
    """The plate's edge: its own outline, or a rectangle with rounded corners."""
    import shapely

    if sign.outline:
        return shapely.linearrings(sign.outline)
    radius = sign.corner_radius_mm
    core = shapely.box(radius, radius, sign.width_mm - radius, sign.height_mm - radius)
    return shapely.get_exterior_ring(shapely.buffer(core, radius, quad_segs=32) if radius else core)


def plate_shape(sign: SignLayout) -> Any:
    """The plate, filled."""
    import shapely

    return shapely.polygons(plate_edge(sign))


def distance_mm(a: Any, b: Any) -> float:
    """Closest points of two shapes; 0 where they touch or overlap."""
    import shapely

    return float(shapely.distance(a, b))


def inside_edge_mm(sign: SignLayout, shape: Any) -> float:
    """Least distance of a shape to the plate's edge; how far it sticks out, negative, where it leaves the plate."""
    import shapely

    if shapely.covers(plate_shape(sign), shape):
        return distance_mm(plate_edge(sign), shape)
    points = shapely.points(shapely.get_coordinates(shape))
    outside = shapely.distance(plate_shape(sign), points)
    return -float(outside.max()) if outside.max() > 0 else 0.0


def word_pairs(line: RaisedLine) -> Iterator[tuple[PlacedGlyph, PlacedGlyph]]:
    """Neighboring characters of the same word."""
    for first, end in line.words:
        yield from zip(line.glyphs[first : end - 1], line.glyphs[first + 1 : end], strict=True)


def line_gap_pairs(line: RaisedLine) -> Iterator[tuple[PlacedGlyph, PlacedGlyph]]:
    """Last character of a word and first of the next."""
    for (_, end), (first, _) in zip(line.words, line.words[1:], strict=False):
        yield line.glyphs[end - 1], line.glyphs[first]


def ink_bottom_mm(sign: SignLayout) -> float:
    """Lowest point of all raised characters."""
    return min(glyph.box.bottom_mm for line in sign.lines for glyph in line.glyphs)


def spread_mm(sign: SignLayout) -> float:
    """How much wider than its face a letter is at its base, on each side."""
    return sign.build.raised_mm * math.tan(math.radians(sign.build.side_deg))


def _signed_area(ring: Ring) -> float:
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True)) / 2
