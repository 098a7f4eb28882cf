"""Order of plates on a sheet: a short way from one to the next, from the corner the sheet is registered at."""

import math
from array import array
from collections.abc import Sequence

from schedule2sign.model.shape import Point

_GAIN_MM = 1e-6


def shorten_tour(points: Sequence[Point], start: Point = (0.0, 0.0)) -> tuple[int, ...]:
    """Indices of the points in an order that no turning round of a stretch makes shorter (2-opt), first point nearest
    to `start`. The same points give the same order every time.
    """
    if not points:
        return ()
    # A sheet may hold a thousand small pieces: eight bytes a distance.
    away = [array("d", [math.dist(one, other) for other in points]) for one in points]
    from_here = array("d", [math.dist(start, point) for point in points])
    left = list(range(len(points)))
    order: list[int] = []
    while left:
        steps = [round(from_here[index], 6) for index in left]
        index = left.pop(steps.index(min(steps)))  # the first of equals
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
