"""A grid row under known columns to a raw row: mapped cells, and a flag for each thing odd about them."""

import re
from collections.abc import Sequence
from dataclasses import replace

from schedule2sign.intake.columns import Header
from schedule2sign.intake.grid import Grid, GridCell, GridRow, Mark, column_letter, is_void, load_table, squeeze
from schedule2sign.intake.headers import IDENTITY
from schedule2sign.intake.patterns import is_code, is_wordy
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind
from schedule2sign.model.source import Source

# A wrong text in one of these is cut into a sign.
_MATTERS = (*IDENTITY, Field.FROM_ROOM, Field.TO_ROOM)
_NUMBERS = (Field.DOOR, Field.ROOM_NUMBER, Field.FINAL_NUMBER, Field.FROM_ROOM, Field.TO_ROOM)
_POINT_ZERO = re.compile(r"-?\d+\.0+")
_POINT = re.compile(r"-?\d+\.\d+")
_ONE_DECIMAL = re.compile(r"\d+\.[1-9]")
_LEADING_ZERO = re.compile(r"0\d+[A-Za-z]?")
# 12000 among room numbers of three digits: what a spreadsheet makes of 12E3.
_ROUND = re.compile(r"[1-9]\d{0,2}0{3,}")
_EXPONENT_LENGTH = 5
_SWAP_SHARE = 0.7


class RecordMaker:
    """Makes the records of one table, knowing how its columns usually are."""

    def __init__(self, grid: Grid, header: Header, body: Sequence[GridRow]) -> None:
        self._grid = grid
        self._header = header
        self._column = {meaning: at for at, meaning in reversed(list(header.fields.items()))}
        self._most = load_table("limits.toml")["sign_characters"]
        self._pointless: set[int] = set()
        self._all_numbers: dict[int, int] = {}
        self._width_with_zeros: dict[int, int] = {}
        self._usual_length: dict[int, int] = {}
        self._formulas: dict[int, int] = {}
        self._one_decimal: dict[int, tuple[int, str]] = {}
        # Rows say much the same: one cell and one text stand for all that are alike.
        self._cells: dict[tuple[int, str], Cell] = {}
        self._texts: dict[str, str] = {}
        self._swaps = self._study_swaps(body)
        for at, meaning in header.fields.items():
            if meaning in _NUMBERS:
                self._study(at, [row.cells[at] for row in body if at in row.cells and len(row.own) > 1])

    def _study(self, at: int, cells: Sequence[GridCell]) -> None:
        texts = [squeeze(cell.given) for cell in cells if not is_void(cell.given)]
        pointed = [text for text in texts if _POINT.fullmatch(text)]
        # "101.0" beside "101.1" is a number with a point; alone it is a number turned into a decimal.
        if pointed and all(map(_POINT_ZERO.fullmatch, pointed)):
            self._pointless.add(at)
        numeric = sum(cell.numeric for cell in cells)
        if numeric and numeric >= len(cells) / 2:
            self._all_numbers[at] = numeric
        self._usual_length[at] = max((len(text) for text in texts if not _ROUND.fullmatch(text)), default=0)
        tenths = [squeeze(cell.text) for cell in cells if cell.numeric and _ONE_DECIMAL.fullmatch(squeeze(cell.text))]
        if tenths and at not in self._pointless:
            self._one_decimal[at] = len(tenths), tenths[0]
        zeros = [len(text) for text in texts if _LEADING_ZERO.fullmatch(text)]
        if zeros:
            self._width_with_zeros[at] = max(set(zeros), key=zeros.count)

    def _study_swaps(self, body: Sequence[GridRow]) -> bool:
        """True when number and name columns are mostly the right way round, so that a swapped row stands out."""
        number, name = self._column.get(Field.ROOM_NUMBER), self._column.get(Field.ROOM_NAME)
        if number is None or name is None:
            return False
        both = [row for row in body if number in row.cells and name in row.cells]
        right = sum(is_code(row.cells[number].given) and is_wordy(row.cells[name].given) for row in both)
        return len(both) >= 4 and right >= _SWAP_SHARE * len(both)

    def make(self, row: GridRow, kind: RowKind, level: str, flags: Sequence[Flag]) -> RawRow:
        """The raw row, with the flags of the reader and of its own cells."""
        found = list(flags)
        cells: list[Cell] = []
        for at, cell in row.cells.items():
            meaning = self._header.fields.get(at)
            if meaning is None:
                continue
            text, cell_flags = self._read_cell(row, at, cell, meaning)
            if kind is RowKind.DATA:
                found += cell_flags
                if at in self._header.rivals:
                    found += self._contradictions(row, at, cell, meaning)
            if not is_void(text):
                cells.append(self._cell(at, text, meaning))
        if kind is RowKind.DATA and self._swaps:
            cells, swap = self._unswap(row, cells)
            found += swap
        here = next((squeeze(cell.text) for cell in cells if cell.field is Field.LEVEL), "")
        return RawRow(
            source=self._place(row),
            kind=kind,
            level=self._shared(here or level),
            cells=tuple(cells),
            as_given=tuple(self._shared(cell.given) for cell in row.own.values() if squeeze(cell.given)),
            flags=tuple(found),
        )

    def _cell(self, at: int, text: str, meaning: Field) -> Cell:
        known = self._cells.get((at, text))
        if known is None:
            known = Cell(field=meaning, text=self._shared(text), column=column_letter(at))
            self._cells[at, text] = known
        return known

    def _shared(self, text: str) -> str:
        return self._texts.setdefault(text, text)

    def _contradictions(self, row: GridRow, at: int, cell: GridCell, meaning: Field) -> list[Flag]:
        """What another column that may be the same thing says otherwise: a wrong number is cut into the sign."""
        others = ((other, row.cells.get(other)) for other in self._header.rivals[at])
        return [
            self._flag(
                row,
                at,
                cell,
                meaning,
                Mark(
                    code="intake/two-columns-differ",
                    severity=Severity.HOLD,
                    message=f"the cell says {squeeze(cell.given)!r}, and column {column_letter(other)}, which may be the "
                    f"{meaning} too, says {squeeze(rival.given)!r}",
                    fix=f"Say which column is the {meaning}: --column {meaning}={column_letter(at)} or "
                    f"--column {meaning}={column_letter(other)}.",
                ),
            )
            for other, rival in others
            if rival is not None and not is_void(rival.given) and squeeze(rival.given) != squeeze(cell.given)
        ]

    def _read_cell(self, row: GridRow, at: int, cell: GridCell, meaning: Field) -> tuple[str, list[Flag]]:
        text, most = cell.text, self._most
        if len(text) <= most and at not in self._pointless and _is_plain(cell):
            return text, []  # nearly always
        flags = []
        for mark in cell.marks:
            if mark.code == "intake/formula-value":
                self._formulas[at] = self._formulas.get(at, 0) + 1
            elif meaning in _MATTERS:
                flags.append(self._flag(row, at, cell, meaning, mark))
            elif mark.severity is Severity.HOLD and mark.code not in ("intake/date-value", "intake/scientific-number"):
                flags.append(self._flag(row, at, cell, meaning, replace(mark, severity=Severity.ASK)))
        if cell.struck and squeeze(cell.given):
            severity = Severity.HOLD if meaning in _MATTERS else Severity.ASK
            mark = Mark(
                code="intake/struck-cell",
                severity=severity,
                message="the cell is struck through and not used, though the rest of the row is live",
                fix="Ask which text is in force.",
            )
            flags.append(self._flag(row, at, cell, meaning, mark))
        if cell.filled and meaning in _MATTERS and not is_void(cell.text):
            mark = Mark(
                code="intake/merged-cell",
                severity=Severity.NOTE,
                message="the text stands in a merged cell that spans this row and is used for each row of it",
            )
            flags.append(self._flag(row, at, cell, meaning, mark))
        if cell.comment:
            mark = Mark(
                code="intake/cell-comment",
                severity=Severity.NOTE,
                message=f"a note hangs on the cell: {squeeze(cell.comment)!r}",
                fix="Read it: it may change the row.",
            )
            flags.append(self._flag(row, at, cell, meaning, mark))
        if meaning in (*_MATTERS, Field.LEVEL) and len(cell.text) > most and (length := len(squeeze(cell.text))) > most:
            mark = Mark(
                code="intake/text-too-long",
                severity=Severity.HOLD,
                message=f"the cell holds {length} characters; at most {most} are taken for a sign, so none of it is used",
                fix="Shorten the text, or split the row.",
            )
            return "", [*flags, self._flag(row, at, cell, meaning, mark)]
        if meaning in _NUMBERS:
            text, mark_or_none = self._read_number(at, cell)
            if mark_or_none is not None:
                flags.append(self._flag(row, at, cell, meaning, mark_or_none))
        return text, flags

    def _read_number(self, at: int, cell: GridCell) -> tuple[str, Mark | None]:
        plain = squeeze(cell.text)
        usual = self._width_with_zeros.get(at)
        if at in self._pointless and _POINT_ZERO.fullmatch(plain):
            short = plain.partition(".")[0]
            return short, Mark(
                code="intake/number-as-decimal",
                severity=Severity.NOTE,
                message=f"{plain} is the number {short}, stored as a decimal",
            )
        if cell.numeric and usual and plain.isdigit() and len(plain) < usual:
            return cell.text, Mark(
                code="intake/zeros-lost",
                severity=Severity.HOLD,
                message=f"{plain} is stored as a number, others read like {'0' * usual}: leading zeros may be lost",
                fix=f"Ask whether it is {plain} or {plain.zfill(usual)}.",
            )
        longest = self._usual_length.get(at, 0)
        if cell.numeric and _ROUND.fullmatch(plain) and len(plain) >= _EXPONENT_LENGTH and 0 < longest < len(plain):
            return cell.text, Mark(
                code="intake/scientific-number",
                severity=Severity.HOLD,
                message=f"{plain} is stored as a number and longer than the others here; a spreadsheet program turns"
                " a number such as 12E3 into it",
                fix="Ask for the number as the architect wrote it, and format the column as text.",
            )
        if cell.numeric and at not in self._all_numbers and not cell.marks:
            return cell.text, Mark(
                code="intake/number-among-text",
                severity=Severity.NOTE,
                message=f"{plain} is stored as a number, others of the column as text",
            )
        return cell.text, None

    def _unswap(self, row: GridRow, cells: list[Cell]) -> tuple[list[Cell], list[Flag]]:
        """Number in the name column and name in the number column: take each for what it looks like."""
        by_field = {cell.field: cell for cell in cells}
        number, name = by_field.get(Field.ROOM_NUMBER), by_field.get(Field.ROOM_NAME)
        if number is None or name is None or not is_code(name.text) or not is_wordy(number.text):
            return cells, []
        if any(char.isdigit() for char in number.text):
            return cells, []
        turned = {number.column: Field.ROOM_NAME, name.column: Field.ROOM_NUMBER}
        swapped = [replace(cell, field=turned.get(cell.column, cell.field)) for cell in cells]
        flag = Flag(
            code="intake/number-name-swapped",
            severity=Severity.ASK,
            source=replace(self._place(row), column=number.column),
            message=(
                f"the number column holds {squeeze(number.text)!r} and the name column {squeeze(name.text)!r};"
                " they are taken the other way round"
            ),
            given=f"{number.text} | {name.text}",
            fix="Correct the row in the schedule if that is wrong.",
            who="architect",
        )
        return swapped, [flag]

    def table_flags(self) -> list[Flag]:
        """What holds for whole columns, said once."""
        flags = []
        for at, count in sorted(self._all_numbers.items()):
            flags.append(
                self._column_flag(
                    at,
                    "intake/numbers-without-text",
                    f"{count} cells of column {column_letter(at)} are stored as numbers, not text: leading zeros,"
                    " if the architect wrote any, are not in the file",
                )
            )
        for at, (count, first) in sorted(self._one_decimal.items()):
            message = (
                f"{count} number{'s' * (count != 1)} of column {column_letter(at)} with a point are stored as numbers:"
                f" {first} and {first}0 are two rooms, and the file cannot tell which was meant"
            )
            asked = self._column_flag(at, "intake/zero-after-point", message)
            fix = "Ask whether any of them ends in a zero, and have the column formatted as text."
            flags.append(replace(asked, severity=Severity.ASK, fix=fix, who="architect"))
        for at, count in sorted(self._formulas.items()):
            flags.append(
                self._column_flag(
                    at,
                    "intake/formula-value",
                    f"{count} cells of column {column_letter(at)} are formulas; their last stored results are used",
                )
            )
        return flags

    def _column_flag(self, at: int, code: str, message: str) -> Flag:
        row = self._grid.rows[max(self._header.last, 0)].number
        source = Source(file=self._grid.file, sheet=self._grid.sheet, row=row, column=column_letter(at))
        return Flag(code=code, severity=Severity.NOTE, source=source, message=message)

    def _flag(self, row: GridRow, at: int, cell: GridCell, meaning: Field, mark: Mark) -> Flag:
        return Flag(
            code=mark.code,
            severity=mark.severity,
            source=replace(self._place(row), column=column_letter(at)),
            message=f"{meaning}: {mark.message}",
            given=cell.given,
            fix=mark.fix,
            who="architect" if mark.severity is not Severity.NOTE else "",
        )

    def _place(self, row: GridRow) -> Source:
        return Source(file=self._grid.file, sheet=self._grid.sheet, row=row.number, column=self._grid.pane)


def _is_plain(cell: GridCell) -> bool:
    """A cell with text and nothing else."""
    return not (cell.marks or cell.numeric or cell.struck or cell.filled or cell.comment)
