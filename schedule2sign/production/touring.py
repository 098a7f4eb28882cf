"""Order of plates on a sheet: a short way from one to the next, from the corner the sheet is registered at."""

import math
from collections.abc import Sequence

from schedule2sign.model.shape import Point
from schedule2sign.production.cutpath import length_of

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
    best = length_of([points[index] for index in order])
    improved = True
    while improved:
        improved = False
        for first in range(1, len(order) - 1):
            for last in range(first + 1, len(order)):
                tried = [*order[:first], *reversed(order[first : last + 1]), *order[last + 1 :]]
                length = length_of([points[index] for index in tried])
                if length < best - _GAIN_MM:
                    order, best, improved = tried, length, True
    return order
