"""Plain figures: a circle, an equilateral triangle with rounded points, a five-pointed star. Point up, in mm."""

import math

from schedule2sign.geometry.curves import circle_points
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.shape import Point, Ring

_CHORD_ERROR_MM = 0.0005 * MM_PER_INCH
_ARC_STEPS = 12  # chords of a rounded point, a third of a turn
_STAR_INNER = math.sin(math.radians(18)) / math.sin(math.radians(126))  # notch radius of the regular pentagram


def circle_ring(center: Point, radius_mm: float) -> Ring:
    """A circle."""
    return tuple(circle_points(center, radius_mm, _CHORD_ERROR_MM))


def triangle_ring(center: Point, circumradius_mm: float, corner_mm: float) -> Ring:
    """An equilateral triangle; its sides would meet on the circumcircle, its points are rounded to `corner_mm`."""
    x, y = center
    corners = [90.0, 210.0, 330.0]
    if corner_mm <= 0:
        return tuple(_on_circle(center, circumradius_mm, angle) for angle in corners)
    # A 60 degree point: the rounding's center lies two radii inside it.
    return tuple(
        _on_circle(_on_circle((x, y), circumradius_mm - 2 * corner_mm, angle), corner_mm, angle + turn)
        for angle in corners
        for turn in (-60 + 120 * step / _ARC_STEPS for step in range(_ARC_STEPS + 1))
    )


def star_ring(center: Point, diameter_mm: float) -> Ring:
    """A regular star whose five points lie on a circle of this diameter."""
    radius = diameter_mm / 2
    return tuple(
        _on_circle(center, radius if index % 2 == 0 else radius * _STAR_INNER, 90 + 36 * index) for index in range(10)
    )


def star_box_mm(diameter_mm: float) -> tuple[float, float, float]:
    """Width of a star, and how far it reaches above and below the middle of its circle."""
    radius = diameter_mm / 2
    return 2 * radius * math.cos(math.radians(18)), radius, radius * math.cos(math.radians(36))


def _on_circle(center: Point, radius: float, angle_deg: float) -> Point:
    angle = math.radians(angle_deg)
    return center[0] + radius * math.cos(angle), center[1] + radius * math.sin(angle)
