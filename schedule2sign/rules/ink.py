"""Closest distances on a finished sign: letter to letter, letter to dot, anything to the plate's edge."""

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import accumulate, pairwise
from typing import Any

from schedule2sign.model.shape import Box, Dot, Outline, PlacedGlyph, Point, RaisedLine, Ring, SignLayout, VisualLine
from schedule2sign.once import once

Pair = tuple[RaisedLine | VisualLine, int, int]  # two characters of a line, by their places among `characters`

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


@once
def characters(sign: SignLayout) -> tuple[PlacedGlyph, ...]:
    """All characters, line by line."""
    return tuple(glyph for line in text_lines(sign) for glyph in line.glyphs)


@once
def line_starts(sign: SignLayout) -> tuple[int, ...]:
    """The place of each line's first character among `characters`, and the count of all."""
    return tuple(accumulate((len(line.glyphs) for line in text_lines(sign)), initial=0))


@once
def _letter_shapes(sign: SignLayout) -> Any:
    """Each of the `characters` where it is cut: as `glyph_shape`, but all moved in one go."""
    import numpy
    import shapely

    glyphs = characters(sign)
    shapes = numpy.array([_outline_shape(glyph.outline) for glyph in glyphs], dtype=object)
    points, owner = shapely.get_coordinates(shapes, return_index=True)
    shifts = numpy.array([(glyph.x_mm, glyph.baseline_mm) for glyph in glyphs]).reshape(-1, 2)
    return shapely.set_coordinates(shapes, points + shifts[owner])


@once
def line_shapes(sign: SignLayout) -> tuple[Any, ...]:
    """All letters of each of the sign's `text_lines`, where they are cut."""
    import shapely

    letters = _letter_shapes(sign)
    return tuple(shapely.geometrycollections(letters[first:end]) for first, end in pairwise(line_starts(sign)))


def raised_shapes(sign: SignLayout) -> tuple[tuple[RaisedLine, Any], ...]:
    """Every raised line with all its letters."""
    return tuple(zip(sign.lines, line_shapes(sign), strict=False))  # flat lines come after the raised ones


def gaps_mm(sign: SignLayout, pairs: Sequence[Pair]) -> list[float]:
    """Closest points of each two characters."""
    import shapely

    letters = _letter_shapes(sign)
    firsts, seconds = [first for _, first, _ in pairs], [second for _, _, second in pairs]
    found: list[float] = shapely.distance(letters[firsts], letters[seconds]).tolist()
    return found


def name_pair(sign: SignLayout, pair: Pair, between: str = "") -> str:
    """Two characters as they are read."""
    _, first, second = pair
    glyphs = characters(sign)
    return f"{glyphs[first].outline.char}{between}{glyphs[second].outline.char}"


def line_box(line: RaisedLine | VisualLine) -> Box:
    """The box around all letters of a line."""
    return _box_around(line.glyphs)


@once
def text_box(sign: SignLayout) -> Box:
    """The box around all raised letters."""
    return _box_around([glyph for line in sign.lines for glyph in line.glyphs])


def _box_around(glyphs: Sequence[PlacedGlyph]) -> Box:
    return Box(
        left_mm=min([glyph.left_mm for glyph in glyphs]),
        bottom_mm=min([glyph.bottom_mm for glyph in glyphs]),
        right_mm=max([glyph.right_mm for glyph in glyphs]),
        top_mm=max([glyph.top_mm for glyph in glyphs]),
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


@once
def dots_shape(sign: SignLayout) -> Any:
    """Dot centers."""
    import shapely

    return shapely.multipoints([(dot.x_mm, dot.y_mm) for dot in sign.dots])


def plate_edge(sign: SignLayout) -> Any:
    """The plate's edge: its own outline, or a rectangle with rounded corners."""
    return _plate(sign)[0]


def _plate(sign: SignLayout) -> tuple[Any, Any]:
    return _make_plate(sign.outline, sign.width_mm, sign.height_mm, sign.corner_radius_mm)


@lru_cache(maxsize=256)
def _make_plate(outline: Ring, width_mm: float, height_mm: float, radius_mm: float) -> tuple[Any, Any]:
    """Edge and filled plate; a job has few sizes of plate."""
    import shapely

    if outline:
        edge = shapely.linearrings(outline)
    else:
        core = shapely.box(radius_mm, radius_mm, width_mm - radius_mm, height_mm - radius_mm)
        edge = shapely.get_exterior_ring(shapely.buffer(core, radius_mm, quad_segs=32) if radius_mm else core)
    plate = shapely.polygons(edge)
    shapely.prepare([edge, plate])
    return edge, plate


def distance_mm(a: Any, b: Any) -> float:
    """Closest points of two shapes; 0 where they touch or overlap."""
    import shapely

    return float(shapely.distance(a, b))


def inside_edge_mm(sign: SignLayout, shape: Any) -> float:
    """Least distance of a shape to the plate's edge; how far it sticks out, negative, where it leaves the plate."""
    import shapely

    edge, plate = _plate(sign)
    if _is_clear_of_corners(sign, shape) or shapely.covers(plate, shape):
        return distance_mm(edge, shape)
    points = shapely.points(shapely.get_coordinates(shape))
    outside = shapely.distance(plate, points)
    return -float(outside.max()) if outside.max() > 0 else 0.0


def _is_clear_of_corners(sign: SignLayout, shape: Any) -> bool:
    """Whether the shape's box lies on a plain plate, between its rounded corners: then all of it is on the plate."""
    import shapely

    left, bottom, right, top = shapely.bounds(shape).tolist()
    radius, width, height = sign.corner_radius_mm, sign.width_mm, sign.height_mm
    beside = radius <= left and right <= width - radius and bottom >= 0 and top <= height
    between = left >= 0 and right <= width and radius <= bottom and top <= height - radius
    return not sign.outline and (beside or between)


@once
def word_pairs(sign: SignLayout) -> tuple[Pair, ...]:
    """Neighboring characters of the same word, of every raised line."""
    return tuple(
        (line, start + place, start + place + 1)
        for line, start in zip(sign.lines, line_starts(sign), strict=False)
        for first, end in _words(line)
        for place in range(first, end - 1)
    )


@once
def word_gaps(sign: SignLayout) -> tuple[Pair, ...]:
    """Last character of a word and first of the next, of every raised line."""
    return tuple(
        (line, start + end - 1, start + first)
        for line, start in zip(sign.lines, line_starts(sign), strict=False)
        for (_, end), (first, _) in pairwise(_words(line))
    )


def _words(line: RaisedLine) -> tuple[tuple[int, int], ...]:
    if any(not 0 <= first < end <= len(line.glyphs) for first, end in line.words):
        raise ValueError(f"the words of raised line {line.text!r} are not among its {len(line.glyphs)} characters")
    return line.words


def ink_bottom_mm(sign: SignLayout) -> float:
    """Lowest point of all raised characters."""
    return text_box(sign).bottom_mm


def spread_mm(sign: SignLayout) -> float:
    """How much wider than its face a letter is at its base, on each side."""
    return sign.build.raised_mm * math.tan(math.radians(sign.build.side_deg))


def _signed_area(ring: Ring) -> float:
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True)) / 2
