"""The working document: sign-list.xlsx with every sign, every row without one, answers carried along, the row account."""

from collections import Counter
from collections.abc import Iterator, Sequence
from functools import partial
from sys import intern

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.named import Change
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.paper import Mounting, Rows
from schedule2sign.model.sign import Answer, Decision, RowOutcome, Verb
from schedule2sign.writers.account import account_lines
from schedule2sign.writers.measures import job_unit
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.sheet import workbook_chunks
from schedule2sign.writers.table import Column, Sheet, Value
from schedule2sign.writers.words import raised_lines, sentence, side_words

SIGN_LIST = "sign-list.xlsx"
DECISIONS = tuple(verb.value for verb in Verb)
_FILLS = (("held", "F8C9A0"), ("released", "D5E8D4"), ("not applied", "F8C9A0"))
_ANSWER_COLUMNS = (
    Column("question ids", 24),
    Column("decision", 12, DECISIONS),
    Column("answer", 28, as_text=True),
    Column("answered by", 16),
)
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
    Column("mounting", 30),
    Column("quantity", 9),
    Column("plate", 16),
    Column("design", 14),
    Column("rule", 22),
    Column("reason", 34),
    Column("number in schedule", 10),
    Column("name as given", 24),
    Column("changes to the text", 36),
    Column("answered so far", 36),
    Column("questions", 52),
    *_ANSWER_COLUMNS,
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
    Column("answered so far", 36),
    Column("questions", 44),
    *_ANSWER_COLUMNS,
)
_OTHER_COLUMNS = (
    Column("what became of it", 34),
    Column("sign id", 20),
    Column("door", 9),
    Column("number in schedule", 10),
    Column("level", 12),
    Column("name as given", 28),
    *_ANSWER_COLUMNS,
)


class SignListWriter:
    """Writes sign-list.xlsx.

    An answer stands where the next one is typed: in its own line, as long as nothing is open there. Where something is,
    the decision cell is empty for the new answer and the old one stands on the sheet of answers carried along.
    """

    name = "sign-list"

    def render(self, job: Job) -> Iterator[OutFile]:
        yield OutFile(SIGN_LIST, partial(_render, job))


def _render(job: Job) -> Iterator[bytes]:
    sheets = (sign_sheet(job), unsigned_sheet(job), carried_sheet(job), account_sheet(job))
    return workbook_chunks(sheets, f"{job.settings.job} revision {job.settings.revision}: sign list", job_unit(job))


def sign_sheet(job: Job) -> Sheet:
    """One row a sign, in source order."""
    places = {row.sign_id: _mounted(row) for row in job.bench.mountings} if job.bench else {}
    rows = Rows(
        len(job.signs),
        lambda: (_sign_row(record, places.get(record.request.sign_id, "")) for record in job.signs),
    )
    return Sheet("Sign list", _SIGN_COLUMNS, rows, _FILLS, repeat=2)


def _mounted(row: Mounting) -> str:
    # One text for all that hang alike.
    return intern(f"{row.side}; top edge {inch_text(row.top_mm)} above the floor")


def _sign_row(record: SignRecord, place: str) -> tuple[Value, ...]:
    request, plate = record.request, record.plate
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
        place,
        request.quantity,
        f"{inch_text(plate.width_mm)} x {inch_text(plate.height_mm)}" if plate else "",
        record.design[:12],
        request.rule,
        request.reason,
        request.number_as_given,
        request.name_as_given,
        _changes(request.changes),
        _answered(record.flags),
        _questions(_open(record.flags)),
        *_answer_cells(_open(record.flags), _sign_answer(record)),
    )


def unsigned_sheet(job: Job) -> Sheet:
    """Every data row that is not simply signed: unsigned, held or merged, with the reason."""
    keys = _row_keys(job)
    unsigned = [decision for decision in job.decisions if decision.outcome is not RowOutcome.SIGNED]
    rows = Rows(len(unsigned), lambda: (_unsigned_row(decision, _row_answer(decision, keys)) for decision in unsigned))
    return Sheet("Rows without a sign", _UNSIGNED_COLUMNS, rows, _FILLS)


def _unsigned_row(decision: Decision, answer: Answer | None) -> tuple[Value, ...]:
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
        _answered(decision.flags),
        _questions(decision.flags),
        *_answer_cells(_open(decision.flags), answer),
    )


def carried_sheet(job: Job) -> Sheet:
    """Answers that stand in no line of the other sheets: applied beside an open question, or not applied and why."""
    keys = _row_keys(job)
    rows: list[tuple[Value, ...]] = []
    for record in job.signs:
        request, shown = record.request, _sign_answer(record)
        place = (request.door, request.number_as_given, request.level, request.name_as_given)
        rows += [_carried(answer, request.sign_id, place) for answer in request.answers if answer is not shown]
    for decision in job.decisions:
        row, shown = decision.row, _row_answer(decision, keys)
        place = (row.door, row.room_number, row.level, row.name_as_given)
        rows += [
            _carried(answer, "\n".join(answer.sign_ids), place) for answer in decision.answers if answer is not shown
        ]
    for answer in job.unused_answers:
        level, door, number, name = answer.row
        seen = answer.seen or (number, name)
        rows.append(_carried(answer, "\n".join(answer.sign_ids), (door, seen[0], level, seen[1])))
    return Sheet("Answers carried along", _OTHER_COLUMNS, tuple(rows), _FILLS)


def _carried(answer: Answer, sign_ids: str, place: tuple[str, str, str, str]) -> tuple[Value, ...]:
    fate = f"not applied: {answer.fate}" if answer.fate else "applied"
    return (fate, sign_ids, *place, " ".join(answer.questions or ()), *_answer_text(answer))


def account_sheet(job: Job) -> Sheet:
    """The row account, line by line."""
    columns = (Column("count", 10), Column("what", 60))
    return Sheet("Row account", columns, tuple(account_lines(job.accounting)))


def _sign_answer(record: SignRecord) -> Answer | None:
    return _shown(record.request.answers, _open(record.flags))


def _row_answer(decision: Decision, keys: Counter[tuple[str, ...]]) -> Answer | None:
    """An answer to the row itself; one to a sign of it only where the row cannot be taken for another."""
    answer = None if decision.sign_ids else _shown(decision.answers, _open(decision.flags))
    if decision.outcome is RowOutcome.SIGNED or (answer and answer.sign_ids and keys[_row_key(decision)] > 1):
        return None
    return answer


def _shown(answers: Sequence[Answer], still_open: Sequence[Flag]) -> Answer | None:
    """The answer that stands in the line itself: the only one, with nothing left to answer but why it is held."""
    if len(answers) != 1:
        return None
    (answer,) = answers
    return answer if answer.verb is Verb.HOLD or not still_open else None


def _answer_cells(still_open: Sequence[Flag], answer: Answer | None) -> tuple[Value, ...]:
    codes = [flag.code for flag in still_open]
    if answer is not None and answer.verb is Verb.ACCEPT:
        codes += answer.questions or ()
    cells = _answer_text(answer) if answer is not None else ("", "", "")
    return (" ".join(dict.fromkeys(codes)), *cells)


def _answer_text(answer: Answer) -> tuple[Value, Value, Value]:
    # Without a name the next person to save the list would be taken for the one who answered.
    return answer.verb.value, answer.text, answer.who or "Somebody"


def _open(flags: Sequence[Flag]) -> list[Flag]:
    return [flag for flag in flags if flag.severity is not Severity.NOTE]


def _questions(flags: Sequence[Flag]) -> str:
    return "\n".join(f"{flag.severity}: {sentence(flag.message)} {flag.fix}".rstrip() for flag in flags)


def _answered(flags: Sequence[Flag]) -> str:
    return "\n".join(flag.message for flag in flags if flag.code == "signlist/answered")


def _row_keys(job: Job) -> Counter[tuple[str, ...]]:
    """How many rows cannot be told apart; counted only where a row was answered, for nothing else asks."""
    return Counter(map(_row_key, job.decisions if any(decision.answers for decision in job.decisions) else ()))


def _row_key(decision: Decision) -> tuple[str, ...]:
    row = decision.row
    return row.level, row.door, row.room_number, row.name_as_given


def _changes(changes: tuple[Change, ...]) -> str:
    return "\n".join(f"{change.field}: {change.before} -> {change.after} ({change.rule})" for change in changes)
