"""A worksheet part of a workbook: styles and notes put on cells that may not be there yet; and new tables as parts."""

import re
from bisect import bisect_left
from collections.abc import Callable
from itertools import chain
from typing import Any
from xml.sax.saxutils import escape

from lxml import etree
from openpyxl.utils import column_index_from_string, coordinate_to_tuple, get_column_letter, range_boundaries

from schedule2sign.writers.package import PackageError
from schedule2sign.writers.rowxml import rows_xml
from schedule2sign.writers.sheetprint import MARGIN_IN, PAPER, pages_across, row_height_pt
from schedule2sign.writers.squeezed import Squeezed
from schedule2sign.writers.table import Sheet
from schedule2sign.writers.text import cell_text

HEADER_COLOR = "404A54"
_SPACE = "{http://www.w3.org/XML/1998/namespace}space"
_ESCAPE = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")  # would be read as a character code in stored text
_REFERENCE = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")


class SheetFrame:
    """What a worksheet part says of its columns and merged ranges.

    Args:
        root: its root element.
    """

    def __init__(self, root: Any) -> None:
        space = etree.QName(root).namespace
        self._columns = [
            (int(column.get("min")), int(column.get("max")), column) for column in root.iterfind(f".//{{{space}}}col")
        ]
        self._merges = [range_boundaries(merge.get("ref")) for merge in root.iterfind(f".//{{{space}}}mergeCell")]

    def column_style(self, column: int) -> str:
        """Of the cells of a column that are not there; "0" where nothing is said."""
        return next((c.get("style", "0") for low, high, c in self._columns if low <= column <= high), "0")

    def is_hidden(self, column: int) -> bool:
        return any(low <= column <= high and c.get("hidden") in ("1", "true") for low, high, c in self._columns)

    def shown_at(self, column: str, row: int) -> tuple[str, int]:
        """The cell that shows a place: itself, or the corner of the merged range it lies in."""
        index = column_index_from_string(column)
        for left, top, right, bottom in self._merges:
            if left <= index <= right and top <= row <= bottom:
                return get_column_letter(left), top
        return column, row


class Worksheet:
    """The cells of a worksheet part, or of a block of its rows.

    Args:
        root: its root element; edited in place.
        frame: of the whole part.
        first: number of the first row where it has none.
    """

    def __init__(self, root: Any, frame: SheetFrame, first: int = 1) -> None:
        self._space, self._frame = etree.QName(root).namespace, frame
        data = root.find(self._tag("sheetData"))
        if etree.QName(root).localname != "worksheet" or data is None:
            raise PackageError("one of its schedule sheets is no worksheet")
        self._data = data
        self._number_rows(first)
        self._rows = {int(row.get("r")): row for row in data}
        self._numbers = sorted(self._rows)

    def first_cell(self, row: int) -> str:
        """Letter of the first filled column of the row that can be seen, else of the first filled, else "A"."""
        filled = [self._column_of(cell) for cell in self._rows.get(row, ()) if len(cell)]
        seen = [column for column in filled if not self._frame.is_hidden(column)]
        return str(get_column_letter(next(iter(seen or filled), 1)))

    def restyle(self, column: str, row: int, change: Callable[[int], int]) -> None:
        """Give a cell the style that `change` makes of its present one; a cell that is not there is added empty."""
        cell = self._cell(column_index_from_string(column), row)
        cell.set("s", str(change(int(cell.get("s", "0")))))

    def _tag(self, name: str) -> str:
        return f"{{{self._space}}}{name}"

    def mark_rows(self, mark: str) -> None:
        """Put a comment before the first and after the last row."""
        self._data.insert(0, etree.Comment(mark))
        self._data.append(etree.Comment(mark))

    def _number_rows(self, first: int) -> None:
        """Write down the numbers that rows and cells have by their order alone."""
        number = first - 1
        for row in self._data:
            number = int(row.get("r") or number + 1)
            row.set("r", str(number))
            column = 0
            for cell in row:
                column = self._column_of(cell) if cell.get("r") else column + 1
                cell.set("r", f"{get_column_letter(column)}{number}")

    @staticmethod
    def _column_of(cell: Any) -> int:
        match = _REFERENCE.fullmatch(cell.get("r", ""))
        if match is None:
            raise PackageError(f"one of its cells has the address {cell.get('r')!r}")
        return int(column_index_from_string(match[1]))

    def _cell(self, column: int, number: int) -> Any:
        row = self._rows.get(number)
        if row is None:
            row = etree.Element(self._tag("row"), r=str(number))
            place = bisect_left(self._numbers, number)
            self._data.insert(place, row)
            self._numbers.insert(place, number)
            self._rows[number] = row
        columns = [self._column_of(cell) for cell in row]
        place = bisect_left(columns, column)
        if place < len(columns) and columns[place] == column:
            return row[place]
        style = row.get("s") if row.get("customFormat") in ("1", "true") else self._frame.column_style(column)
        cell = etree.Element(self._tag("c"), r=f"{get_column_letter(column)}{number}", s=style or "0")
        row.insert(place, cell)
        row.attrib.pop("spans", None)  # a hint of the old extent
        return cell


def cell_beside(reference: str) -> str:
    """The cell to the right."""
    row, column = coordinate_to_tuple(reference)
    return f"{get_column_letter(column + 1)}{row}"


def render_worksheet(sheet: Sheet, space: str, style: Callable[..., int], unit: str = "in") -> Squeezed:
    """A table as a worksheet part whose text stands in it, so that no shared part of the workbook is touched.

    Args:
        space: namespace of worksheet elements.
        style: style number by fill color ("" for none) and `header`.
        unit: "in" prints on US letter, "mm" on A4.
    """
    root = etree.Element(f"{{{space}}}worksheet", nsmap={None: space})

    def add(parent: Any, tag: str, **attributes: str) -> Any:
        return etree.SubElement(parent, f"{{{space}}}{tag}", **attributes)

    add(add(root, "sheetPr"), "pageSetUpPr", fitToPage="1")
    view = add(add(root, "sheetViews"), "sheetView", workbookViewId="0")
    add(view, "pane", ySplit="1", topLeftCell="A2", activePane="bottomLeft", state="frozen")
    columns = add(root, "cols")
    for number, column in enumerate(sheet.columns, start=1):
        add(columns, "col", min=str(number), max=str(number), width=str(column.width), customWidth="1")
    letters = [get_column_letter(number) for number in range(1, len(sheet.columns) + 1)]
    height = row_height_pt([column.header for column in sheet.columns], sheet.widths)
    data = add(root, "sheetData")
    plain, dark = style(""), str(style(HEADER_COLOR, header=True))
    head = add(data, "row", r="1", ht=f"{height:g}", customHeight="1")
    for letter, column in zip(letters, sheet.columns, strict=True):
        words = add(add(add(head, "c", r=f"{letter}1", s=dark, t="inlineStr"), "is"), "t")
        words.text = column.header
        words.set(_SPACE, "preserve")
    add(root, "autoFilter", ref=f"A1:{letters[-1]}{len(sheet.rows) + 1}")
    side, end, gap = str(MARGIN_IN), "0.75", "0.3"
    add(root, "printOptions", gridLines="1")
    add(root, "pageMargins", left=side, right=side, top=end, bottom=end, header=gap, footer=gap)
    add(
        root,
        "pageSetup",
        paperSize=str(PAPER[unit]),
        fitToWidth=str(pages_across(sheet.widths)),
        fitToHeight="0",
        pageOrder="overThenDown",
        orientation="landscape",
    )
    add(add(root, "headerFooter"), "oddFooter").text = "&C&A, page &P of &N"
    page = bytes(etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True))
    before, close, after = page.partition(b"</sheetData>")
    rows = rows_xml(sheet, lambda _, color: style(color) if color else plain, _text_xml)
    return Squeezed(chain((before,), rows, (close + after,)))


def _text_xml(text: str) -> str:
    return f'<t xml:space="preserve">{escape(_ESCAPE.sub("_x005F_", cell_text(text)))}</t>'
