"""The one way numbers are printed: fixed decimals, no "-0"."""

from schedule2sign.model.measure import inches


def fixed(value: float, places: int) -> str:
    """Fixed decimals: fixed(-0.00001, 4) is "0.0000"."""
    text = f"{value:.{places}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def trimmed(value: float, places: int) -> str:
    """Fixed decimals without trailing zeros."""
    text = fixed(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def inch_text(value_mm: float, places: int = 4) -> str:
    """A length for people: "0.375 in"."""
    return f"{trimmed(inches(value_mm), places)} in"
