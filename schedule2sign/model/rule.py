"""Limits with their clause, and what a rule found."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from functools import cache

from schedule2sign.model.measure import Length

# Ranges carry no tolerance (ADA 104.1.1). This is only the noise of floating point sums, far below any machine;
# the same figure serves percentages, strokes and degrees.
FLOAT_NOISE_MM = 1e-6


class Basis(StrEnum):
    """How far a limit can be trusted: read in the clause, read second hand, remembered, or our own."""

    STANDARD = "standard"
    SECONDARY = "secondary"
    MEMORY = "memory"
    HOUSE = "house"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A published range. `low` and `high` are numbers as printed; `unit` is "in", "mm", "percent", "strokes" or "deg".

    Numbers compare in `value` units: mm for lengths, else the printed unit itself. `part_of_range` marks a limit with
    one end whose other end the same clause prints in another unit.
    """

    key: str
    low: str | None
    high: str | None
    unit: str
    clause: str
    basis: Basis
    part_of_range: bool = False

    @property
    def low_value(self) -> float | None:
        return _value(self.low, self.unit)

    @property
    def high_value(self) -> float | None:
        return _value(self.high, self.unit)

    @property
    def is_range(self) -> bool:
        """Two end points are printed, so no tolerance is added to it (ADA 104.1.1)."""
        return self.part_of_range or (self.low is not None and self.high is not None and self.low != self.high)

    def __str__(self) -> str:
        unit = "%" if self.unit == "percent" else self.unit
        if self.low is None:
            return f"{self.high} {unit} max."
        if self.high is None:
            return f"{self.low} {unit} min."
        return f"{self.low} {unit}" if self.low == self.high else f"{self.low} to {self.high} {unit}"


@cache
def _value(printed: str | None, unit: str) -> float | None:
    if printed is None:
        return None
    return Length(printed, unit).mm if unit in ("in", "mm") else float(printed)


class Outcome(StrEnum):
    """Exactly one per rule and sign. NOT_CHECKED holds the sign: silence is never a pass."""

    MET = "met"
    FLAGGED = "flagged"
    NOT_APPLICABLE = "not applicable"
    NOT_CHECKED = "not checked"


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """One measured value against one limit. `value` is mm for lengths, else in the limit's unit.

    `margin` is the distance to the nearest end of the limit, negative outside; `margin_mm` is the same as a length on
    the sign, None where it is none; `where` says what was measured.
    """

    limit: Limit
    value: float
    margin: float
    where: str
    margin_mm: float | None = None

    def is_close(self, tolerance_mm: float) -> bool:
        """Inside a range by less than the process tolerance: the bench's own error could carry it out."""
        if self.margin_mm is None or not self.limit.is_range:
            return False
        return -FLOAT_NOISE_MM <= self.margin_mm < tolerance_mm - FLOAT_NOISE_MM


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
    """What one rule says of one sign.

    Attributes:
        closest: the measurement with the least margin per limit.
        judged: properties looked at, each with what was found (the last that is not allowed, if any).
    """

    rule: str
    outcome: Outcome
    findings: tuple[Finding, ...] = ()
    closest: tuple[Measurement, ...] = ()
    judged: tuple[tuple[Requirement, str], ...] = ()
    why_not: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleInForce:
    """A rule with what the job's standard sets for it. `waived` says why a limit is not set, key by key."""

    id: str
    title: str
    waivable: bool
    limits: tuple[Limit, ...]
    requirements: tuple[Requirement, ...]
    waived: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiver:
    """A finding of one rule on one sign, accepted by a named person.

    Attributes:
        code: the finding's code, without the rule.
        given: the day it was given.
        until: the last day it holds.
    """

    rule: str
    code: str
    sign: str
    reason: str
    name: str
    given: date
    until: date

    @property
    def flag_code(self) -> str:
        """Code of the flags it is about."""
        return f"rules/{self.rule}/{self.code}"

    def __str__(self) -> str:
        return (
            f"{self.flag_code} on {self.sign}, given by {self.name} on {self.given.isoformat()}, "
            f"until {self.until.isoformat()}: {self.reason}"
        )


class WaiverState(StrEnum):
    """What became of a waiver. All but USED hold."""

    USED = "used"
    UNUSED = "unused"
    EXPIRED = "expired"


@dataclass(frozen=True, slots=True, kw_only=True)
class WaiverUse:
    """A waiver of the job and what became of it."""

    waiver: Waiver
    state: WaiverState
