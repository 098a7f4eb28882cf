"""What a table says, before it is written in any format."""

from dataclasses import dataclass

from schedule2sign.model.paper import Rows

Value = str | int | float


@dataclass(frozen=True, slots=True)
class Column:
    """A column: header, width in characters, and the only answers its cells accept (none: anything).

    With `as_text` what is typed into it stays text: 007 keeps its zeros, 1-2 becomes no date.
    """

    header: str
    width: int
    choices: tuple[str, ...] = ()
    as_text: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table of a workbook.

    Attributes:
        fills: color of a cell in the first two columns by its text.
        marks: (row, column, color) of single cells, both counted from 0 under the header.
        repeat: columns from the left that stand on every page where the table prints over several side by side.
    """

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Value, ...], ...] | Rows[Value]
    fills: tuple[tuple[str, str], ...] = ()
    marks: tuple[tuple[int, int, str], ...] = ()
    repeat: int = 1

    @property
    def widths(self) -> tuple[int, ...]:
        """Widths of the columns in characters."""
        return tuple(column.width for column in self.columns)
