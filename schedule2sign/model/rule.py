"""Limits with their clause, and what a rule found."""

from dataclasses import dataclass
from enum import StrEnum

from schedule2sign.model.measure import Length


class Basis(StrEnum):
    """How far a limit can be trusted: read in the clause, read second hand, remembered, or our own."""

    STANDARD = "standard"
    SECONDARY = "secondary"
    MEMORY = "memory"
    HOUSE = "house"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A published range. `low` and `high` are numbers as printed; `unit` is "in", "mm", "percent", "strokes" or "deg".

    Numbers compare in `value` units: mm for lengths, else the printed unit itself.
    """

    key: str
    low: str | None
    high: str | None
    unit: str
    clause: str
    basis: Basis

    def _value(self, printed: str | None) -> float | None:
        if printed is None:
            return None
        if self.unit in ("in", "mm"):
            return Length(printed, self.unit).mm
        return float(printed)

    @property
    def low_value(self) -> float | None:
        return self._value(self.low)

    @property
    def high_value(self) -> float | None:
        return self._value(self.high)

    def __str__(self) -> str:
        unit = "%" if self.unit == "percent" else self.unit
        if self.low is None:
            return f"{self.high} {unit} max."
        if self.high is None:
            return f"{self.low} {unit} min."
        return f"{self.low} {unit}" if self.low == self.high else f"{self.low} to {self.high} {unit}"


class Outcome(StrEnum):
    """Exactly one per rule and sign. NOT_CHECKED holds the sign: silence is never a pass."""

    MET = "met"
    FLAGGED = "flagged"
    NOT_APPLICABLE = "not applicable"
    NOT_CHECKED = "not checked"


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """One measured value against one limit. `value` is mm for lengths, else in the limit's unit.

    `margin` is the distance to the nearest end of the limit, negative outside; `where` says what was measured.
    """

    limit: Limit
    value: float
    margin: float
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement:
    """What a standard says in words: the properties it allows, with their clause."""

    key: str
    allowed: tuple[str, ...]
    clause: str
    basis: Basis

    def __str__(self) -> str:
        return " or ".join(self.allowed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing wrong. `code` is one of the rule's declared codes.

    `measurement` is set for a number outside its limit; `requirement` and `found` for a property not allowed.
    """

    code: str
    message: str
    measurement: Measurement | None = None
    requirement: Requirement | None = None
    found: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What one rule says of one sign; `closest` holds the measurement with the least margin per limit."""

    rule: str
    outcome: Outcome
    findings: tuple[Finding, ...] = ()
    closest: tuple[Measurement, ...] = ()
    why_not: str = ""
