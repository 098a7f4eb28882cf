"""What the shop is told, asked, or stopped by."""

from dataclasses import dataclass
from enum import StrEnum

from schedule2sign.model.source import Source


class Severity(StrEnum):
    """How much a flag stops.

    NOTE: told. ASK: a default was taken, a person must tick it. HOLD: no production file.
    STOP: the file cannot be read safely.
    """

    NOTE = "NOTE"
    ASK = "ASK"
    HOLD = "HOLD"
    STOP = "STOP"

    @property
    def rank(self) -> int:
        """Position from mildest (0) to worst (3)."""
        return list(Severity).index(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Flag:
    """One line of the flagged list.

    Attributes:
        code: stable id such as "naming/unknown-abbreviation"; never renamed.
        message: what, where, how much, in words.
        given: the customer's text as it stood in the cell.
        measured: measured value with its unit, where something was measured.
        required: the limit with its unit.
        clause: published clause, or "" where the rule is ours.
        fix: what to do.
        who: who can decide (shop, architect, owner, transcriber, building official).
    """

    code: str
    severity: Severity
    message: str
    source: Source | None = None
    sign_id: str = ""
    given: str = ""
    measured: str = ""
    required: str = ""
    clause: str = ""
    fix: str = ""
    who: str = ""


def worst_severity(flags: tuple[Flag, ...]) -> Severity | None:
    """The highest severity among the flags, or None."""
    return max((flag.severity for flag in flags), key=lambda severity: severity.rank, default=None)


def holds(flags: tuple[Flag, ...]) -> bool:
    """True when any flag forbids a production file."""
    return any(flag.severity in (Severity.HOLD, Severity.STOP) for flag in flags)
