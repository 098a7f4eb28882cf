"""Tables of the PDFs: columns as wide as their texts need, headers repeated, room to write by hand."""

from collections.abc import Sequence
from typing import Any

from schedule2sign.writers.pdf import FONT, HEADER_PT, color, load_font, paragraph, pdf_text, styles

_GRAY, _PALE = "#404A54", "#EEF1F3"
_WRITE_PT = 40.0  # room to write by hand
_CELL_PT = 7.0  # white left and right of a cell's text
_SHORT_PT, _LONG_PT = 64.0, 400.0  # a text that is not to be broken; one that may be


def grid(
    columns: Sequence[str],
    rows: Sequence[Sequence[Any]],
    width_pt: float,
    *,
    style: str = "body",
    shares: Sequence[float] | None = None,
    tall: bool = False,
) -> Any:
    """A table over the whole width whose header repeats on every page; cells are text or flowables.

    Args:
        columns: headers.
        rows: cells; an empty one is left white to be written on.
        width_pt: of the table.
        style: of the text cells.
        shares: of the width by column; from the longest words where not given.
        tall: rows are given room for handwriting.
    """
    from reportlab.platypus import LongTable, TableStyle

    load_font()
    size = styles()[style].fontSize
    widths = [width_pt * s / sum(shares) for s in shares] if shares else _widths(columns, rows, width_pt, size)
    cells = [[paragraph(column, "head") for column in columns]]
    cells += [[_cell(cell, style, size, wide) for cell, wide in zip(row, widths, strict=True)] for row in rows]
    pad = 4.0 if tall else 2.0
    return LongTable(
        cells,
        colWidths=widths,
        repeatRows=1,
        splitInRow=1,
        style=TableStyle(
            [
                ("FONT", (0, 0), (-1, -1), FONT, size, size * 1.22),
                ("BACKGROUND", (0, 0), (-1, 0), color(_GRAY)),
                ("ROWBACKGROUNDS", (0, 1), (-1, -1), [color("#FFFFFF"), color(_PALE)]),
                ("GRID", (0, 0), (-1, -1), 0.4, "#808890"),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 3),
                ("RIGHTPADDING", (0, 0), (-1, -1), 3),
                ("TOPPADDING", (0, 0), (-1, 0), 2),
                ("BOTTOMPADDING", (0, 0), (-1, 0), 2),
                ("TOPPADDING", (0, 1), (-1, -1), pad),
                ("BOTTOMPADDING", (0, 1), (-1, -1), pad),
            ]
        ),
    )


def _cell(cell: Any, style: str, size_pt: float, width_pt: float) -> Any:
    """A text that fits on one line stays a plain string, which is set many times faster than a paragraph."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    if not isinstance(cell, str):
        return cell
    text = pdf_text(cell)
    fits = "\n" not in text and stringWidth(text, FONT, size_pt) <= width_pt - _CELL_PT
    return text if fits else paragraph(cell, style)


def _widths(columns: Sequence[str], rows: Sequence[Sequence[Any]], width_pt: float, size_pt: float) -> list[float]:
    """No word and no short text is broken where all fit; what is left goes to the columns with long texts."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    def measure(text: str, size: float) -> float:
        return float(stringWidth(text, FONT, size)) + _CELL_PT

    least, most = [], []
    for place, column in enumerate(columns):
        texts = {row[place] for row in rows if isinstance(row[place], str) and row[place]}
        whole = [measure(text, size_pt) for text in texts]
        words = [measure(word, size_pt) for text in texts for word in text.split()]
        heads = [measure(word, HEADER_PT) for word in column.split()]
        unbroken = [width for width in whole if width <= _SHORT_PT]
        least.append(max([*heads, *words, *unbroken, 12.0 if texts else _WRITE_PT]))
        wide = min(max([*whole, measure(column, HEADER_PT)]), _LONG_PT)
        most.append(max(least[-1], wide if texts else least[-1] + _WRITE_PT))
    left, wanted = width_pt - sum(least), sum(most) - sum(least)
    if left <= 0:
        return [width_pt * width / sum(least) for width in least]
    if left >= wanted:
        return [width_pt * wide / sum(most) for wide in most]
    return [narrow + left * (wide - narrow) / wanted for narrow, wide in zip(least, most, strict=True)]


def rows_of(cells: Sequence[Any], width_pt: float, count: int, *, gap_pt: float = 6.0) -> Any:
    """Flowables side by side, `count` a row."""
    from reportlab.platypus import Table, TableStyle

    filled = [*cells, *[""] * (-len(cells) % count)]
    pad = gap_pt / 2
    return Table(
        [filled[first : first + count] for first in range(0, len(filled), count)],
        colWidths=[width_pt / count] * count,
        style=TableStyle(
            [
                ("FONTNAME", (0, 0), (-1, -1), FONT),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), pad),
                ("RIGHTPADDING", (0, 0), (-1, -1), pad),
                ("TOPPADDING", (0, 0), (-1, -1), pad),
                ("BOTTOMPADDING", (0, 0), (-1, -1), pad),
            ]
        ),
    )
