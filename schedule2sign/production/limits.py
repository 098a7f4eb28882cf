"""Limits the bench's results are held against, read from limits.toml."""

import functools
import math
import tomllib
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from schedule2sign.model.measure import parse_length


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A window; a missing end is infinite. Lengths in mm, `corner_share` a plain share.

    Attributes:
        printed: the window as printed, for messages: "0.025 in to 0.037 in".
    """

    low: float
    high: float
    printed: str
    clause: str
    basis: str

    def holds(self, value: float) -> bool:
        """Inside the window; its ends belong to it (1e-9 mm for the arithmetic, no tolerance)."""
        return self.low - 1e-9 <= value <= self.high + 1e-9


@functools.cache
def load_limits() -> dict[str, Limit]:
    """All limits by name."""
    text = (files("schedule2sign.production") / "limits.toml").read_text(encoding="utf-8")
    return {name: _read_limit(table) for name, table in tomllib.loads(text).items()}


def _read_limit(table: dict[str, Any]) -> Limit:
    low, high = table.get("low"), table.get("high")
    printed = f"{low} to {high}" if low and high else f"{low} min." if low else f"{high} max."
    return Limit(
        low=_number(low) if low else -math.inf,
        high=_number(high) if high else math.inf,
        printed=printed,
        clause=table["clause"],
        basis=table["basis"],
    )


def _number(text: str) -> float:
    return float(text) if text.replace(".", "").isdigit() else parse_length(text).mm
