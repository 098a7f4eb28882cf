"""Lengths and speeds in words, in the unit the shop works in."""

from schedule2sign.model.measure import inches


def length_text(value_mm: float, unit: str = "in", places: int | None = None) -> str:
    """A length for people: "0.0280 in" or "0.711 mm"."""
    decimals = places if places is not None else (4 if unit == "in" else 3)
    return f"{inches(value_mm) if unit == 'in' else value_mm:.{decimals}f} {unit}"


def short_length(value_mm: float, unit: str) -> str:
    """A length without trailing zeros, for names: "0.125 in"."""
    number, _ = length_text(value_mm, unit).split()
    return f"{number.rstrip('0').rstrip('.')} {unit}"


def minutes_text(seconds: float) -> str:
    """Hours and minutes, rounded up to the minute: "1 h 05 min"."""
    hours, minutes = divmod(-int(-seconds // 60), 60)
    return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"
