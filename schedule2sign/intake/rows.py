"""Goes down a sheet row by row; none is left out."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import PurePath

from schedule2sign.intake.columns import Header, Wish, build_header
from schedule2sign.intake.grid import Grid, GridRow, squeeze
from schedule2sign.intake.judge import Judge, header_words, plain_texts, repeats_header
from schedule2sign.intake.panes import split_panes
from schedule2sign.intake.patterns import count_in, is_code, is_level_heading, level_in_title, starts_legend
from schedule2sign.intake.records import RecordMaker
from schedule2sign.intake.tables import SEARCHED_ROWS, find_header, letter_header
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Field, RawRow, RowKind, Table
from schedule2sign.model.source import Source

_RECORDS = (RowKind.DATA, RowKind.HIDDEN, RowKind.STRUCK)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetReading:
    """What a sheet came to. `rows` has one entry for every row of the grid, in order."""

    tables: tuple[Table, ...]
    rows: tuple[RawRow, ...]
    flags: tuple[Flag, ...]
    refusals: tuple[str, ...] = ()


def read_grid(grid: Grid, wishes: Mapping[Field, Wish]) -> SheetReading | None:
    """Every row of a sheet with its kind, or None where no header is found.

    A row that crosses tables side by side counts once in each that has something in it.
    """
    header = find_header(grid, 0, SEARCHED_ROWS, wishes) or (letter_header(grid, wishes) if wishes else None)
    if header is None:
        return None
    panes = split_panes(grid, header, wishes)
    if len(panes) == 1:
        return _SheetReader(grid).read(header)
    top = grid.rows[header.first].number
    readings = [_SheetReader(pane).read(build_header(pane, header.first, header.last, wishes)) for pane in panes]
    return SheetReading(
        tables=tuple(table for reading in readings for table in reading.tables),
        rows=(*readings[0].rows, *(row for reading in readings[1:] for row in reading.rows if _is_beside(row, top))),
        flags=tuple(flag for reading in readings for flag in reading.flags),
        refusals=tuple(refusal for reading in readings for refusal in reading.refusals),
    )


def _is_beside(row: RawRow, top: int) -> bool:
    """True for a row that the first of several tables side by side has not counted."""
    return row.source.row >= top and row.kind is not RowKind.BLANK


def _level_in_file_name(name: str) -> str:
    """The one level a file name speaks of, or ""; "Levels 1-3" speaks of several."""
    stem = re.sub(r"[-_.]+", " ", PurePath(name).stem)
    level = level_in_title(stem)
    if not level:
        return ""
    return "" if re.match(r"s?\W*(?:(?:to|and|thru|through)\b\W*)?\d", stem.partition(level)[2]) else level


class _SheetReader:
    def __init__(self, grid: Grid) -> None:
        self._grid = grid
        self._rows: list[RawRow] = []
        self._tables: list[Table] = []
        self._flags: list[Flag] = list(grid.flags)
        self._refusals: list[str] = []
        self._level = ""
        self._level_from = ""
        self._borrowed = 0
        self._seen: dict[tuple[str, ...], RowKind] = {}
        self._since_sum = 0
        self._since_start = 0
        self._dead = 0  # rows struck or hidden so far

    def read(self, header: Header) -> SheetReading:
        self._read_titles(0, header.first if header.last >= header.first else 0)
        following: Header | None = header
        while following is not None:
            following = self._read_table(following)
        return SheetReading(
            tables=tuple(self._tables),
            rows=tuple(self._rows),
            flags=tuple(self._flags),
            refusals=tuple(self._refusals),
        )

    def _read_titles(self, start: int, stop: int) -> None:
        for row in self._grid.rows[start:stop]:
            texts = plain_texts(row)
            kind = RowKind.TITLE if texts else RowKind.BLANK
            if len(texts) == 1 and is_level_heading(texts[0]):
                kind, self._level, self._level_from = RowKind.LEVEL, texts[0], ""
            elif texts and not self._level:
                self._level = level_in_title(" - ".join(texts))
                self._level_from = f"title row {row.number}" if self._level else ""
            if texts:
                self._seen.setdefault(texts, kind)
            self._add(row, kind)
        if not self._level:
            self._level = level_in_title(self._grid.sheet)
            self._level_from = f"sheet name {self._grid.sheet!r}" if self._level else ""
        if not self._level:
            # Files of a building issued level by level: level-2_doors.csv.
            self._level = _level_in_file_name(self._grid.file)
            self._level_from = f"file name {self._grid.file!r}" if self._level else ""

    def _read_table(self, header: Header) -> Header | None:
        """Read one table; the header of the next one, or None at the end of the sheet."""
        for row in self._grid.rows[header.first : header.last + 1]:
            self._seen[plain_texts(row)] = RowKind.HEADER
            self._add(row, RowKind.HEADER)
        stop, following = self._find_next(header)
        titles = self._titles_above(header.last + 1, stop) if following else stop
        body = self._grid.rows[header.last + 1 : titles]
        if header.refusal:
            self._refusals.append(header.refusal)
            self._skip_refused(header, body)
            self._read_titles(titles, stop)
            return following
        self._tables.append(
            Table(
                file=self._grid.file,
                sheet=self._grid.sheet,
                header_rows=tuple(row.number for row in self._grid.rows[header.first : header.last + 1]),
                shape=header.shape,
                columns=header.columns,
                evidence=header.evidence,
            )
        )
        self._flags += header.flags
        maker = RecordMaker(self._grid, header, body)
        before = len(self._rows)
        level, level_from, self._borrowed = self._level, self._level_from, 0
        self._read_body(header, body, maker)
        self._flags += maker.table_flags()
        self._tell_levels(self._rows[before:], level, level_from)
        if following:
            if following.fields != header.fields:
                # The last heading above was of this table; another table says its own levels.
                self._level = self._level_from = ""
            self._read_titles(titles, stop)
        return following

    def _titles_above(self, start: int, stop: int) -> int:
        """Index of the first of the blank and one-cell rows that stand right above another header."""
        index = stop
        while index > start and not any(map(is_code, plain_texts(self._grid.rows[index - 1]))):
            if len(plain_texts(self._grid.rows[index - 1])) > 1:
                break
            index -= 1
        return index

    def _find_next(self, header: Header) -> tuple[int, Header | None]:
        """Index where another table's header starts, and that header."""
        start = header.last + 1
        words = header_words(header)
        while (following := find_header(self._grid, start, len(self._grid.rows), {})) is not None:
            rows = self._grid.rows[following.first : following.last + 1]
            # One cell alone among records is no header of a table of one column.
            if len(following.columns) > 1 and not all(
                plain_texts(row) in self._seen or repeats_header(row, words) for row in rows
            ):
                return following.first, following
            start = following.last + 1
        return len(self._grid.rows), None

    def _skip_refused(self, header: Header, body: tuple[GridRow, ...]) -> None:
        for row in body:
            self._add(row, RowKind.OTHER if plain_texts(row) else RowKind.BLANK)
        self._flags.append(
            Flag(
                code="intake/table-refused",
                severity=Severity.ASK,
                source=self._place(self._grid.rows[header.first]),
                message=f"the table under this header is not read ({len(body)} rows): {header.refusal}",
                fix="If it does list doors or rooms, name its columns with --column FIELD=HEADER.",
            )
        )

    def _read_body(self, header: Header, body: tuple[GridRow, ...], maker: RecordMaker) -> None:
        judge = Judge(self._grid, header, body, self._seen)
        self._since_sum = self._since_start = 0
        legend = False
        for row in body:
            judgement = judge.judge(row, self._level, legend=legend)
            kind, flags = judgement.kind, judgement.flags
            if judgement.level:
                self._level, self._level_from, self._since_sum = judgement.level, "", 0
            if kind is RowKind.LEGEND and starts_legend(plain_texts(row)):
                legend = True
            elif kind in (RowKind.DATA, RowKind.LEVEL, RowKind.HEADER):
                legend = False
            if kind in _RECORDS:
                self._since_sum += 1
                self._since_start += 1
            self._dead += kind in (RowKind.HIDDEN, RowKind.STRUCK)
            if kind is RowKind.SUBTOTAL:
                flags = self._check_sum(row)
            if kind in _RECORDS or kind is RowKind.UNPLACED:
                made = maker.make(row, kind, self._level, flags)
                self._rows.append(made)
                self._borrowed += kind is RowKind.DATA and bool(self._level_from) and not made.text(Field.LEVEL)
            else:
                self._add(row, kind, flags)
            if kind is not RowKind.DATA:
                self._flags += flags

    def _check_sum(self, row: GridRow) -> tuple[Flag, ...]:
        """Compare the sheet's own count with ours, for the section or the whole table."""
        stated = count_in(plain_texts(row))
        section, whole = self._since_sum, self._since_start
        self._since_sum = 0
        dead = self._dead
        # Whether the sheet counts what was struck or hidden is its own affair.
        if stated is None or section - dead <= stated <= section or whole - dead <= stated <= whole:
            return ()
        flag = Flag(
            code="intake/total-differs",
            severity=Severity.ASK,
            source=self._place(row),
            message=f"the sheet counts {stated}; {section} records stand above in this section, {whole} in the table",
            given=" | ".join(plain_texts(row)),
            fix="Check whether rows are missing.",
            who="architect",
        )
        return (flag,)

    def _tell_levels(self, rows: list[RawRow], level: str, level_from: str) -> None:
        """Records without a level, and those whose level was borrowed from what stood above the table."""
        records = [row for row in rows if row.kind is RowKind.DATA]
        missing = [row for row in records if not row.level]
        if missing:
            self._flags.append(
                Flag(
                    code="intake/no-level",
                    severity=Severity.ASK,
                    source=missing[0].source,
                    message=f"{len(missing)} of {len(records)} records have no level in cell, heading or title.",
                    fix="Add --column level=HEADER, or a heading row such as LEVEL 2, if the building has several.",
                    who="architect",
                )
            )
        elif self._borrowed:
            count = f"{self._borrowed} record{'s' * (self._borrowed != 1)}"
            self._flags.append(
                Flag(
                    code="intake/level-from-title",
                    severity=Severity.NOTE,
                    source=records[0].source,
                    message=f"level {level!r} of {count} is taken from {level_from}",
                )
            )

    def _place(self, row: GridRow) -> Source:
        return Source(file=self._grid.file, sheet=self._grid.sheet, row=row.number, column=self._grid.pane)

    def _add(self, row: GridRow, kind: RowKind, flags: tuple[Flag, ...] = ()) -> None:
        given = tuple(cell.given for cell in row.own.values() if squeeze(cell.given))
        self._rows.append(RawRow(source=self._place(row), kind=kind, level=self._level, as_given=given, flags=flags))
