"""Signs as compact data for the report page: the bytes of a sign depend on that sign alone."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from schedule2sign.model.flag import Flag
from schedule2sign.model.job import SignRecord
from schedule2sign.model.source import Source
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.pagejson import page_json
from schedule2sign.writers.places import Places
from schedule2sign.writers.report_drawing import describe_dots, describe_letters, describe_plate
from schedule2sign.writers.report_shared import Shared, with_names
from schedule2sign.writers.report_verdicts import describe_verdicts
from schedule2sign.writers.words import raised_lines, side_words


@dataclass(frozen=True, slots=True)
class Signs:
    """What the signs of a job are described with.

    Attributes:
        since: sign id -> what changed since the issue before.
    """

    places: Places
    since: Mapping[str, str]
    shared: Shared

    def recipe(self, record: SignRecord, marks: Marks) -> str:
        """Hash of all that `describe` shows: the mark of the sign, and what a flag shows of a row that may be another."""
        mark = marks.of(record)
        if not mark or not record.flags:
            return mark
        return marks.recipe(
            mark, [(self.places.door(flag.source), self.places.given(flag.source)) for flag in record.flags]
        )

    def describe(self, record: SignRecord) -> bytes:
        """Names of what it shares with others: its rules, its plate, its letters; then what is its own."""
        request, layout = record.request, record.layout
        own: dict[str, Any] = {
            "id": request.sign_id,
            "status": record.status.value,
            "lines": raised_lines(record),
            "braille": [[line.text, line.cells, line.back] for line in record.braille],
            "code": record.braille[0].code if record.braille else "",
            "level": request.level,
            "door": request.door,
            "room": request.room_number,
            "type": request.template,
            "side": side_words(request),
            "quantity": request.quantity,
            "insert": request.insert_text,
            "rule": request.rule,
            "why": request.reason,
            "row": describe_row(request.source, self.places),
            "changes": [[change.field, change.before, change.after, change.rule] for change in request.changes],
            "flags": [describe_flag(flag, self.places) for flag in record.flags],
            "files": record.files,
            "change": self.since.get(request.sign_id, ""),
        }
        if layout is None:
            return with_names((), page_json({**own, "remedies": ()})).encode()
        judged = describe_verdicts(record.verdicts, self.shared)
        outlines, letters = describe_letters(layout, self.shared)
        own |= {
            "size": f"{inch_text(layout.width_mm)} x {inch_text(layout.height_mm)}",
            "remedies": layout.remedies,
            "said": judged.said,
            "where": judged.where,
        }
        names = (judged.rules, describe_plate(layout, self.shared), *outlines)
        return with_names(names, page_json(own), letters, describe_dots(layout), judged.measured).encode()


def describe_row(source: Source, places: Places) -> tuple[Any, ...]:
    """A row as the customer wrote it."""
    row = places.raw(source)
    return source.file, source.sheet, source.row, row.as_given if row else ()


def describe_flag(flag: Flag, places: Places) -> dict[str, Any]:
    """A flag; its row is null where it concerns the whole job."""
    source = flag.source
    return {
        "severity": flag.severity.value,
        "code": flag.code,
        "message": flag.message,
        "column": source.column if source else "",
        "row": (source.file, source.sheet, source.row) if source else None,
        "door": places.door(source),
        "given": flag.given or places.given(source),
        "measured": flag.measured,
        "required": flag.required,
        "clause": flag.clause,
        "fix": flag.fix,
        "who": flag.who,
        "sign": flag.sign_id,
    }
