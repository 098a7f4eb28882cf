"""Millimetres as the inches that are written, ring by ring: a job has millions of points."""

from collections.abc import Sequence
from typing import Any

import numpy

from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.shape import Point

PLACES = 6  # decimals of an inch that are written; 1e-6 in is 0.025 micrometres
_STEPS = 10.0**PLACES
_HALF_WAY = 1e-3  # steps round a tie in which the product's own rounding could decide


def inch(value_mm: float) -> float:
    """One length."""
    return round(value_mm / MM_PER_INCH, PLACES) + 0.0  # + 0.0 turns -0.0 into 0.0


def inches_of(values_mm: Any) -> Any:
    """An array of lengths, each just as `inch` gives it."""
    with numpy.errstate(invalid="ignore"):  # what is not finite stays so; who draws refuses it
        exact = values_mm / MM_PER_INCH
        steps = exact * _STEPS
        whole = numpy.rint(steps)
        found = whole / _STEPS + 0.0
        tied = numpy.abs(numpy.abs(steps - whole) - 0.5) < _HALF_WAY
    for index in numpy.flatnonzero(tied):
        found[index] = round(float(exact[index]), PLACES) + 0.0
    return found


def columns_of(ring: Sequence[Point]) -> tuple[Any, Any]:
    """The x and the y of a ring as arrays."""
    both = numpy.array(ring, dtype=float).reshape(-1, 2)
    return both[:, 0], both[:, 1]


def drop_repeats(xs: Any, ys: Any) -> tuple[list[float], list[float]]:
    """A closed ring without the points whose next one is the same."""
    kept = numpy.flatnonzero((xs != numpy.roll(xs, -1)) | (ys != numpy.roll(ys, -1)))
    return xs[kept].tolist(), ys[kept].tolist()
