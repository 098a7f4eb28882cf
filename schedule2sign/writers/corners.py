"""Corners as text: most of every drawing is coordinates, so those of a whole file are written at once."""

import functools
from typing import Any

import numpy

from schedule2sign.writers.inches import STEPS

_END = b"\1"  # after the last corner of each path; no text of ours holds it
_THOUSAND = 1000
_THREE_DIGITS = numpy.array([f"{number:03}" for number in range(_THOUSAND)], dtype="S")


def write_corners(steps: Any, lengths: list[int], before: bytes, between: bytes, after: bytes) -> list[bytes]:
    """The text of each path: `before` x `between` y `after` of every corner, in inches with six decimals.

    Args:
        steps: whole steps of an inch, x and y of all corners of all paths.
        lengths: corners of each path, in that order; none is empty.
    """
    if not lengths:
        return []
    whole, part = numpy.divmod(numpy.abs(steps), STEPS)
    high, low = numpy.divmod(part, _THOUSAND)
    inches = _whole_numbers(10 ** len(str(whole.max())))
    number = [("sign", "S1"), ("whole", inches.dtype), ("point", "S1"), ("high", "S3"), ("low", "S3")]
    # A row of fixed width a corner; what a number leaves free stays NUL and is taken out of the text as a whole.
    row = numpy.zeros(
        1,
        [
            ("before", f"S{len(before)}"),
            ("x", number),
            ("between", f"S{len(between)}"),
            ("y", number),
            ("after", f"S{len(after) + 1}"),
        ],
    )
    row["before"], row["between"], row["after"] = before, between, after
    row["x"]["point"] = row["y"]["point"] = b"."
    rows = numpy.repeat(row, len(steps))
    for axis, name in enumerate("xy"):
        field = rows[name]
        field["sign"][steps[:, axis] < 0] = b"-"
        field["whole"] = inches[whole[:, axis]]
        field["high"] = _THREE_DIGITS[high[:, axis]]
        field["low"] = _THREE_DIGITS[low[:, axis]]
    rows["after"][numpy.cumsum(lengths) - 1] = after + _END
    return rows.tobytes().translate(None, b"\0").split(_END)[:-1]


@functools.cache
def _whole_numbers(count: int) -> Any:
    return numpy.array([str(number) for number in range(count)], dtype="S")
