"""Workbooks to grids: openpyxl where it can, its read-only mode or calamine where it cannot."""

import io
import struct
import warnings
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import groupby
from operator import itemgetter
from typing import Any, TypeVar

from schedule2sign.errors import InputError
from schedule2sign.intake.cells import make_cell
from schedule2sign.intake.grid import Grid, GridCell, GridRow, load_table
from schedule2sign.intake.richtext import plain_at_once, read_rich
from schedule2sign.intake.values import first_line, read_values, tell_damage
from schedule2sign.model.flag import Flag, Severity

# What a reader throws at a file it cannot make sense of; parse errors of XML are SyntaxErrors.
_REFUSALS = (
    ValueError,
    TypeError,
    KeyError,
    AttributeError,
    IndexError,
    OverflowError,
    SyntaxError,
    OSError,
    EOFError,
    NotImplementedError,
    RuntimeError,
    ArithmeticError,
    AssertionError,
    struct.error,
    zlib.error,
)


def _refusals() -> tuple[type[Exception], ...]:
    try:
        from PIL.Image import DecompressionBombError  # openpyxl opens pictures where it is installed
    except ImportError:
        return _REFUSALS
    return (*_REFUSALS, DecompressionBombError)


# Namespace of the strict variant of ISO/IEC 29500.
_STRICT = b"http://purl.oclc.org/ooxml/spreadsheetml/main"
_Found = TypeVar("_Found")


@dataclass(frozen=True, slots=True, kw_only=True)
class Workbook:
    """A workbook that is open but whose sheets are read only on demand.

    Attributes:
        sheets: (name, visible) in workbook order.
        read: grid of a sheet by name.
    """

    sheets: tuple[tuple[str, bool], ...]
    read: Callable[[str], Grid]


def open_workbook(name: str, data: bytes) -> Workbook:
    """Open xlsx or xlsm by openpyxl, else by a simpler reader with a flag.

    Raises:
        InputError: no reader can open it.
    """
    chain = _Chain(name, data)
    return Workbook(
        sheets=chain.use(lambda book: book.sheets), read=lambda sheet: chain.use(lambda book: book.read(sheet))
    )


class _Chain:
    """Readers from the most knowing to the simplest; when one refuses, the next is taken."""

    def __init__(self, name: str, data: bytes) -> None:
        self._name = name
        self._data = data
        self._openers = [_open_full, _open_read_only, open_with_calamine]
        self._book: Workbook | None = None
        self._reason = ""

    def use(self, task: Callable[[Workbook], _Found]) -> _Found:
        """What the task gets from the first reader that can do it."""
        while self._openers:
            try:
                if self._book is None:
                    self._book = self._openers[0](self._name, self._data, self._reason)
                return task(self._book)
            except zipfile.BadZipFile as error:
                raise tell_damage(self._name, error) from error
            except _refusals() as error:
                self._reason = self._reason or f"{self._name} is refused by the full reader ({first_line(error)})"
                self._openers.pop(0)
                self._book = None
        raise InputError(
            f"{self._reason} and by the simpler ones. Open it in a spreadsheet program and save it as xlsx."
        )


def open_with_calamine(name: str, data: bytes, reason: str = "") -> Workbook:
    """Open xls or ods (or an xlsx others refuse): values only.

    Raises:
        InputError: password-protected or damaged.
    """
    found = read_values(name, data)
    blind = reason or f"{name} is of a format read for its values only"

    def read(sheet: str) -> Grid:
        page = found[sheet]
        _check_size(name, sheet, *page.size)
        rows = (
            (index, {at: make_cell(value) for at, value in enumerate(row)}) for index, row in enumerate(page.rows, 1)
        )
        return _grid(name, sheet, rows, merges=page.merges, merges_known=page.merges_known, blind=blind)

    return Workbook(sheets=tuple((sheet, page.visible) for sheet, page in found.items()), read=read)


def _open_full(name: str, data: bytes, _reason: str) -> Workbook:
    book = _load(data, rich_text=True)
    # Results of formulas are in a second reading; most schedules have none.
    results: list[Any] = []

    def read(sheet: str) -> Grid:
        page = book[sheet]
        filled = [at for at, cell in page._cells.items() if cell.value is not None or cell.comment]
        _check_size(name, sheet, max((row for row, _ in filled), default=0), max((at for _, at in filled), default=0))
        del filled
        formulas = any(cell.data_type == "f" for cell in page._cells.values())
        if formulas and not results:
            results.append(_load(data, data_only=True))
        return _read_full(name, page, results[0][sheet] if formulas else None)

    if not book.worksheets:
        raise ValueError("no sheet was found in it")
    # Chart sheets hold no rows.
    sheets = tuple((page.title, page.sheet_state == "visible") for page in book.worksheets)
    return Workbook(sheets=sheets, read=read)


def _read_full(name: str, page: Any, results: Any) -> Grid:
    width = page.max_column
    found = _take_rows(page, results)
    hidden_rows = {number for number, dimension in page.row_dimensions.items() if dimension.hidden}
    hidden_columns = {
        index - 1
        for dimension in page.column_dimensions.values()
        if dimension.hidden
        for index in range(dimension.min or 1, min(dimension.max or 1, width) + 1)
    }
    merges = tuple(
        (area.min_row, area.min_col - 1, area.max_row, area.max_col - 1)
        for area in sorted(page.merged_cells.ranges, key=lambda area: area.bounds)
    )
    return _grid(
        name,
        page.title,
        found,
        merges=merges,
        merges_known=True,
        hidden_rows=frozenset(hidden_rows),
        hidden_columns=frozenset(hidden_columns),
        visible=page.sheet_state == "visible",
        flags=_conditional_strikes(name, page),
    )


def _take_rows(page: Any, results: Any) -> Iterator[tuple[int, dict[int, GridCell | None]]]:
    """The rows that hold something; the page gives each cell away, for it takes ten times the room of one of ours."""
    # Formatted cells may go on to the end of the sheet, and asking openpyxl for rows would make every cell up to there.
    places = sorted(place for place, cell in page._cells.items() if cell.value is not None or cell.comment)
    strikes = _FontStrikes()
    for number, of_row in groupby(places, key=itemgetter(0)):
        yield (
            number,
            {column - 1: _read_cell(page._cells.pop((row, column)), results, strikes) for row, column in of_row},
        )


class _FontStrikes(dict[int, bool]):
    """Whether a font of the workbook strikes through, by its number: asking a cell for its font makes a font."""

    def of(self, cell: Any) -> bool:
        number = getattr(cell._style, "fontId", 0)  # a cell that has only a note has no style
        if number not in self:
            self[number] = bool(cell.font and cell.font.strike)
        return self[number]


def _conditional_strikes(name: str, page: Any) -> tuple[Flag, ...]:
    """A format that strikes text through on a condition: whether it does is not worked out here."""
    ranges = [
        str(area.sqref)
        for area in page.conditional_formatting
        if any(rule.dxf and rule.dxf.font and rule.dxf.font.strike for rule in area.rules)
    ]
    if not ranges:
        return ()
    flag = Flag(
        code="intake/conditional-strike",
        severity=Severity.ASK,
        message=f"{name} [{page.title}]: a conditional format strikes text through in {', '.join(ranges)} where its"
        " condition holds; rows it strikes are read as live",
        fix="Open the sheet: name the rows it shows struck through, or strike them by hand and read it again.",
        who="architect",
    )
    return (flag,)


def _read_cell(cell: Any, results: Any, strikes: _FontStrikes) -> GridCell | None:
    value, formula = cell.value, ""
    if cell.data_type == "f":
        formula = getattr(value, "text", None) or str(value)
        value = results[cell.coordinate].value
    comment = cell.comment.text.strip() if cell.comment else ""
    struck = strikes.of(cell)
    if isinstance(value, list):  # openpyxl's rich text
        return read_rich(value, comment=comment, struck=struck)
    shown_as = cell.number_format if isinstance(value, (int, float)) else "General"
    return make_cell(value, number_format=shown_as, formula=formula, comment=comment, struck=struck)


def _open_read_only(name: str, data: bytes, reason: str) -> Workbook:
    book = _load(data, read_only=True, data_only=True)

    def read(sheet: str) -> Grid:
        page = book[sheet]
        # The dimension a file states may be wrong; rows are counted as they come.
        page.reset_dimensions()
        found = []
        for number, row in enumerate(page.iter_rows(), start=1):
            _check_size(name, sheet, number, len(row))
            found.append(
                (number, {at: make_cell(cell.value, number_format=_format_of(cell)) for at, cell in enumerate(row)})
            )
        return _grid(name, sheet, iter(found), blind=reason, visible=page.sheet_state == "visible")

    sheets = tuple((page.title, page.sheet_state == "visible") for page in book.worksheets)
    return Workbook(sheets=sheets, read=read)


def _format_of(cell: Any) -> str:
    return str(getattr(cell, "number_format", None) or "General")


def _load(data: bytes, **options: bool) -> Any:
    import openpyxl

    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        if _STRICT in archive.read("xl/workbook.xml"):
            raise ValueError("it is saved as strict Open XML")  # openpyxl would see empty sheets.
    with warnings.catch_warnings(), plain_at_once():
        # Unknown extensions (sparklines, slicers) are no matter to the rows.
        warnings.simplefilter("ignore")
        return openpyxl.load_workbook(io.BytesIO(data), **options)


def _grid(
    name: str,
    sheet: str,
    found: Iterator[tuple[int, dict[int, GridCell | None]]],
    *,
    merges: tuple[tuple[int, int, int, int], ...] = (),
    merges_known: bool = False,
    hidden_rows: frozenset[int] = frozenset(),
    hidden_columns: frozenset[int] = frozenset(),
    visible: bool = True,
    flags: tuple[Flag, ...] = (),
    blind: str = "",
) -> Grid:
    limits = load_table("limits.toml")
    table = {number: {at: cell for at, cell in cells.items() if cell is not None} for number, cells in found}
    for top, left, bottom, _right in merges:
        origin = table.get(top, {}).get(left)
        if origin is None:
            continue
        for number in range(top + 1, min(bottom, limits["rows"]) + 1):
            table.setdefault(number, {})[left] = replace(origin, filled=True, comment="")
    rows = tuple(
        GridRow(number=number, cells=dict(sorted(table.pop(number, {}).items())), hidden=number in hidden_rows)
        for number in range(1, max(table, default=0) + 1)
    )
    return Grid(
        file=name,
        sheet=sheet,
        rows=rows,
        merges=merges,
        merges_known=merges_known,
        hidden_columns=hidden_columns,
        visible=visible,
        flags=flags,
        blind=blind,
    )


def _check_size(name: str, sheet: str, rows: int, columns: int) -> None:
    limits = load_table("limits.toml")
    if rows > limits["rows"] or columns > limits["columns"] or rows * columns > limits["area"]:
        raise InputError(
            f"{name} [{sheet}] has {rows} rows and {columns} columns; at most {limits['rows']} rows and"
            f" {limits['columns']} columns, and {limits['area']} cells, are read. Delete what is no schedule, or name other sheets (--sheet NAME)."
        )
