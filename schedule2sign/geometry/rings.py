"""Closed rings: area, bounds, and contours turned into filled shapes with counters."""

from collections.abc import Iterable, Sequence

from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from schedule2sign.model.shape import Box, Point, Ring

_SAME = 1e-9  # two points closer than this are one
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


def polygons_of(shape: BaseGeometry) -> list[Polygon]:
    """The polygons a shape is made of."""
    if isinstance(shape, Polygon):
        return [] if shape.is_empty else [shape]
    return [part for part in getattr(shape, "geoms", ()) if isinstance(part, Polygon) and not part.is_empty]


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
