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
    away = [[math.dist(one, other) for other in points] for one in points]
    from_here = [math.dist(start, point) for point in points]
    left = set(range(len(points)))
    order: list[int] = []
    while left:
        index = min(left, key=lambda i: (round(from_here[i], 6), i))
        left.remove(index)
        order.append(index)
        from_here = away[index]
    return tuple(_turn_stretches(order, away))


def _turn_stretches(order: list[int], away: Sequence[Sequence[float]]) -> list[int]:
    improved = True
    while improved:
        improved = False
        for first in range(1, len(order) - 1):
            from_before = away[order[first - 1]]
            for last in range(first + 1, len(order)):
                # What is saved by going through the stretch the other way: only its two joints change.
                start, end = order[first], order[last]
                gain = from_before[start] - from_before[end]
                if last + 1 < len(order):
                    after = away[order[last + 1]]
                    gain += after[end] - after[start]
                if gain > _GAIN_MM:
                    order[first : last + 1] = reversed(order[first : last + 1])
                    improved = True
    return order
