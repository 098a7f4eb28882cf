"""A sheet as cells with what was seen on them, before any table is looked for."""

import functools
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.resources import files
from itertools import accumulate
from typing import Any

from schedule2sign.model.flag import Flag, Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Something seen on a cell that the text alone does not tell; becomes a flag where the column matters."""

    code: str
    severity: Severity
    message: str
    fix: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class GridCell:
    """One cell.

    Attributes:
        text: what may be used: "" for an error, a formula without value, or text struck through.
        given: the text as it stands in the cell.
        numeric: the file stores a number, not text.
        struck: all of it is struck through.
        filled: repeated from the top cell of a merge that spans rows.
        comment: text of the note a person hung on the cell.
    """

    text: str
    given: str
    marks: tuple[Mark, ...] = ()
    numeric: bool = False
    struck: bool = False
    filled: bool = False
    comment: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class GridRow:
    """One row by its number (from 1); `cells` maps column index (from 0) to non-empty cells, in column order."""

    number: int
    cells: Mapping[int, GridCell] = field(default_factory=dict)
    hidden: bool = False

    @property
    def own(self) -> Mapping[int, GridCell]:
        """Cells that are not the lower part of a merge."""
        for cell in self.cells.values():
            if cell.filled:
                break
        else:
            return self.cells  # nearly always
        return {index: cell for index, cell in self.cells.items() if not cell.filled}

    @property
    def texts(self) -> tuple[str, ...]:
        """Given text of every own cell, in column order."""
        return tuple(cell.given for cell in self.cells.values() if not cell.filled)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """One sheet; for a text file `sheet` is "".

    Attributes:
        merges: (first row, first column, last row, last column) of merges, rows from 1, columns from 0.
        merges_known: False where the format does not say which cells are merged (group headings then spread right).
        notes: how it was read ("UTF-8, comma").
        blind: why hidden rows, struck text and notes on cells cannot be seen, "" where they can.
        pane: letter of the first column, where other tables stand to the left; part of its rows' places.
    """

    file: str
    sheet: str
    rows: tuple[GridRow, ...]
    hidden_columns: frozenset[int] = frozenset()
    visible: bool = True
    merges: tuple[tuple[int, int, int, int], ...] = ()
    merges_known: bool = False
    notes: str = ""
    flags: tuple[Flag, ...] = ()
    blind: str = ""
    pane: str = ""
    _reach: list[int] = field(default_factory=list, init=False, repr=False, compare=False)

    def last_column(self, start: int) -> int:
        """The last filled column (from 0) of the rows from index `start` down, -1 where none is filled."""
        if not self._reach:  # worked out once: a sheet that repeats its header on every page asks for each of them
            last = (max(row.cells, default=-1) for row in reversed(self.rows))
            self._reach.extend(reversed([*accumulate(last, max, initial=-1)]))
        return self._reach[start]


def column_letter(index: int) -> str:
    """Spreadsheet letter of a column counted from 0: 0 is A, 26 is AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def column_index(letters: str) -> int:
    """Column counted from 0 of a spreadsheet letter."""
    index = 0
    for letter in letters.upper():
        index = index * 26 + ord(letter) - 64
    return index - 1


# Signs without width that copy and paste leaves behind.
_NO_WIDTH = re.compile(r"[\u00ad\u180e\u200b-\u200f\u202a-\u202e\u2060-\u2064\ufeff]+")


MOST_TEXTS = 16_384  # texts kept in mind: a table is gone through several times, and most have fewer


@functools.lru_cache(maxsize=MOST_TEXTS)
def squeeze(text: str) -> str:
    """Text on one line with single spaces, for comparing; the cell itself keeps what it holds."""
    plain = " ".join((text if text.isascii() else _NO_WIDTH.sub("", text)).split())
    return text if plain == text else plain


@functools.lru_cache(maxsize=MOST_TEXTS)
def is_void(text: str) -> bool:
    """True for text that means an empty cell: blanks, dashes, "n/a"."""
    plain = squeeze(text).lower()
    return not plain or plain in _voids()


@functools.cache
def _voids() -> frozenset[str]:
    return frozenset(load_table("rows.toml")["empty"])


@functools.cache
def load_table(name: str) -> dict[str, Any]:
    """A data file of this stage."""
    return tomllib.loads(files("schedule2sign.intake").joinpath(name).read_text(encoding="utf-8"))
