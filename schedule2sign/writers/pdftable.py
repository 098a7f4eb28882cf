"""Tables of the PDFs: columns as wide as their texts need, headers repeated, room to write by hand."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import NamedTuple, TypeAlias

from schedule2sign.writers.pdfblocks import (
    ALMOST_PT,
    HEADER_PT,
    STYLES,
    Block,
    Style,
    Text,
    draw_stack,
    split_stack,
    stack_height,
)
from schedule2sign.writers.pdffont import pdf_text, text_width
from schedule2sign.writers.pdfpen import Pen

Cell: TypeAlias = str | Sequence[Block]  # a text of one line, or blocks one under another

_GRAY, _PALE, _LINE = "#404A54", "#EEF1F3", "#808890"
_WRITE_PT = 40.0  # room to write by hand
_CELL_PT = 7.0  # white left and right of a cell's text, and a little
_SHORT_PT, _LONG_PT = 64.0, 400.0  # a text that is not to be broken; one that may be


class _Row(NamedTuple):
    cells: Sequence[Cell]
    height_pt: float

    def recipe(self) -> list[str | list[str]] | None:
        """What its cells say; None where that is not known of one of them."""
        said = [cell if isinstance(cell, str) else [block.recipe for block in cell] for cell in self.cells]
        return None if any("" in blocks for blocks in said if not isinstance(blocks, str)) else said


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How a table looks.

    Attributes:
        style: of the texts of one line.
        side_pt: white left and right in a cell.
        pad_pt: white over and under the contents of a row; under and over those of a header it is `head_pad_pt`.
        headers: rows at the top that are repeated on every page.
        inner: lines between the cells, not only around the table.
        line_pt: width of the lines; 0 for none.
        striped: every other row is pale.
    """

    style: Style = STYLES["body"]
    side_pt: float = 3.0
    pad_pt: float = 2.0
    head_pad_pt: float = 2.0
    headers: int = 0
    inner: bool = False
    line_pt: float = 0.0
    striped: bool = False


class Table(Block):
    """Rows of cells, in the middle of the width; a row is taken when there is room for it, so a table is drawn once."""

    def __init__(
        self, rows: Iterable[Sequence[Cell]], widths_pt: Sequence[float], look: Look, taken: Sequence[_Row] = ()
    ) -> None:
        self._taken, self._source, self._widths, self._look = list(taken), iter(rows), widths_pt, look

    @property
    def least_pt(self) -> float:  # type: ignore[override]
        """The headers and the first row."""
        return sum(row.height_pt for row in map(self._row, range(self._look.headers + 1)) if row)

    @property
    def recipe(self) -> str:
        rows = [row.recipe() for row in self._rows()]
        return "" if None in rows else f"{self._look} {self._widths} {rows}"

    def _row(self, place: int) -> _Row | None:
        """None where the table has ended."""
        while place >= len(self._taken):
            cells = next(self._source, None)
            if cells is None:
                return None
            self._taken.append(_Row(cells, self._row_height(cells, self._pad(len(self._taken)))))
        return self._taken[place]

    def _rows(self) -> list[_Row]:
        while self._row(len(self._taken)):
            pass
        return self._taken

    def _pad(self, place: int) -> float:
        return self._look.head_pad_pt if place < self._look.headers else self._look.pad_pt

    def _row_height(self, row: Sequence[Cell], pad: float) -> float:
        sides, line = 2 * self._look.side_pt, self._look.style.leading_pt
        high = [
            stack_height(cell, wide - sides) if not isinstance(cell, str) else line
            for cell, wide in zip(row, self._widths, strict=True)
        ]
        return max(high) + 2 * pad

    def height_pt(self, width_pt: float) -> float:  # noqa: ARG002
        return sum([row.height_pt for row in self._rows()])

    def height_within(self, width_pt: float, room_pt: float) -> float | None:  # noqa: ARG002
        used, place = 0.0, 0
        while (row := self._row(place)) and used <= room_pt + ALMOST_PT:
            used += row.height_pt
            place += 1
        return used if used <= room_pt + ALMOST_PT else None

    def draw(self, pen: Pen, left: float, top: float, width_pt: float) -> None:
        left += (width_pt - sum(self._widths)) / 2
        self._paint(pen, left, top)
        look = self._look
        size = look.style.size_pt
        for place, (row, height) in enumerate(self._rows()):
            x, y = left + look.side_pt, top - self._pad(place)
            for cell, wide in zip(row, self._widths, strict=True):
                if not isinstance(cell, str):
                    draw_stack(cell, pen, x, y, wide - 2 * look.side_pt)
                elif cell:
                    pen.fill(look.style.color)
                    pen.text(x, y - size, cell, size)
                x += wide
            top -= height

    def _paint(self, pen: Pen, left: float, top: float) -> None:
        """What is behind the cells, and the lines."""
        look, wide = self._look, sum(self._widths)
        levels = [top]
        for place, (_, height) in enumerate(self._rows()):
            if place < look.headers:
                pen.fill(_GRAY)
                pen.rect(left, levels[-1] - height, wide, height, "f")
            elif look.striped and (place - look.headers) % 2:
                pen.fill(_PALE)
                pen.rect(left, levels[-1] - height, wide, height, "f")
            levels.append(levels[-1] - height)
        if look.line_pt:
            pen.stroke(_LINE)
            pen.line_width(look.line_pt)
            if look.inner:
                edges = [left]
                for column in self._widths:
                    edges.append(edges[-1] + column)
                lines = [(left, y, left + wide, y) for y in levels]
                pen.lines(lines + [(x, top, x, levels[-1]) for x in edges])
            else:
                pen.rect(left, levels[-1], wide, top - levels[-1])

    def split(self, width_pt: float, room_pt: float, page_pt: float) -> tuple[Block, Block] | None:  # noqa: ARG002
        first = self._look.headers
        over_pt = sum([row.height_pt for row in map(self._row, range(first)) if row])
        left, place = room_pt + ALMOST_PT - over_pt, first
        while (row := self._row(place)) and row.height_pt <= left:
            left -= row.height_pt
            place += 1
        head, rest = self._taken[:first], self._taken[place:]
        if place > first:
            return self._of(self._taken[:place], ()), self._of([*head, *rest], self._source)
        if row is None or over_pt + row.height_pt <= page_pt + ALMOST_PT:
            return None
        sides, pads = 2 * self._look.side_pt, 2 * self._look.pad_pt
        parts = [
            (cell, "")
            if isinstance(cell, str)
            else split_stack(cell, wide - sides, left - pads, page_pt - over_pt - pads)
            for cell, wide in zip(row.cells, self._widths, strict=True)
        ]
        if not any(part for part, _ in parts):
            return None
        later = ([part for _, part in parts], *(row.cells for row in rest[1:]))
        return self._of(head, [[part for part, _ in parts]]), self._of(head, chain(later, self._source))

    def _of(self, taken: Sequence[_Row], rows: Iterable[Sequence[Cell]]) -> "Table":
        table = Table(rows, self._widths, self._look, taken)
        table.after_pt = self.after_pt
        return table


def grid(
    columns: Sequence[str],
    rows: Iterable[Sequence[str | Block]],
    width_pt: float,
    *,
    style: str = "body",
    shares: Sequence[float] | None = None,
    tall: bool = False,
) -> Block:
    """A table over the whole width whose header repeats on every page; cells are text or blocks.

    Args:
        columns: headers.
        rows: cells, gone through more than once; an empty one is left white to be written on.
        width_pt: of the table.
        style: of the text cells.
        shares: of the width by column; from the longest words where not given.
        tall: rows are given room for handwriting.
    """
    look = Look(style=STYLES[style], pad_pt=4.0 if tall else 2.0, headers=1, inner=True, line_pt=0.4, striped=True)
    size = look.style.size_pt
    widths = [width_pt * s / sum(shares) for s in shares] if shares else _widths(columns, rows, width_pt, size)
    head: list[Cell] = [(Text(pdf_text(column), STYLES["head"]),) for column in columns]
    body = ([_cell(cell, look.style, wide) for cell, wide in zip(row, widths, strict=True)] for row in rows)
    return Table(chain([head], body), widths, look)


def _cell(cell: str | Block, style: Style, width_pt: float) -> Cell:
    if not isinstance(cell, str):
        return (cell,)
    text = pdf_text(cell)
    fits = "\n" not in text and text_width(text, style.size_pt) <= width_pt - _CELL_PT
    return text if fits else (Text(text, style),)


def _widths(
    columns: Sequence[str], rows: Iterable[Sequence[str | Block]], width_pt: float, size_pt: float
) -> list[float]:
    """No word and no short text is broken where all fit; what is left goes to the columns with long texts."""

    def measure(text: str, size: float) -> float:
        return text_width(pdf_text(text), size) + _CELL_PT

    in_columns = [set[str]() for _ in columns]
    for row in rows:
        for found, text in zip(in_columns, row, strict=True):
            if isinstance(text, str) and text:
                found.add(text)
    least, most = [], []
    for column, texts in zip(columns, in_columns, strict=True):
        whole = [measure(text, size_pt) for text in texts]
        words = [measure(word, size_pt) for word in {word for text in texts for word in text.split()}]
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


def rows_of(cells: Sequence[Sequence[Block]], width_pt: float, count: int, *, gap_pt: float = 6.0) -> Block:
    """Blocks side by side, `count` a row."""
    filled = [*cells, *[()] * (-len(cells) % count)]
    rows = [filled[first : first + count] for first in range(0, len(filled), count)]
    return Table(rows, [width_pt / count] * count, Look(side_pt=gap_pt / 2, pad_pt=gap_pt / 2))


def side_by_side(cells: Sequence[Sequence[Block]], widths_pt: Sequence[float], *, boxed: bool) -> Block:
    """Blocks in columns of these widths, with a frame around them or not; they go on over the page."""
    table = Table([cells], widths_pt, Look(side_pt=4.0, pad_pt=3.0, line_pt=0.6 if boxed else 0.0))
    table.after_pt = 6.0
    return table
