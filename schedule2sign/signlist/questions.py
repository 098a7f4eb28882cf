"""Flags of the stage: one row's questions, and what is asked once for the whole job."""

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Field


def ask_row(
    row: NamedRow,
    code: str,
    severity: Severity,
    message: str,
    fix: str,
    who: str,
    *,
    clause: str = "",
    field: Field | None = None,
) -> Flag:
    """A flag about one row, or about one of its cells."""
    return Flag(
        code=f"signlist/{code}",
        severity=severity,
        message=message,
        source=row.raw.source_of(field) if field else row.raw.source,
        given=row.raw.text(field) if field else row.name_as_given,
        clause=clause,
        fix=fix,
        who=who,
    )


def ask_job(code: str, severity: Severity, message: str, fix: str, who: str, *, clause: str = "") -> Flag:
    """A question for the whole job, asked once."""
    return Flag(code=f"signlist/{code}", severity=severity, message=message, clause=clause, fix=fix, who=who)
