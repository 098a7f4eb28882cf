"""Goes down a sheet row by row and says what each row is; none is left out."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from statistics import median

from schedule2sign.intake.grid import Grid, GridRow, column_letter, is_void, load_table, squeeze
from schedule2sign.intake.headers import IDENTITY, normalize_header
from schedule2sign.intake.patterns import (
    count_in,
    is_code,
    is_level_heading,
    is_level_value,
    is_remark,
    is_subtotal,
    level_in_title,
    shape_of,
    starts_legend,
)
from schedule2sign.intake.records import RecordMaker
from schedule2sign.intake.tables import SEARCHED_ROWS, Header, Wish, find_header, letter_header
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Field, RawRow, RowKind, Table
from schedule2sign.model.source import Source

_NUMBERED = (Field.DOOR, Field.ROOM_NUMBER)
_SHORT_MARK = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetReading:
    """What a sheet came to. `rows` has one entry for every row of the grid, in order."""

    tables: tuple[Table, ...]
    rows: tuple[RawRow, ...]
    flags: tuple[Flag, ...]
    refusals: tuple[str, ...] = ()


def read_grid(grid: Grid, wishes: Mapping[Field, Wish]) -> SheetReading | None:
    """Every row of a sheet with its kind, or None where no header is found."""
    header = find_header(grid, 0, SEARCHED_ROWS, wishes) or (letter_header(grid, wishes) if wishes else None)
    if header is None:
        return None
    return _SheetReader(grid).read(header)


@dataclass(slots=True)
class _Habits:
    """What is usual in one table: how many cells a record has, how its numbers are built."""

    fill: float = 1.0
    shapes: set[str] = field(default_factory=set)


class _SheetReader:
    def __init__(self, grid: Grid) -> None:
        self._grid = grid
        self._rows: list[RawRow] = []
        self._tables: list[Table] = []
        self._flags: list[Flag] = list(grid.flags)
        self._refusals: list[str] = []
        self._level = ""
        self._level_from = ""
        self._seen: dict[tuple[str, ...], RowKind] = {}
        self._since_sum = 0
        self._since_start = 0

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
            texts = _plain_texts(row)
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

    def _read_table(self, header: Header) -> Header | None:
        """Read one table; the header of the next one, or None at the end of the sheet."""
        for row in self._grid.rows[header.first : header.last + 1]:
            self._seen[_plain_texts(row)] = RowKind.HEADER
            self._add(row, RowKind.HEADER)
        stop, following = self._find_next(header)
        body = self._grid.rows[header.last + 1 : stop]
        if header.refusal:
            self._refusals.append(header.refusal)
            self._skip_refused(header, body)
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
        self._read_body(header, body, maker)
        self._flags += maker.table_flags()
        self._tell_levels(header, self._rows[before:])
        return following

    def _find_next(self, header: Header) -> tuple[int, Header | None]:
        """Index where another table's header starts, and that header."""
        start = header.last + 1
        while (following := find_header(self._grid, start, len(self._grid.rows), {})) is not None:
            texts = {_plain_texts(row) for row in self._grid.rows[following.first : following.last + 1]}
            if not all(text in self._seen for text in texts):
                return following.first, following
            start = following.last + 1
        return len(self._grid.rows), None

    def _skip_refused(self, header: Header, body: tuple[GridRow, ...]) -> None:
        for row in body:
            self._add(row, RowKind.OTHER if _plain_texts(row) else RowKind.BLANK)
        self._flags.append(
            Flag(
                code="intake/table-refused",
                severity=Severity.ASK,
                source=self._place(self._grid.rows[header.first]),
                message=f"the table under this header is not read ({len(body)} rows): {header.refusal}",
                fix="If it does list doors or rooms, name its columns with --column FIELD=HEADER.",
            )
        )

    def _read_body(self, header: Header, body: tuple[GridRow, ...], maker: "RecordMaker") -> None:
        habits = _study(header, body)
        self._since_sum = self._since_start = 0
        legend = False
        for row in body:
            kind, flags = self._judge(row, header, habits, legend=legend)
            if kind is RowKind.LEGEND and starts_legend(_plain_texts(row)):
                legend = True
            elif kind in (RowKind.DATA, RowKind.LEVEL, RowKind.HEADER):
                legend = False
            if kind in (RowKind.DATA, RowKind.HIDDEN, RowKind.STRUCK):
                self._since_sum += 1
                self._since_start += 1
            if kind in (RowKind.DATA, RowKind.HIDDEN, RowKind.STRUCK, RowKind.UNPLACED):
                record = maker.make(row, kind, self._level, flags)
                self._rows.append(record)
                if kind is not RowKind.DATA:
                    self._flags += record.flags
            else:
                self._add(row, kind, flags)

    def _judge(
        self, row: GridRow, header: Header, habits: _Habits, *, legend: bool
    ) -> tuple[RowKind, tuple[Flag, ...]]:
        texts = _plain_texts(row)
        if all(map(is_void, texts)):
            return RowKind.BLANK, ()
        repeated = self._repeats(row, texts, header)
        if row.hidden:
            if len(texts) == 1 and is_level_heading(texts[0]):
                self._level = texts[0]  # The rows under a hidden heading still belong to its level.
            if repeated is not None:
                return repeated, ()
            return RowKind.HIDDEN, (self._row_flag(row, "intake/hidden-row", "the row is hidden or filtered out"),)
        if _is_struck(row, header):
            return RowKind.STRUCK, (self._row_flag(row, "intake/struck-row", "the row is struck through"),)
        if repeated is not None:
            return repeated, ()
        if heading := _level_of_heading(row, texts, header):
            self._level, self._level_from = heading, ""
            self._since_sum = 0
            return RowKind.LEVEL, ()
        if is_subtotal(texts, self._level):
            return RowKind.SUBTOTAL, self._check_sum(row, texts)
        if len(texts) == 1 and any(
            re.fullmatch(p, texts[0].lower()) for p in load_table("rows.toml")["page"]["patterns"]
        ):
            return RowKind.TITLE, ()
        if starts_legend(texts) and not _has_code(row, header):
            return RowKind.LEGEND, ()
        if legend:
            return self._judge_in_legend(row, header, habits)
        if len(texts) == 1:
            return self._judge_lone(row, texts[0], header, habits)
        return self._judge_record(row, header, habits)

    def _judge_in_legend(self, row: GridRow, header: Header, habits: _Habits) -> tuple[RowKind, tuple[Flag, ...]]:
        """Under notes a row is a note, unless it is built like the records above."""
        if not _has_code(row, header, habits.shapes):
            return RowKind.LEGEND, ()
        if len(row.own) >= 2 and len(row.own) > habits.fill / 2:
            return RowKind.DATA, ()
        flag = self._row_flag(
            row, "intake/unplaced-row", "the row stands among notes but begins like a record", severity=Severity.HOLD
        )
        return RowKind.UNPLACED, (flag,)

    def _judge_lone(self, row: GridRow, text: str, header: Header, habits: _Habits) -> tuple[RowKind, tuple[Flag, ...]]:
        """A row with one cell: a record, a heading, or a remark."""
        at, cell = next((at, cell) for at, cell in row.own.items() if squeeze(cell.given))
        meaning = header.fields.get(at)
        if habits.fill <= 1 and meaning in IDENTITY:
            return RowKind.DATA, ()
        if meaning in _NUMBERED or meaning is Field.FINAL_NUMBER:
            # An error or a lost formula stands where a number was.
            if is_code(text) or shape_of(text) in habits.shapes or len(text) <= _SHORT_MARK or cell.marks:
                return RowKind.DATA, ()
        elif meaning is Field.ROOM_NAME:
            flag = self._row_flag(
                row, "intake/lone-name", f"the row has nothing but {text!r} in the name column: a room or a heading?"
            )
            return RowKind.DATA, (flag,)
        if is_remark(text):
            return RowKind.LEGEND, ()
        flag = self._row_flag(
            row, "intake/unplaced-row", f"the row has one cell, {_short(text)!r}: no record, and no level heading"
        )
        return RowKind.UNPLACED, (flag,)

    def _judge_record(self, row: GridRow, header: Header, habits: _Habits) -> tuple[RowKind, tuple[Flag, ...]]:
        identity = {
            meaning: cell
            for at, cell in row.cells.items()
            if (meaning := header.fields.get(at)) in IDENTITY and (not is_void(cell.given) or cell.marks)
        }
        own = [cell for cell in row.own.values() if not is_void(cell.given)]
        if not identity:
            flag = self._row_flag(
                row,
                "intake/no-identity",
                f"the row has {len(own)} cells, but no door, room number or room name",
                severity=Severity.HOLD,
            )
            return RowKind.UNPLACED, (flag,)
        numbered = [cell.given for meaning, cell in identity.items() if meaning in _NUMBERED]
        strange = bool(numbered) and not any(is_code(text) or shape_of(text) in habits.shapes for text in numbered)
        marked = any(cell.marks for cell in identity.values())
        if habits.shapes and habits.fill > 2 and len(own) == 2 and strange and not marked:
            # "FG | FULL GLASS": a legend without a heading.
            what = f"the row begins with {_short(squeeze(numbered[0]))!r}, built like no other number here: a legend?"
            return RowKind.UNPLACED, (self._row_flag(row, "intake/unplaced-row", what),)
        return RowKind.DATA, ()

    def _repeats(self, row: GridRow, texts: tuple[str, ...], header: Header) -> RowKind | None:
        """The kind of an earlier header or title row with the same words, or None."""
        if texts in self._seen:
            kind = self._seen[texts]
            if kind is RowKind.LEVEL:
                return None  # Judged again, since it changes the level.
            return kind
        names = {
            match.column: {normalize_header(part) for part in match.header.split(" / ")} for match in header.columns
        }
        same = sum(
            normalize_header(cell.given) in names.get(column_letter(at), ())
            for at, cell in row.own.items()
            if cell.given
        )
        return RowKind.HEADER if same >= 2 and same == len(texts) else None

    def _check_sum(self, row: GridRow, texts: tuple[str, ...]) -> tuple[Flag, ...]:
        """Compare the sheet's own count with ours, for the section or the whole table."""
        stated = count_in(texts)
        ours = {self._since_sum, self._since_start}
        section, whole = self._since_sum, self._since_start
        self._since_sum = 0
        if stated is None or stated in ours:
            return ()
        dead = sum(raw.kind in (RowKind.HIDDEN, RowKind.STRUCK) for raw in self._rows)
        if dead and (section - dead <= stated < section or whole - dead <= stated < whole):
            return ()
        flag = self._row_flag(
            row,
            "intake/total-differs",
            f"the sheet counts {stated}; {section} records stand above in this section, {whole} in the table",
        )
        self._flags.append(flag)
        return (flag,)

    def _tell_levels(self, header: Header, rows: list[RawRow]) -> None:
        records = [row for row in rows if row.kind is RowKind.DATA]
        missing = [row for row in records if not row.level]
        if missing:
            self._flags.append(
                Flag(
                    code="intake/no-level",
                    severity=Severity.ASK,
                    source=missing[0].source,
                    message=f"{len(missing)} of {len(records)} records have no level in cell, heading or title",
                    fix="Add --column level=HEADER, or a heading row such as LEVEL 2, if the building has several.",
                )
            )
        elif self._level_from and records and Field.LEVEL not in header.fields.values():
            self._flags.append(
                Flag(
                    code="intake/level-from-title",
                    severity=Severity.NOTE,
                    source=records[0].source,
                    message=f"level {self._level!r} of records is taken from {self._level_from}",
                )
            )

    def _row_flag(self, row: GridRow, code: str, what: str, *, severity: Severity = Severity.ASK) -> Flag:
        fixes = {
            "intake/hidden-row": "Show the row in the schedule if it is live.",
            "intake/struck-row": "Remove the strike-through in the schedule if the row is live.",
        }
        return Flag(
            code=code,
            severity=severity,
            source=self._place(row),
            message=f"{what}. It is counted and listed, and makes no sign" if severity is not Severity.NOTE else what,
            given=" | ".join(_plain_texts(row)),
            fix=fixes.get(code, "Say what the row is: correct it in the schedule and read it again."),
            who="architect",
        )

    def _place(self, row: GridRow) -> Source:
        return Source(file=self._grid.file, sheet=self._grid.sheet, row=row.number)

    def _add(self, row: GridRow, kind: RowKind, flags: tuple[Flag, ...] = ()) -> None:
        given = tuple(cell.given for cell in row.own.values() if squeeze(cell.given))
        self._rows.append(RawRow(source=self._place(row), kind=kind, level=self._level, as_given=given, flags=flags))


def _plain_texts(row: GridRow) -> tuple[str, ...]:
    return tuple(text for given in row.texts if (text := squeeze(given)))


def _short(text: str) -> str:
    return text if len(text) <= 50 else text[:47] + "..."


def _study(header: Header, body: tuple[GridRow, ...]) -> _Habits:
    notes = (at for at, row in enumerate(body) if row.own and starts_legend(_plain_texts(row) or ("",)))
    above_notes = body[: next(notes, len(body))]
    rows = [row for row in above_notes if _has_code(row, header)]
    if not rows:
        named = [row for row in body if any(header.fields.get(at) in IDENTITY for at in row.own)]
        return _Habits(fill=median([len(row.own) for row in named]) if named else 1.0)
    shapes = {
        shape_of(cell.given)
        for row in rows
        if len(row.own) > 1
        for at, cell in row.cells.items()
        if header.fields.get(at) in _NUMBERED and not is_void(cell.given)
    }
    return _Habits(fill=median(len(row.own) for row in rows), shapes=shapes)


def _has_code(row: GridRow, header: Header, shapes: set[str] | None = None) -> bool:
    """True when a door or number cell looks like a number (built like one of `shapes`, where given)."""
    found = [cell.given for at, cell in row.own.items() if header.fields.get(at) in _NUMBERED and is_code(cell.given)]
    return any(shapes is None or shape_of(text) in shapes for text in found)


def _is_struck(row: GridRow, header: Header) -> bool:
    """True when all that identifies the row is struck through, or all of it is."""
    own = [cell for cell in row.own.values() if squeeze(cell.given)]
    identity = [cell for at, cell in row.own.items() if header.fields.get(at) in IDENTITY and squeeze(cell.given)]
    return all(cell.struck for cell in identity or own)


def _level_of_heading(row: GridRow, texts: tuple[str, ...], header: Header) -> str:
    """The level a heading row names, or ""."""
    if len(texts) == 1:
        at = next(at for at, cell in row.own.items() if squeeze(cell.given))
        in_column = header.fields.get(at) is Field.LEVEL and is_level_value(texts[0])
        return texts[0] if in_column or is_level_heading(texts[0]) else ""
    words = load_table("rows.toml")["level"]["words"]
    if len(texts) == 2 and texts[0].lower().rstrip(":") in words and is_level_value(texts[1]):
        return f"{texts[0].rstrip(':')} {texts[1]}"
    return ""
