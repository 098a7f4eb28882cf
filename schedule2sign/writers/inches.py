"""Millimetres as the inches that are written, in whole steps of a millionth: a job has millions of numbers."""

from typing import Any

import numpy

from schedule2sign.model.measure import MM_PER_INCH

PLACES = 6  # decimals of an inch that are written; 1e-6 in is 0.025 micrometres
STEPS = 10**PLACES  # in an inch
_MOST_IN = 10_000.0  # far past any sheet; from about 1e6 in on the steps would no longer be exact
_NEAR_TIE = 0.5 - 1e-3  # steps off a whole one from where the product's own rounding could decide


def inch(value_mm: float) -> float:
    """One length."""
    return round(value_mm / MM_PER_INCH, PLACES) + 0.0  # + 0.0 turns -0.0 into 0.0


def steps_of(values_mm: Any) -> Any:
    """An array of lengths in whole steps, each just as `inch` rounds it.

    Raises:
        ValueError: one is not finite, or longer than anything drawn.
    """
    return round_steps(values_mm / MM_PER_INCH)


def round_steps(values_in: Any) -> Any:
    """An array of inches in whole steps, each just as Python's round() gives it; refuses as `steps_of` does."""
    # The ends tell of all: what is not a number is passed on by min and max, and is within no limits.
    if values_in.size and not (values_in.min() > -_MOST_IN and values_in.max() < _MOST_IN):
        held = numpy.abs(values_in) < _MOST_IN
        raise ValueError(f"a coordinate is {values_in[~held].flat[0]} in")
    exact = values_in * STEPS
    whole = numpy.rint(exact)
    off = numpy.abs(exact - whole, out=exact)
    if values_in.size and off.max() > _NEAR_TIE:
        tied = off > _NEAR_TIE
        whole[tied] = [round(round(value, PLACES) * STEPS) for value in values_in[tied].tolist()]
    return whole.astype(numpy.int64)
