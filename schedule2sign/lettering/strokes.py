"""Thinnest stroke and smallest counter of a filled shape, for what a cutter can make."""

from shapely import make_valid
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import polylabel

from schedule2sign.geometry.rings import polygons_of

# A disc of radius r rolled inside a corner leaves less than this times r squared, down to a corner of about 25
# degrees; a stroke thinner than the disc leaves more.
_CORNER = 3.4
_STEPS = 24


def thinnest_stroke(shape: BaseGeometry) -> float:
    """Width of the thinnest stroke: the largest disc that still rolls through every stroke, in the shape's units."""
    low, high = 0.0, min(shape.bounds[2] - shape.bounds[0], shape.bounds[3] - shape.bounds[1]) / 2
    for _ in range(_STEPS):
        radius = (low + high) / 2
        if _loses_a_stroke(shape, radius):
            high = radius
        else:
            low = radius
    return 2 * low


def smallest_counter(shape: BaseGeometry) -> float | None:
    """Diameter of the largest circle in the tightest counter; None for a shape without counters."""
    found = []
    for polygon in polygons_of(shape):
        for ring in polygon.interiors:
            counter = Polygon(ring)
            tolerance = 1e-4 * max(counter.bounds[2] - counter.bounds[0], counter.bounds[3] - counter.bounds[1])
            found.append(2 * polylabel(counter, tolerance).distance(counter.exterior))
    return min(found, default=None)


def _loses_a_stroke(shape: BaseGeometry, radius: float) -> bool:
    rolled = shape.buffer(-radius, quad_segs=16).buffer(radius * 1.001, quad_segs=16)
    lost = make_valid(shape.difference(rolled))
    return rolled.is_empty or any(part.area > _CORNER * radius * radius for part in polygons_of(lost))
