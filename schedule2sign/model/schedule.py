"""What was read: tables, rows and their cells, before any of it is interpreted."""

from dataclasses import dataclass, field
from enum import StrEnum

from schedule2sign.model.flag import Flag
from schedule2sign.model.source import Source


class Field(StrEnum):
    """What a column of a schedule means."""

    DOOR = "door"
    ROOM_NUMBER = "number"
    ROOM_NAME = "name"
    FINAL_NUMBER = "final-number"
    FROM_ROOM = "from"
    TO_ROOM = "to"
    LEVEL = "level"
    LEAF = "leaf"
    HAND = "hand"
    GLASS = "glass"
    SIGN_TYPE = "sign-type"
    INSERT = "insert"
    OCCUPANCY = "occupancy"
    QUANTITY = "quantity"
    REMARKS = "remarks"
    ADJACENT = "adjacent"  # rooms on both sides of the door, in no known order


class RowKind(StrEnum):
    """What a row of the sheet is. Only DATA rows can become signs; every row is counted."""

    DATA = "data"
    BLANK = "blank"
    TITLE = "title"
    HEADER = "header"
    LEVEL = "level"
    SUBTOTAL = "subtotal"
    LEGEND = "legend"
    HIDDEN = "hidden"
    STRUCK = "struck"
    UNPLACED = "unplaced"
    OTHER = "other"  # a record of something that is neither door nor room, such as a cabinet in a list of components


class TableShape(StrEnum):
    """What one row of a table stands for."""

    DOORS = "doors"
    ROOMS = "rooms"
    MESSAGES = "messages"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One mapped cell: its meaning, its text as given (never trimmed of meaning), its column letter."""

    field: Field
    text: str
    column: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RawRow:
    """One row of a sheet.

    Attributes:
        level: text of the level cell, else of the last level heading above, else "".
        cells: mapped, non-empty cells in column order.
        as_given: every non-empty cell of the row in column order, mapped or not.
        flags: what the reader saw (a number kept as float, a struck cell ...).
    """

    source: Source
    kind: RowKind
    level: str = ""
    cells: tuple[Cell, ...] = ()
    as_given: tuple[str, ...] = ()
    flags: tuple[Flag, ...] = ()

    def text(self, field: Field) -> str:
        """Text of the first cell mapped to the field, or ""."""
        for cell in self.cells:  # a loop, for it is asked a hundred times a row
            if cell.field is field:
                return cell.text
        return ""

    def source_of(self, field: Field) -> Source:
        """The cell's own source, or the row's where the field is absent."""
        column = next((cell.column for cell in self.cells if cell.field is field), "")
        return Source(file=self.source.file, sheet=self.source.sheet, row=self.source.row, column=column)


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnMatch:
    """One column, the header text found and the field it was taken for."""

    column: str
    header: str
    field: Field | None
    evidence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table found in a sheet, and why it was taken for one."""

    file: str
    sheet: str
    header_rows: tuple[int, ...]
    shape: TableShape
    columns: tuple[ColumnMatch, ...]
    evidence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class InputFile:
    """A file that was read: its name, not its path (output is the same on any machine), and SHA-256 of its bytes.

    `data` is the file itself where a copy of it is to be written, else b"".
    """

    name: str
    sha256: str
    size_bytes: int
    data: bytes = field(default=b"", repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """Everything read, in source order: no row of any sheet read is missing from `rows`."""

    inputs: tuple[InputFile, ...]
    tables: tuple[Table, ...]
    rows: tuple[RawRow, ...]
    flags: tuple[Flag, ...]
