"""Corners as text: most of every drawing is coordinates, so those of a whole file are written at once."""

import functools
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Any

import numpy

_THOUSAND = 1000  # a step is a thousandth of a thousandth
_WORD = 4  # bytes of text that are put in place at once
_UNUSED = b"\0"  # no text of ours holds it
_SMALL = 2**32  # steps


def write_corners(steps: Any, lengths: Sequence[int], before: bytes, between: bytes, after: bytes) -> list[str]:
    """The text of each path: `before` x `between` y `after` of every corner, in inches with six decimals.

    Args:
        steps: whole steps of an inch, x and y of all corners of all paths.
        lengths: corners of each path, in that order; none is empty.
        between: of one byte at least, as `after`.
    """
    if not lengths:
        return []
    signed = bool(steps.min() < 0)
    size = numpy.abs(steps) if signed else steps
    if size.max() < _SMALL:
        size = size.astype(numpy.uint32)  # twice as fast
    thousandths = size // _THOUSAND
    whole = thousandths // _THOUSAND
    digits = len(str(whole.max()))
    # All numbers have room for a sign and for as many digits as the longest; those that need less leave bytes unused.
    row, fields = _row(before, between, after, digits, signed=signed)
    text = bytearray(row * len(steps))
    rows = numpy.frombuffer(text, fields)
    # A word may reach over into the next field, which is then written after it.
    wholes = _whole_numbers(10**digits).take(whole)
    highs = _three_digits(b".", b"").take(thousandths - whole * _THOUSAND)
    low = size - thousandths * _THOUSAND
    for axis, (name, ending) in enumerate((("x", between), ("y", after))):
        if signed:
            rows[f"{name} sign"] = numpy.where(steps[:, axis] < 0, b"-", b"")
        rows[f"{name} whole"] = wholes[:, axis]
        rows[f"{name} high"] = highs[:, axis]
        rows[f"{name} low"] = _three_digits(b"", ending[:1]).take(low[:, axis])
    ends = numpy.cumsum(lengths)
    marks = ends * len(row)
    if signed or len(str(whole.min())) < digits:
        unused = _unused_digits(digits).take(whole)
        if signed:
            unused += steps >= 0
        marks -= numpy.cumsum(unused[:, 0] + unused[:, 1])[ends - 1]
        text = text.translate(None, _UNUSED)
    written = text.decode("ascii")
    return [written[first:end] for first, end in pairwise([0, *marks.tolist()])]


@functools.lru_cache(maxsize=64)
def _row(before: bytes, between: bytes, after: bytes, digits: int, *, signed: bool) -> tuple[bytes, Any]:
    """A corner as bytes of a fixed width without its numbers, and where they go."""
    fields: dict[str, tuple[str, int]] = {}
    text = b""
    for name, lead, ending in (("x", before, between), ("y", b"", after)):
        text += lead
        if signed:
            fields[f"{name} sign"] = ("S1", len(text))
            text += _UNUSED
        fields[f"{name} whole"] = ("u4", len(text))
        fields[f"{name} high"] = ("u4", len(text) + digits)
        fields[f"{name} low"] = ("u4", len(text) + digits + _WORD)
        text += _UNUSED * (digits + _WORD + 3) + ending
    names, places = list(fields), list(fields.values())
    kind = numpy.dtype(
        {
            "names": names,
            "formats": [kind for kind, _ in places],
            "offsets": [at for _, at in places],
            "itemsize": len(text),
        }
    )
    return text, kind


@functools.cache
def _whole_numbers(count: int) -> Any:
    """The numbers below a power of ten as words, each of as many bytes as the longest."""
    digits = len(str(count - 1))
    return _words(str(number).encode().rjust(digits, _UNUSED) for number in range(count))


@functools.cache
def _unused_digits(digits: int) -> Any:
    """How many digits fewer than these the numbers have."""
    return numpy.array([digits - len(str(number)) for number in range(10**digits)])


@functools.cache
def _three_digits(before: bytes, after: bytes) -> Any:
    """The numbers below a thousand with all three digits, as words."""
    return _words(before + b"%03d" % number + after for number in range(_THOUSAND))


def _words(texts: Iterable[bytes]) -> Any:
    return numpy.frombuffer(b"".join(text.ljust(_WORD, _UNUSED) for text in texts), numpy.uint32)
