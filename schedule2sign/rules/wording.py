"""Measured values and limits in words, in the unit the standard prints."""

from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.rule import Basis, Limit

_DECIMALS = {"in": 4, "mm": 3, "percent": 2, "strokes": 2, "deg": 2}
_MOST_DECIMALS = 9
_BASIS = {
    Basis.STANDARD: "",
    Basis.SECONDARY: "limit read second hand",
    Basis.MEMORY: "limit from memory, not read in the text",
    Basis.HOUSE: "house limit, printed in no standard",
}


def say_value(value: float, limit: Limit) -> str:
    """A value in the limit's unit, with as many decimals as it takes to tell it from the limit."""
    scale = MM_PER_INCH if limit.unit == "in" else 1.0
    unit = "%" if limit.unit == "percent" else limit.unit
    ends = [end / scale for end in (limit.low_value, limit.high_value) if end is not None]
    for decimals in range(_DECIMALS[limit.unit], _MOST_DECIMALS):
        text = f"{value / scale:.{decimals}f}"
        if all(abs(value / scale - end) < 10.0**-_MOST_DECIMALS or float(text) != round(end, decimals) for end in ends):
            break
    return f"{_without_minus_zero(text)} {unit}"


def say_basis(basis: Basis) -> str:
    """How the limit was read, "" where it was read in the standard itself."""
    return _BASIS[basis]


def _without_minus_zero(text: str) -> str:
    return text.removeprefix("-") if float(text) == 0 else text
