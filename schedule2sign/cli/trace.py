"""The whole story of one row: cells, what they were read as, naming, decision, and every sign it made."""

import re
from collections.abc import Iterator
from typing import Any

from schedule2sign.errors import InputError
from schedule2sign.intake.grid import column_index
from schedule2sign.model.flag import Flag, Severity, holds
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.rule import Outcome
from schedule2sign.model.schedule import RawRow, RowKind, Schedule
from schedule2sign.model.sign import Decision, RowOutcome
from schedule2sign.writers.manifest import describe_flag

# A cell such as D63 names its row, so a place can be copied from the flagged list.
_ROW = re.compile(r"([A-Za-z]{0,3})#?(\d+)")
_CHOICES = 6
_WHY = {
    RowKind.DATA: "a record: it can become signs",
    RowKind.BLANK: "no cell of it holds anything",
    RowKind.TITLE: "it stands above the header, or is what a printed page adds",
    RowKind.HEADER: "it names the columns, or repeats the header on a new page",
    RowKind.LEVEL: "it names the level of the rows below",
    RowKind.SUBTOTAL: "it counts the rows above",
    RowKind.LEGEND: "it belongs to notes, a legend or a revision box",
    RowKind.HIDDEN: "it is hidden or filtered out in the file, so it is not taken for live",
    RowKind.STRUCK: "it is struck through in the file, so it is not taken for live",
    RowKind.UNPLACED: "what it is could not be told, so it makes no sign until a person says",
    RowKind.OTHER: "it records something that is neither door nor room, or stands in a table that is not read",
}


def find_row(schedule: Schedule, wanted: str) -> RawRow:
    """The row named as 12, SHEET!12, FILE:12 or FILE:SHEET!12; a cell such as D12 will do.

    Raises:
        InputError: no such row, or rows of several sheets have that number.
    """
    place, mark, row_text = wanted.rpartition("!")
    if not mark:
        place, _, row_text = wanted.rpartition(":")
    number = _ROW.fullmatch(row_text.strip())
    if not number:
        raise InputError(f"--trace {wanted!r} names no row: give 12, SHEET!12 or FILE:SHEET!12.")
    place = place.strip().strip("'")
    found = [
        row
        for row in schedule.rows
        if row.source.row == int(number[2]) and (not place or place.casefold() in _names(row))
    ]
    if len({(row.source.file, row.source.sheet) for row in found}) == 1:
        # Of tables side by side the one that begins at or before the column named.
        beside = [row for row in found if column_index(row.source.column) <= column_index(number[1])]
        return max(beside or found[:1], key=lambda row: column_index(row.source.column))
    if not found:
        sheets = dict.fromkeys((row.source.file, row.source.sheet) for row in schedule.rows)
        read = ", ".join(f"{_address(*sheet)} 1 to {_last(schedule, *sheet)}" for sheet in list(sheets)[:_CHOICES])
        raise InputError(f"--trace {wanted}: no such row was read. Rows read: {read}.")
    choices = ", ".join(f"{_address(row.source.file, row.source.sheet)}{row.source.row}" for row in found[:_CHOICES])
    raise InputError(f"--trace {wanted}: {len(found)} sheets have that row. Say which: {choices}.")


def _names(row: RawRow) -> set[str]:
    """What a row's place may be called, file and sheet in one or alone."""
    file, sheet = row.source.file, row.source.sheet
    return {text.casefold() for text in (file, sheet, f"{file}:{sheet}", f"{file}:'{sheet}'") if text}


def _address(file: str, sheet: str) -> str:
    return f"{file}:{sheet}!" if sheet else f"{file}:"


def _last(schedule: Schedule, file: str, sheet: str) -> int:
    return max(row.source.row for row in schedule.rows if (row.source.file, row.source.sheet) == (file, sheet))


def tell_row(job: Job, row: RawRow) -> str:
    """The story as text for a screen."""
    lines = [f"{row.source}", ""]
    lines += _tell_cells(job, row)
    decision = _decision_of(job, row)
    if decision is None:
        lines += _tell_flags(_flags_of_row(job, row))
        return "\n".join([*lines, "", "It makes no sign."])
    lines += _tell_names(decision)
    lines += ["", f"Decided  {decision.outcome} by rule {decision.rule}: {decision.reason}"]
    lines += _tell_flags(_flags_of_row(job, row))
    for sign in _signs_of(job, decision):
        lines += ["", *_tell_sign(sign, row)]
    if not decision.sign_ids:
        lines += ["", "It makes no sign."]
    return "\n".join(lines)


def _tell_cells(job: Job, row: RawRow) -> Iterator[str]:
    yield f"Read as  {row.kind}: {_WHY[row.kind]}"
    headers = {
        match.column: match.header
        for table in job.schedule.tables
        if (table.file, table.sheet) == (row.source.file, row.source.sheet)
        and (not table.header_rows or table.header_rows[0] <= row.source.row)
        for match in table.columns
    }
    for cell in row.cells:
        yield f"  {cell.column:>3}  {cell.field:<12} {cell.text!r}  under {headers.get(cell.column, '')!r}"
    others = [text for text in row.as_given if text not in {cell.text for cell in row.cells}]
    if others:
        yield f"       {'not used' if row.cells else 'cells':<12} {' | '.join(map(repr, others))}"
    if row.level and row.kind is not RowKind.BLANK:
        yield f"       {'level':<12} {row.level!r}"


def _tell_names(decision: Decision) -> Iterator[str]:
    named = decision.row
    parts = (("door", named.door), ("number", named.room_number), ("name", named.name), ("level", named.level))
    yield ""
    yield "Named    " + ", ".join(f"{what} {text!r}" for what, text in parts if text)
    for change in named.changes:
        yield f"  {change.rule:<5} {change.field}: {change.before!r} -> {change.after!r}"


def _tell_flags(flags: tuple[Flag, ...]) -> Iterator[str]:
    for flag in sorted(flags, key=lambda flag: -flag.severity.rank):
        place = f"{flag.source.column}{flag.source.row}: " if flag.source and flag.source.column else ""
        message = flag.message if flag.message.endswith((".", "?")) else f"{flag.message}."
        fix = f" {flag.fix}" if flag.fix and flag.severity is not Severity.NOTE else ""
        yield f"  {flag.severity:<4} {flag.code}  {place}{message}{fix}"


def _tell_sign(sign: SignRecord, row: RawRow) -> Iterator[str]:
    request = sign.request
    yield f"Sign {request.sign_id}  {sign.status}: template {request.template}, side {request.side}"
    yield f"  rule {request.rule}: {request.reason}"
    if request.source != row.source:
        yield f"  stands in the list at {request.source}"
    lines = sign.layout.braille if sign.layout else sign.braille
    for message in request.messages:
        yield f"  {message.role:<8} {message.text!r}"
    if not request.messages:
        yield "  nothing raised"
    for line in lines:
        yield f"  braille  {line.cells}  for {line.text!r}, reads back {line.back!r}"
    if request.insert_text:
        yield f"  insert   {request.insert_text!r}"
    if request.pictogram:
        yield f"  picture  {request.pictogram}"
    if sign.verdicts:
        counts = {outcome: sum(verdict.outcome is outcome for verdict in sign.verdicts) for outcome in Outcome}
        told = ", ".join(f"{count} {outcome}" for outcome, count in counts.items())
        yield f"  rules    {len(sign.verdicts)} checked: {told}"
    else:
        yield "  rules    none checked: there is no layout"
    yield from _tell_flags(sign.flags)
    if sign.status is Status.RELEASED:
        yield f"  files    {', '.join(sign.files)}"


def is_held(job: Job, row: RawRow) -> bool:
    """True when the row or one of its signs waits for a person."""
    decision = _decision_of(job, row)
    if decision is None:
        return holds(_flags_of_row(job, row))
    return decision.outcome is RowOutcome.HELD or any(sign.status is Status.HELD for sign in _signs_of(job, decision))


def _decision_of(job: Job, row: RawRow) -> Decision | None:
    return next((decision for decision in job.decisions if decision.row.raw.source == row.source), None)


def _signs_of(job: Job, decision: Decision) -> list[SignRecord]:
    return [sign for sign in job.signs if sign.request.sign_id in decision.sign_ids]


def _flags_of_row(job: Job, row: RawRow) -> tuple[Flag, ...]:
    """Flags of the row that none of its signs carries."""
    here = (row.source.file, row.source.sheet, row.source.row)
    return tuple(
        flag
        for flag in job.flags
        if flag.source and not flag.sign_id and (flag.source.file, flag.source.sheet, flag.source.row) == here
    )


def describe_row(job: Job, row: RawRow) -> dict[str, Any]:
    """The same story for a program."""
    decision = _decision_of(job, row)
    story: dict[str, Any] = {
        "row": describe_raw(row),
        "named": None,
        "decision": None,
        "signs": [],
        "flags": [describe_flag(flag) for flag in _flags_of_row(job, row)],
    }
    if decision is None:
        return story
    named = decision.row
    story["named"] = {
        "door": named.door,
        "number": named.room_number,
        "name": named.name,
        "level": named.level,
        "changes": [
            {"rule": change.rule, "field": change.field, "before": change.before, "after": change.after}
            for change in named.changes
        ],
    }
    story["decision"] = {
        "outcome": str(decision.outcome),
        "rule": decision.rule,
        "reason": decision.reason,
        "signs": list(decision.sign_ids),
    }
    story["signs"] = [_describe_sign(sign) for sign in _signs_of(job, decision)]
    return story


def describe_raw(row: RawRow) -> dict[str, Any]:
    """One row as it was read."""
    return {
        "file": row.source.file,
        "sheet": row.source.sheet,
        "row": row.source.row,
        "kind": str(row.kind),
        "level": row.level,
        "cells": [{"field": str(cell.field), "column": cell.column, "text": cell.text} for cell in row.cells],
        "as_given": list(row.as_given),
    }


def _describe_sign(sign: SignRecord) -> dict[str, Any]:
    request = sign.request
    return {
        "id": request.sign_id,
        "status": str(sign.status),
        "template": request.template,
        "side": str(request.side),
        "rule": request.rule,
        "reason": request.reason,
        "messages": [{"role": str(message.role), "text": message.text} for message in request.messages],
        "braille": [
            {"text": line.text, "cells": line.cells, "back": line.back}
            for line in (sign.layout.braille if sign.layout else sign.braille)
        ],
        "insert": request.insert_text,
        "pictogram": request.pictogram,
        "rules": {str(outcome): sum(verdict.outcome is outcome for verdict in sign.verdicts) for outcome in Outcome},
        "flags": [describe_flag(flag) for flag in sign.flags],
        "files": list(sign.files),
    }
