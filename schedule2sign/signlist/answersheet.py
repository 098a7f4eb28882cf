"""Reads a returned sign-list.xlsx: what a person decided about each sign, and about rows without one."""

import io
import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, time
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import ParseError
from zipfile import BadZipFile

from schedule2sign.errors import InputError
from schedule2sign.model.sign import Answer, Verb
from schedule2sign.model.source import Source

_MOST_HEADER_ROWS = 15
_ESCAPED = re.compile(rb"_x[0-9A-Fa-f]{4}_")  # a character by its number: one reader takes it so, another as it stands
_Rows = Sequence[Sequence[Any]]
_HEADERS = {
    "sign id": ("sign id", "its signs"),
    "decision": ("decision",),
    "answer": ("answer",),
    "who": ("answered by",),
    "door": ("door",),
    "number": ("number in schedule", "room number"),
    "level": ("level",),
    "given": ("name as given",),
    "questions": ("question ids",),
    "fate": ("what became of it",),
}


def read_answers(path: Path, *, as_written: bool = False) -> tuple[Answer, ...]:
    """Every answer of a returned sign list, in sheet order.

    Args:
        as_written: the file is byte for byte what a run of this program wrote, so that it is read twenty times as fast.

    Raises:
        InputError: the file cannot be read, has no decision column, or an answer makes no sense.
    """
    answers: list[Answer] = []
    found = False
    who, pages = (_read_written(path) if as_written else None) or _read_returned(path)
    for title, rows in pages:
        header = next(
            ((at, fields) for at, row in enumerate(rows[:_MOST_HEADER_ROWS]) if (fields := _fields(row))), None
        )
        if header is None:
            continue
        found = True
        at, fields = header
        answers += _answers(rows[at + 1 :], fields, Source(file=path.name, sheet=title, row=at + 2), who)
    if not found:
        raise InputError(
            f"{path.name} has no sheet with the columns 'sign id' and 'decision': give the sign-list.xlsx of an earlier run."
        )
    return tuple(answers)


def _read_returned(path: Path) -> tuple[str, Iterator[tuple[str, _Rows]]]:
    """Who saved the workbook last, and its sheets."""
    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        book = load_workbook(path, data_only=True)
    except OSError as error:
        raise InputError(f"The sign list {path} cannot be read: {error.strerror or error}.") from error
    except (InvalidFileException, KeyError, ValueError, TypeError, BadZipFile, ParseError) as error:
        raise InputError(
            f"The answers in {path} cannot be read as an xlsx workbook: {error}. Save the sign list as xlsx and close it."
        ) from error
    return book.properties.lastModifiedBy or "", (
        (page.title, [tuple(row) for row in page.iter_rows(values_only=True)]) for page in book.worksheets
    )


def _read_written(path: Path) -> tuple[str, Iterator[tuple[str, _Rows]]] | None:
    """The same of a workbook of our own, where each answer names who gave it; None for one the quick reader mistakes."""
    from python_calamine import CalamineWorkbook

    data = path.read_bytes()  # its parts are not compressed
    if _ESCAPED.search(data):
        return None
    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    return "", ((name, book.get_sheet_by_name(name).to_python(skip_empty_area=False)) for name in book.sheet_names)


def _fields(row: Sequence[Any]) -> Mapping[str, int] | None:
    places = {_text(value).casefold(): at for at, value in reversed(list(enumerate(row))) if value is not None}
    fields = {field: places[name] for field, names in _HEADERS.items() for name in reversed(names) if name in places}
    return fields if {"sign id", "decision"} <= set(fields) else None


def _answers(rows: _Rows, fields: Mapping[str, int], first: Source, who: str) -> Iterator[Answer]:
    for at, row in enumerate(rows):

        def cell(field: str, row: Sequence[Any] = row) -> str:
            place = fields.get(field)
            return _text(row[place]) if place is not None and place < len(row) else ""

        source = Source(file=first.file, sheet=first.sheet, row=first.row + at)
        word = cell("decision").casefold()
        if not word:
            if cell("answer"):
                raise InputError(f"{source} has an answer ({cell('answer')!r}) but no decision: choose {_verbs()}.")
            continue
        try:
            verb = Verb(word)
        except ValueError:
            raise InputError(f"{source}: decision {cell('decision')!r} is none of {_verbs()}.") from None
        _check_text(verb, row[fields["answer"]] if "answer" in fields and fields["answer"] < len(row) else None, source)
        known = "given" in fields and "number" in fields
        yield Answer(
            verb=verb,
            sign_ids=tuple(cell("sign id").split()),
            row=(cell("level"), cell("door"), cell("number"), cell("given")),
            seen=(cell("number"), cell("given")) if known else None,
            questions=tuple(cell("questions").split()) if "questions" in fields else None,
            text=cell("answer"),
            who=cell("who") or who,
            earlier="fate" in fields,
            source=source,
        )


def _check_text(verb: Verb, value: Any, source: Source) -> None:
    if isinstance(value, date | datetime | time):
        raise InputError(
            f"{source}: the spreadsheet program made a date of the answer ({value}). Type it again with an apostrophe in front."
        )
    if verb in (Verb.RENAME, Verb.RENUMBER) and not _text(value):
        raise InputError(f"{source}: {verb} needs the new text in the answer column.")
    if verb is Verb.ACCEPT and _text(value):
        raise InputError(
            f"{source}: accept takes the sign as it is, but the answer says {_text(value)!r}. Choose rename or renumber, or "
            "clear the answer."
        )


def _verbs() -> str:
    return ", ".join(verb.value for verb in Verb)


def _text(value: Any) -> str:
    if value is None:
        return ""
    # A number typed into the answer column is a room number.
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return " ".join(str(value).split())
