"""Lengths as printed in a standard, converted once and exactly."""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache

MM_PER_INCH = 25.4
_MM = {"in": Fraction(254, 10), "mm": Fraction(1)}
_LONGEST = 40  # characters; more is no length of anything
_LENGTH = re.compile(r"\s*(?:(\d+)\s+)?(\d+)\s*/\s*(\d+)\s*([a-z\"]*)\s*$|\s*(\d*\.?\d+)\s*([a-z\"]*)\s*$")


@dataclass(frozen=True, slots=True)
class Length:
    """A length with the number and unit it was printed in.

    Attributes:
        printed: the number as printed, "0.090" or "5/8".
        unit: "in" or "mm".
    """

    printed: str
    unit: str

    @property
    def mm(self) -> float:
        """Exact conversion: 0.090 in is 2.286 mm, not the rounded 2.3 of a printed table."""
        return _exact_mm(self.printed, self.unit)

    def __str__(self) -> str:
        return f"{self.printed} {self.unit}"


@cache
def _exact_mm(printed: str, unit: str) -> float:
    # A table has few numbers and a job compares with each of them thousands of times.
    return float(_fraction(printed) * _MM[unit])


def _fraction(text: str) -> Fraction:
    whole, _, part = text.strip().rpartition(" ")
    return (Fraction(whole) if whole else Fraction(0)) + Fraction(part)


def parse_length(text: str, default_unit: str = "") -> Length:
    """Read "0.090 in", "5/8 in", "1 1/2\\"" or "16 mm".

    Raises:
        ValueError: no number, or a unit that is neither inch nor millimetre.
    """
    match = _LENGTH.fullmatch(text.lower()) if len(text) <= _LONGEST else None
    if not match:
        raise ValueError(f"{text!r} is not a length; write it like '0.625 in', '5/8 in' or '16 mm'")
    whole, top, bottom, unit_a, decimal, unit_b = match.groups()
    unit = (unit_a or unit_b or default_unit).replace('"', "in")
    if unit not in _MM:
        raise ValueError(f"{text!r} has no unit the tool knows; write 'in' or 'mm'")
    if decimal:
        return Length(str(Decimal(decimal)), unit)
    if int(bottom) == 0:
        raise ValueError(f"{text!r} divides by zero")
    return Length(f"{whole} {top}/{bottom}" if whole else f"{top}/{bottom}", unit)


def inches(value_mm: float) -> float:
    """Millimetres to inches."""
    return value_mm / MM_PER_INCH
