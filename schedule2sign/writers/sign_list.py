"""The working document: sign-list.xlsx with every sign, every row without one, and the row account."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.named import Change
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.sign import Decision, RowOutcome
from schedule2sign.writers.account import account_lines
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.sheet import Column, Sheet, Value, render_workbook
from schedule2sign.writers.words import raised_lines, side_words

DECISIONS = ("accept", "hold", "omit", "rename", "renumber")
_FILLS = (("held", "F8C9A0"), ("released", "D5E8D4"))
_SIGN_COLUMNS = (
    Column("sign id", 20),
    Column("status", 10),
    Column("source file", 20),
    Column("sheet", 14),
    Column("row", 7),
    Column("door", 9),
    Column("room number", 10),
    Column("level", 12),
    Column("sign type", 14),
    Column("message lines", 28),
    Column("braille", 28),
    Column("braille read back", 28),
    Column("insert text", 18),
    Column("side", 26),
    Column("quantity", 9),
    Column("plate", 16),
    Column("design", 14),
    Column("rule", 22),
    Column("reason", 34),
    Column("name as given", 24),
    Column("changes to the text", 36),
    Column("questions", 52),
    Column("decision", 12, DECISIONS),
    Column("answer", 28),
)
_UNSIGNED_COLUMNS = (
    Column("outcome", 11),
    Column("source file", 20),
    Column("sheet", 14),
    Column("row", 7),
    Column("door", 9),
    Column("room number", 10),
    Column("level", 12),
    Column("name as given", 28),
    Column("rule", 24),
    Column("reason", 52),
    Column("its signs", 22),
    Column("questions", 44),
    Column("decision", 12, DECISIONS),
    Column("answer", 28),
)


class SignListWriter:
    """Writes sign-list.xlsx."""

    name = "sign-list"

    def render(self, job: Job) -> Iterator[OutFile]:
        sheets = (sign_sheet(job), unsigned_sheet(job), account_sheet(job))
        title = f"{job.settings.job} revision {job.settings.revision}: sign list"
        yield OutFile("sign-list.xlsx", render_workbook(sheets, title))


def sign_sheet(job: Job) -> Sheet:
    """One row a sign, in source order."""
    return Sheet("Sign list", _SIGN_COLUMNS, tuple(map(_sign_row, job.signs)), _FILLS)


def _sign_row(record: SignRecord) -> tuple[Value, ...]:
    request, layout = record.request, record.layout
    return (
        request.sign_id,
        record.status.value,
        request.source.file,
        request.source.sheet,
        request.source.row,
        request.door,
        request.room_number,
        request.level,
        request.template,
        "\n".join(raised_lines(record)),
        "\n".join(line.cells for line in record.braille),
        "\n".join(line.back for line in record.braille),
        request.insert_text,
        side_words(request),
        request.quantity,
        f"{inch_text(layout.width_mm)} x {inch_text(layout.height_mm)}" if layout else "",
        record.design[:12],
        request.rule,
        request.reason,
        request.name_as_given,
        _changes(request.changes),
        "\n".join(f"{flag.severity}: {flag.message}" for flag in record.flags if flag.severity is not Severity.NOTE),
        "",
        "",
    )


def unsigned_sheet(job: Job) -> Sheet:
    """Every data row that is not simply signed: unsigned, held or merged, with the reason."""
    rows = tuple(_unsigned_row(decision) for decision in job.decisions if decision.outcome is not RowOutcome.SIGNED)
    return Sheet("Rows without a sign", _UNSIGNED_COLUMNS, rows, _FILLS)


def _unsigned_row(decision: Decision) -> tuple[Value, ...]:
    row = decision.row
    return (
        decision.outcome.value,
        row.raw.source.file,
        row.raw.source.sheet,
        row.raw.source.row,
        row.door,
        row.room_number,
        row.level,
        row.name_as_given,
        decision.rule,
        decision.reason,
        "\n".join(decision.sign_ids),
        "\n".join(f"{flag.severity}: {flag.message}" for flag in decision.flags),
        "",
        "",
    )


def account_sheet(job: Job) -> Sheet:
    """The row account, line by line."""
    columns = (Column("count", 10), Column("what", 60))
    return Sheet("Row account", columns, tuple(account_lines(job.accounting)))


def _changes(changes: tuple[Change, ...]) -> str:
    return "\n".join(f"{change.field}: {change.before} -> {change.after} ({change.rule})" for change in changes)
