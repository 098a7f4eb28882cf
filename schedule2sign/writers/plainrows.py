"""Rows of a schedule that is no xlsx workbook, as plain text tables with the flagged cells marked."""

from collections.abc import Iterable, Iterator, Sequence

from openpyxl.utils import column_index_from_string

from schedule2sign.model.flag import Flag, worst_severity
from schedule2sign.model.job import Job
from schedule2sign.model.paper import Rows
from schedule2sign.model.schedule import RawRow, Table
from schedule2sign.writers.markedcopy import COLORS
from schedule2sign.writers.sheet import free_title
from schedule2sign.writers.table import Column, Sheet, Value

_ROW, _AS_GIVEN, _FLAGS = Column("row", 7), Column("whole row as given", 60), Column("flags", 60)
_RESERVED = ("Questions", "Flagged", "Summary")


def plain_sheets(job: Job, files: Sequence[str]) -> Iterator[Sheet]:
    """One table for each sheet of the named inputs."""
    titles = list(_RESERVED)
    for file in files:
        of_file = [row for row in job.schedule.rows if row.source.file == file]
        for sheet in dict.fromkeys(row.source.sheet for row in of_file):
            titles.append(free_title(sheet or file, titles))
            rows = [row for row in of_file if row.source.sheet == sheet]
            tables = [table for table in job.schedule.tables if (table.file, table.sheet) == (file, sheet)]
            flags = [
                flag for flag in job.flags if flag.source and (flag.source.file, flag.source.sheet) == (file, sheet)
            ]
            yield _plain_sheet(titles[-1], rows, tables, flags)


def _plain_sheet(title: str, rows: Sequence[RawRow], tables: Sequence[Table], flags: Sequence[Flag]) -> Sheet:
    headers = {match.column: match.header for table in reversed(tables) for match in table.columns}
    filled = {cell.column for row in rows for cell in row.cells}
    letters = sorted((letter for letter in headers if letter in filled), key=column_index_from_string)
    columns = (_ROW, Column("kind", 10), *(Column(f"{letter}: {headers[letter]}", 18) for letter in letters))
    by_row: dict[int, list[Flag]] = {}
    for flag in sorted(flags, key=lambda flag: -flag.severity.rank):
        if flag.source:
            by_row.setdefault(flag.source.row, []).append(flag)
    marks = (
        mark
        for number, row in enumerate(rows)
        if (found := by_row.get(row.source.row))
        for mark in _marks(number, found, letters)
    )
    values = Rows(len(rows), lambda: (_row(row, by_row.get(row.source.row, ()), letters) for row in rows))
    return Sheet(title, (*columns, _AS_GIVEN, _FLAGS), values, marks=tuple(marks))


def _row(row: RawRow, flags: Iterable[Flag], letters: Iterable[str]) -> tuple[Value, ...]:
    cells = {cell.column: cell.text for cell in row.cells}
    said = "\n".join(dict.fromkeys(f"{flag.severity}: {_place(flag)}{flag.message}" for flag in flags))
    shown = (cells.get(letter, "") for letter in letters)
    return row.source.row, row.kind.value, *shown, " | ".join(row.as_given), said


def _place(flag: Flag) -> str:
    return f"cell {flag.source.column}: " if flag.source and flag.source.column else ""


def _marks(number: int, flags: Sequence[Flag], letters: Sequence[str]) -> Iterator[tuple[int, int, str]]:
    """Fills of one row: each flagged cell, and the whole-row text for what names no column shown."""
    by_column: dict[int, list[Flag]] = {}
    for flag in flags:
        letter = flag.source.column if flag.source else ""
        place = 2 + (letters.index(letter) if letter in letters else len(letters))
        by_column.setdefault(place, []).append(flag)
    for column, found in by_column.items():
        worst = worst_severity(tuple(found))
        if worst is not None:
            yield number, column, COLORS[worst]
