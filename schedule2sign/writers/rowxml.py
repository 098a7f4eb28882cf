"""The rows of a table as worksheet XML, row by row: a cell costs a line of text and no object."""

from collections.abc import Callable, Iterator
from xml.sax.saxutils import escape

from openpyxl.utils import get_column_letter

from schedule2sign.writers.sheetprint import row_height_pt
from schedule2sign.writers.table import Sheet, Value
from schedule2sign.writers.text import cell_text


def text_xml(text: str) -> str:
    """A text as the element that holds it, white space at its ends kept."""
    text = cell_text(text)
    kept = ' xml:space="preserve"' if text != text.strip() else ""
    return f"<t{kept}>{escape(text)}</t>"


def rows_xml(
    sheet: Sheet, style: Callable[[Value, str], int], text: Callable[[str], str] = text_xml
) -> Iterator[bytes]:
    """Rows from the second on (ECMA-376 part 1, 18.3.1.73): text stands in its cell and is never read as a formula.

    Args:
        style: style number by a cell's value ("" for an empty cell) and its fill color ("" for none).
        text: the element that holds a text.
    """
    letters = [get_column_letter(number) for number in range(1, len(sheet.columns) + 1)]
    fills, marks = dict(sheet.fills), {(row, column): color for row, column, color in sheet.marks}
    widths = sheet.widths
    for number, values in enumerate(sheet.rows, start=2):
        cells = []
        for place, value in enumerate(values):
            color = marks.get((number - 2, place), "") if marks else ""
            if place < 2 and not color:
                color = fills.get(str(value), "")
            if value == "" and not color:
                continue
            start = f'<c r="{letters[place]}{number}" s="{style(value, color)}"'
            if value == "":
                cells.append(f"{start}/>")
            elif isinstance(value, str):
                cells.append(f'{start} t="inlineStr"><is>{text(value)}</is></c>')
            else:
                cells.append(f"{start}><v>{value}</v></c>")
        row = f'<row r="{number}" ht="{row_height_pt(values, widths):g}" customHeight="1"'
        yield (f"{row}>{''.join(cells)}</row>" if cells else f"{row}/>").encode()
