"""Plain figures read back from their contours: rounded triangles, circles, five-pointed stars."""

import math
from dataclasses import dataclass
from itertools import pairwise

from schedule2sign.model.shape import Point, Ring, SignLayout

_STAR_POINTS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Triangle:
    """The triangle its three long sides make where they meet; `tips` are its rounded points, each with its radius."""

    edges_mm: tuple[float, ...]
    tips: tuple[tuple[Point, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Star:
    """A star by the circle through its points."""

    center: Point
    diameter_mm: float


def read_triangle(ring: Ring) -> Triangle | None:
    """The ring as a triangle with rounded points; None where it has no three long sides."""
    sides = sorted(pairwise((*ring, ring[0])), key=lambda side: -math.dist(*side))[:3]
    if len(sides) < 3 or math.dist(*sides[2]) < max(spans(ring)) / 2:
        return None
    corners = [_meet(sides[i], sides[j]) for i, j in ((0, 1), (1, 2), (2, 0))]
    tips = [min(ring, key=lambda point: math.dist(corner, point)) for corner in corners]
    return Triangle(
        edges_mm=tuple(math.dist(a, b) for a, b in pairwise((*corners, corners[0]))),
        # In a point of 60 degrees an arc of radius r comes within r of the corner.
        tips=tuple((tip, math.dist(corner, tip)) for corner, tip in zip(corners, tips, strict=True)),
    )


def spans(ring: Ring) -> tuple[float, float]:
    """Width and height."""
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    return max(xs) - min(xs), max(ys) - min(ys)


def read_star(ring: Ring) -> Star | None:
    """The ring as a five-pointed star; None where it is none."""
    if len(ring) != _STAR_POINTS:
        return None
    center = (sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring))
    radii = [math.dist(center, point) for point in ring]
    outer, inner = max(radii[::2], radii[1::2], key=sum), min(radii[::2], radii[1::2], key=sum)
    return Star(center=center, diameter_mm=2 * max(outer)) if min(outer) > max(inner) else None


def find_stars(sign: SignLayout) -> tuple[Star, ...]:
    """Stars among the raised decoration."""
    return tuple(star for star in map(read_star, sign.border) if star is not None)


def is_figure_alone(sign: SignLayout) -> bool:
    """A plate that is no rectangle and carries nothing to read: a geometric door symbol."""
    return bool(sign.outline) and not (sign.lines or sign.dots or sign.visual or sign.window)


def _meet(a: tuple[Point, Point], b: tuple[Point, Point]) -> Point:
    """Where the lines through two segments cross."""
    (x1, y1), (x2, y2) = a
    (x3, y3), (x4, y4) = b
    across = (x1 - x2) * (y3 - y4) - (y1 - y2) * (x3 - x4)
    first, second = x1 * y2 - y1 * x2, x3 * y4 - y3 * x4
    return (
        (first * (x3 - x4) - (x1 - x2) * second) / across,
        (first * (y3 - y4) - (y1 - y2) * second) / across,
    )
