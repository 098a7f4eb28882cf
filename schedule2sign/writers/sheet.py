"""Tables as xlsx with the same bytes every time, and as CSV; no cell of either can run as a formula."""

import csv
import functools
import io
import re
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from itertools import islice
from typing import Any

from schedule2sign.writers.chunks import in_chunks
from schedule2sign.writers.rowxml import rows_xml
from schedule2sign.writers.sheetprint import MARGIN_IN, PAPER, pages_across, row_height_pt
from schedule2sign.writers.table import Column, Sheet, Value
from schedule2sign.writers.text import cell_text, clean_text, csv_text
from schedule2sign.writers.zipstream import zip_chunks

FACE = "Calibri"  # what the library writes for plain cells; a header without a name falls back to another
_EPOCH = datetime(2000, 1, 1)  # noqa: DTZ001 - a fixed stamp, no time of day: same job, same bytes
_TITLE_FORBIDDEN = re.compile(r"[\[\]:*?/\\\n]")
_TITLE_LENGTH = 31
_DIMENSION = re.compile(rb"<dimension [^>]*/>")  # the extent of the header alone; it may be left out
_CSV_ROWS = 400  # some 100 kB


def render_csv(columns: Sequence[Column], rows: Iterable[Sequence[Value]]) -> Iterator[bytes]:
    """RFC 4180 text in UTF-8, some rows at a time; the next are asked for when these are written."""
    yield csv_line([column.header for column in columns]).encode()
    values = ([_csv_value(value) for value in row] for row in rows)
    while True:
        text = io.StringIO(newline="")
        csv.writer(text).writerows(islice(values, _CSV_ROWS))
        if not text.tell():
            return
        yield text.getvalue().encode()


def csv_line(values: Sequence[Value]) -> str:
    """One line of such a text, with its end."""
    text = io.StringIO(newline="")
    csv.writer(text).writerow([_csv_value(value) for value in values])
    return text.getvalue()


@functools.lru_cache(maxsize=4096, typed=True)  # a table says the same few words again and again
def _csv_value(value: Value) -> Value:
    return csv_text(value) if isinstance(value, str) else value


def render_workbook(sheets: Sequence[Sheet], title: str, unit: str = "in") -> bytes:
    """An xlsx file of the tables, printed on US letter ("in") or A4 ("mm")."""
    return b"".join(workbook_chunks(sheets, title, unit))


def workbook_chunks(sheets: Sequence[Sheet], title: str, unit: str = "in") -> Iterator[bytes]:
    """The same piece by piece; the rows of a sheet are made when those before it are written."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    yield from save_workbook(book, title, [add_sheet(book, sheet, unit) for sheet in sheets])


def add_sheet(book: Any, sheet: Sheet, unit: str = "in") -> Iterator[bytes]:
    """Put the table into the workbook as a new sheet: header frozen and filtered, printed landscape.

    Returns:
        The rows under the header as XML, made one by one while the workbook is saved.
    """
    from openpyxl.styles import Font, PatternFill
    from openpyxl.utils import get_column_letter

    page, widths = book.create_sheet(sheet.title), sheet.widths
    font = Font(name=FACE, size=11, bold=True, color="FFFFFF")
    for place, column in enumerate(sheet.columns, start=1):
        cell = page.cell(row=1, column=place, value=column.header)
        cell.font, cell.fill, cell.alignment = font, PatternFill("solid", fgColor="404A54"), _alignment()
        page.column_dimensions[get_column_letter(place)].width = column.width
        if column.as_text:
            page.column_dimensions[get_column_letter(place)].number_format = "@"
    page.row_dimensions[1].height = row_height_pt([column.header for column in sheet.columns], widths)
    _add_choices(page, sheet)
    page.freeze_panes = "A2"
    page.auto_filter.ref = f"A1:{get_column_letter(len(sheet.columns))}{len(sheet.rows) + 1}"
    across = pages_across(widths)
    set_page(page, unit, across=across)
    page.print_title_rows = "1:1"
    if across > 1:
        page.print_title_cols = f"A:{get_column_letter(sheet.repeat)}"
    # The workbook's styles are written before the rows are made, so every style is made now.
    colors = ("", *dict.fromkeys(color for _, color in sheet.fills), *dict.fromkeys(color for *_, color in sheet.marks))
    styles = {(kind, color): _style(page, kind, color) for kind in (str, int, None) for color in colors}
    return rows_xml(sheet, lambda value, color: styles[_kind(value), color])


def _kind(value: Value) -> type[str] | type[int] | None:
    return None if value == "" else str if isinstance(value, str) else int


def _style(page: Any, kind: type | None, color: str) -> int:
    """Number of the style of a cell with text, with a number or with nothing, in a fill color or in none."""
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import PatternFill

    cell = WriteOnlyCell(page)
    if kind is not None:
        cell.alignment = _alignment()
    if kind is str:
        cell.quotePrefix = True
    if color:
        cell.fill = PatternFill("solid", fgColor=color)
    return int(cell.style_id)


def _alignment() -> Any:
    from openpyxl.styles import Alignment

    # Numbers to the left, too: at the right they would run into the text beside them on paper.
    return Alignment(wrap_text=True, vertical="top", horizontal="left")


def set_page(page: Any, unit: str, *, across: int = 1) -> None:
    """Print a sheet landscape on the paper of the unit, so many pages across, with its name and page number."""
    setup, margins = page.page_setup, page.page_margins
    setup.orientation, setup.paperSize = "landscape", PAPER[unit]
    setup.fitToWidth, setup.fitToHeight, setup.pageOrder = across, 0, "overThenDown"
    margins.left = margins.right = MARGIN_IN
    page.sheet_properties.pageSetUpPr.fitToPage = True
    page.print_options.gridLines = True
    page.oddFooter.center.text = "&A, page &P of &N"


def free_title(wanted: str, taken: Iterable[str]) -> str:
    """A sheet title a spreadsheet program accepts and that no other sheet has."""
    plain = _TITLE_FORBIDDEN.sub(" ", clean_text(wanted)).strip().strip("'") or "Sheet"
    used = {title.casefold() for title in taken} | {"history"}  # a name spreadsheet programs keep for themselves
    endings = ("", *(f" ({number})" for number in range(2, len(used) + 3)))
    titles = (plain[: _TITLE_LENGTH - len(ending)].rstrip() + ending for ending in endings)
    return next(title for title in titles if title.casefold() not in used)


def set_text(cell: Any, text: str) -> None:
    """Store text as text, whatever it starts with, so that nothing in it can run."""
    cell.value = cell_text(text)
    cell.data_type = "s"
    cell.quotePrefix = True


def save_workbook(book: Any, title: str, rows: Sequence[Iterable[bytes]] = ()) -> Iterator[bytes]:
    """The workbook's bytes, with fixed dates and no compression (which differs from one machine to the next).

    Args:
        rows: for each sheet, in order, rows that follow those of the workbook, as XML.
    """
    from openpyxl.writer.excel import ExcelWriter

    book.properties.creator = "schedule2sign"
    book.properties.title = title
    book.properties.created = book.properties.modified = _EPOCH
    loose = io.BytesIO()
    with zipfile.ZipFile(loose, "w") as archive:
        ExcelWriter(book, archive).save()
    more = {f"xl/worksheets/sheet{number}.xml": of_sheet for number, of_sheet in enumerate(rows, start=1)}
    with zipfile.ZipFile(loose) as source:
        parts = {name: source.read(name) for name in source.namelist()}
    yield from in_chunks(zip_chunks((name, _with_rows(data, more.get(name))) for name, data in parts.items()))


def _with_rows(part: bytes, rows: Iterable[bytes] | None) -> Iterator[bytes]:
    """A part of a workbook, after its own rows those that follow them."""
    if rows is None:
        yield part
        return
    head, end, tail = part.partition(b"</sheetData>")
    yield _DIMENSION.sub(b"", head)
    yield from rows
    yield end + tail


def _add_choices(page: Any, sheet: Sheet) -> None:
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    for place, column in enumerate(sheet.columns, start=1):
        if not column.choices or not sheet.rows:
            continue
        allowed = DataValidation(type="list", formula1=f'"{",".join(column.choices)}"', allow_blank=True)
        allowed.error = f"Choose one of: {', '.join(column.choices)}."
        allowed.showErrorMessage = True
        allowed.add(f"{get_column_letter(place)}2:{get_column_letter(place)}{len(sheet.rows) + 1}")
        page.add_data_validation(allowed)
