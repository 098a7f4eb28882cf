"""Tables side by side on one sheet, as a long list is printed in two columns of a page: each is read by itself."""

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

from schedule2sign.intake.columns import Header, Wish, is_letter
from schedule2sign.intake.grid import Grid, GridCell, GridRow, column_index, column_letter, squeeze
from schedule2sign.intake.headers import IDENTITY
from schedule2sign.intake.patterns import is_level_heading
from schedule2sign.model.schedule import Field

_REPEATED = 2


def split_panes(grid: Grid, header: Header, wishes: Mapping[Field, Wish]) -> tuple[Grid, ...]:
    """The grid alone, or one grid for each table of a header that repeats itself to the right.

    Columns told by letter say themselves where the table is, so nothing is split then.
    """
    starts = _starts(header)
    if len(starts) < 2 or any(is_letter(wish.header) for wish in wishes.values()):
        return (grid,)
    width = 1 + max(max(row.cells, default=0) for row in grid.rows)
    edges = (0, *starts[1:], width)
    return tuple(_cut(grid, grid.rows[header.first].number, start, stop) for start, stop in pairwise(edges))


def _starts(header: Header) -> list[int]:
    """First columns of the tables: where the leftmost identity header and the one after it stand again."""
    named = [(column_index(match.column), squeeze(match.header).lower()) for match in header.columns if match.header]
    key = next((place for place, (at, _) in enumerate(named) if header.fields.get(at) in IDENTITY), len(named))
    texts = [text for _, text in named]
    pattern = texts[key : key + _REPEATED]
    if header.last < header.first or len(set(pattern)) < _REPEATED:
        return []
    return [named[place][0] for place in range(key, len(texts)) if texts[place : place + _REPEATED] == pattern]


def _cut(grid: Grid, top: int, start: int, stop: int) -> Grid:
    """Columns `start` to `stop` of the rows from `top` down; the titles above serve every pane."""
    headings = {
        number: grid.rows[number - 1].cells.get(left)
        for number, left, bottom, right in grid.merges
        if number == bottom and left < start <= right and number >= top
    }
    beside = f"tables stand side by side, this one in columns {column_letter(start)} to {column_letter(stop - 1)}"
    return replace(
        grid,
        rows=tuple(_cut_row(row, top, start, stop, headings.get(row.number)) for row in grid.rows),
        merges=tuple(
            (first, max(left, start), last, min(right, stop - 1))
            for first, left, last, right in grid.merges
            if left < stop and right >= start
        ),
        notes="; ".join(filter(None, (grid.notes, beside))),
        flags=grid.flags if start == 0 else (),
        pane=column_letter(start) if start else "",
    )


def _cut_row(row: GridRow, top: int, start: int, stop: int, heading: GridCell | None) -> GridRow:
    cells = {at: cell for at, cell in row.cells.items() if start <= at < stop}
    if row.number < top:
        # FIRST FLOOR over the one table and SECOND FLOOR over the other; any other title is for all of them.
        return replace(row, cells=cells) if any(is_level_heading(cell.given) for cell in cells.values()) else row
    if heading is not None and not cells:
        cells = {start: heading}  # A heading merged over all of the tables.
    return replace(row, cells=cells)
