"""Closed rings: area, bounds, and contours turned into filled shapes with counters."""

import math
from collections.abc import Iterable, Sequence

import numpy
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from schedule2sign.model.shape import Box, Point, Ring

_SAME = 1e-9  # two points closer than this are one
_LONG_SIDE = 8.0  # sides of a notch, in steps
_NOTCH_REACH = 3.0  # how far the point may lie from the step, in steps
_STRAIGHT = 1e-7  # a corner that bends a chord by less than this is no corner


def ring_area(ring: Sequence[Point]) -> float:
    """Signed area: counter-clockwise is positive."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)) / 2


def box_of(rings: Iterable[Ring]) -> Box:
    """The smallest box around the rings."""
    points = [point for ring in rings for point in ring]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(left_mm=min(xs), bottom_mm=min(ys), right_mm=max(xs), top_mm=max(ys))


def fill_contours(contours: Iterable[Sequence[Point]]) -> BaseGeometry:
    """Contours of one drawing merged as a font or SVG fills them (nonzero): overlaps joined, counters cut.

    Largest contour first: those that run its way add ink, those that run the other way take it away.
    """
    cleaned = [ring for contour in contours if len(ring := _drop_repeats(contour)) >= 3]
    rings = sorted(cleaned, key=lambda ring: -abs(ring_area(ring)))
    if not rings:
        return MultiPolygon()
    outward = ring_area(rings[0]) > 0
    shape: BaseGeometry = MultiPolygon()
    for ring in rings:
        part = Polygon(ring)
        if not part.is_valid:
            part = part.buffer(0)
        shape = shape.union(part) if (ring_area(ring) > 0) == outward else shape.difference(part)
    return shape


def shape_rings(shape: BaseGeometry) -> tuple[Ring, ...]:
    """Rings of a filled shape: outer ones counter-clockwise, counters clockwise, left to right."""
    rings: list[Ring] = []
    for polygon in polygons_of(shape):
        sided = orient(polygon)
        rings += [clean_ring(list(ring.coords)) for ring in (sided.exterior, *sided.interiors)]
    return tuple(sorted(rings, key=lambda ring: (ring_area(ring) < 0, box_of([ring]).left_mm, ring)))


def move_shape(shape: BaseGeometry, dx: float, dy: float) -> BaseGeometry:
    """The shape moved."""
    by = numpy.array((dx, dy))
    return shapely.transform(shape, lambda points: points + by)


def polygons_of(shape: BaseGeometry) -> list[Polygon]:
    """The polygons a shape is made of."""
    if isinstance(shape, Polygon):
        return [] if shape.is_empty else [shape]
    return [part for part in getattr(shape, "geoms", ()) if isinstance(part, Polygon) and not part.is_empty]


def sharpen_notches(ring: Ring, most: float) -> Ring:
    """The ring with every tiny step at the bottom of an inner corner drawn to the point its long sides aim at.

    Type designers leave such steps where two strokes meet; they are finer than any cutter and show as burrs.
    Ink runs counter-clockwise, so an inner corner turns right. A step is at most `most` long.
    """
    points = list(ring)
    index = 0
    while index < len(points) and len(points) > 4:
        a, b, c, d = (points[(index + turn) % len(points)] for turn in range(4))
        if point := _notch_point(a, b, c, d, most):
            points[(index + 1) % len(points)] = point
            del points[(index + 2) % len(points)]
        index += 1
    return tuple(points)


def _notch_point(a: Point, b: Point, c: Point, d: Point, most: float) -> Point | None:
    """Where the sides a-b and d-c meet, when b-c is a tiny step at the bottom of an inner corner."""
    step = math.dist(b, c)
    if step > most or min(math.dist(a, b), math.dist(c, d)) < _LONG_SIDE * step:
        return None
    if _turn(a, b, c) >= 0 or _turn(b, c, d) >= 0:
        return None
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    cross = ux * vy - uy * vx
    if cross == 0:
        return None
    along = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / cross
    point = (a[0] + along * ux, a[1] + along * uy)
    return point if max(math.dist(point, b), math.dist(point, c)) <= _NOTCH_REACH * step else None


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def clean_ring(points: Sequence[Point]) -> Ring:
    """The ring without repeated points and without points on a straight run."""
    ring = _drop_repeats(points)
    kept = [
        point
        for index, point in enumerate(ring)
        if not _on_chord(ring[index - 1], point, ring[(index + 1) % len(ring)])
    ]
    return tuple((float(x), float(y)) for x, y in kept)


def _drop_repeats(points: Sequence[Point]) -> list[Point]:
    ring: list[Point] = []
    for point in points:
        if not ring or abs(point[0] - ring[-1][0]) > _SAME or abs(point[1] - ring[-1][1]) > _SAME:
            ring.append(point)
    while len(ring) > 1 and abs(ring[0][0] - ring[-1][0]) <= _SAME and abs(ring[0][1] - ring[-1][1]) <= _SAME:
        ring.pop()
    return ring


def _on_chord(a: Point, b: Point, c: Point) -> bool:
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]
    along = ux * vx + uy * vy
    return bool(along > 0 and abs(ux * vy - uy * vx) <= _STRAIGHT * along)
