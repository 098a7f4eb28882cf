"""Order of plates on a sheet: a short way from one to the next, from the corner the sheet is registered at."""

import math
from collections.abc import Sequence

from schedule2sign.model.shape import Point

_GAIN_MM = 1e-6


def shorten_tour(points: Sequence[Point], start: Point = (0.0, 0.0)) -> tuple[int, ...]:
    """Indices of the points in an order that no turning round of a stretch makes shorter (2-opt), first point nearest
    to `start`. The same points give the same order every time.
    """
    if not points:
        return ()
    left = set(range(len(points)))
    order: list[int] = []
    here = start
    while left:
        index = min(left, key=lambda i: (round(math.dist(here, points[i]), 6), i))
        left.remove(index)
        order.append(index)
        here = points[index]
    return tuple(_turn_stretches(order, points))


def _turn_stretches(order: list[int], points: Sequence[Point]) -> list[int]:
    improved = True
    while improved:
        improved = False
        for first in range(1, len(order) - 1):
            for last in range(first + 1, len(order)):
                if _gain_mm(order, points, first, last) > _GAIN_MM:
                    order[first : last + 1] = reversed(order[first : last + 1])
                    improved = True
    return order


def _gain_mm(order: Sequence[int], points: Sequence[Point], first: int, last: int) -> float:
    """What is saved by going through the stretch from `first` to `last` the other way: only its two joints change."""
    before, start, end = (points[order[place]] for place in (first - 1, first, last))
    gain = math.dist(before, start) - math.dist(before, end)
    if last + 1 < len(order):
        after = points[order[last + 1]]
        gain += math.dist(end, after) - math.dist(start, after)
    return gain
