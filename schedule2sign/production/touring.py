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
    way, dist = [points[index] for index in order], math.dist
    improved = True
    while improved:
        improved = False
        for first in range(1, len(way) - 1):
            before = way[first - 1]
            for last in range(first + 1, len(way)):
                # What is saved by going through the stretch the other way: only its two joints change.
                start, end = way[first], way[last]
                gain = dist(before, start) - dist(before, end)
                if last + 1 < len(way):
                    after = way[last + 1]
                    gain += dist(end, after) - dist(start, after)
                if gain > _GAIN_MM:
                    way[first : last + 1] = reversed(way[first : last + 1])
                    order[first : last + 1] = reversed(order[first : last + 1])
                    improved = True
    return order
