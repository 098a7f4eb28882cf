"""The braille grid as drilled: distances between dots, read from the dots and not from the size they were drawn to."""

from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations, groupby, pairwise
from operator import attrgetter
from statistics import median

from schedule2sign.model.shape import Dot, SignLayout
from schedule2sign.once import once
from schedule2sign.rules.rule import Measured, Series

Cell = tuple[Dot, ...]
Pitches = tuple[tuple[float, Dot, Dot], ...]  # a distance and the dots it was read from
Numbers = tuple[int, ...]  # the dots of a cell


def column(dot: Dot) -> int:
    """0 for dots 1 to 3, 1 for dots 4 to 6."""
    return (dot.number - 1) // 3


def row(dot: Dot) -> int:
    """0 for the top row."""
    return (dot.number - 1) % 3


@once
def dots_by_line(sign: SignLayout) -> dict[int, list[Dot]]:
    """Line -> its dots by cell and number, topmost line first."""
    found: dict[int, list[Dot]] = {}
    for dot in sorted(sign.dots, key=attrgetter("line", "cell", "number")):
        found.setdefault(dot.line, []).append(dot)
    return found


@once
def cells_by_line(sign: SignLayout) -> dict[int, dict[int, Cell]]:
    """Line -> cell -> its dots; blank cells are absent."""
    return {
        line: {cell: tuple(dots) for cell, dots in groupby(dots, key=attrgetter("cell"))}
        for line, dots in dots_by_line(sign).items()
    }


@lru_cache(maxsize=256)
def _steps(numbers: Numbers) -> tuple[tuple[int, int, int, int], ...]:
    """Every two dots of a cell, by their places in it, that differ in column or row: and by how many of each."""
    found = []
    for (i, a), (j, b) in combinations(enumerate(numbers), 2):
        columns, rows = (b - 1) // 3 - (a - 1) // 3, (b - 1) % 3 - (a - 1) % 3
        if columns or rows:
            found.append((i, j, columns, rows))
    return tuple(found)


@lru_cache(maxsize=4096)
def _like(left: Numbers, right: Numbers) -> tuple[tuple[int, int, int], ...]:
    """Dots of the same column in two cells, by their places in them; else the first of each, and the columns between."""
    pairs = [(i, j, (b - 1) // 3 - (a - 1) // 3) for i, a in enumerate(left) for j, b in enumerate(right)]
    return tuple(pair for pair in pairs if not pair[2]) or tuple(pairs[:1])


def _numbers(dots: Cell) -> Numbers:
    return tuple([dot.number for dot in dots])


@once
def dot_pitches(sign: SignLayout) -> Pitches:
    """Distance of neighboring columns and rows for every two dots of a cell.

    Dots 1 and 3 stand two rows apart, so half their distance counts; dots 1 and 5 give one of each kind.
    """
    found: list[tuple[float, Dot, Dot]] = []
    for cells in cells_by_line(sign).values():
        for dots in cells.values():
            for i, j, columns, rows in _steps(_numbers(dots)):
                a, b = dots[i], dots[j]
                if columns:
                    found.append(((b.x_mm - a.x_mm) / columns, a, b))
                if rows:
                    found.append(((a.y_mm - b.y_mm) / rows, a, b))
    return tuple(found)


@once
def cell_pitches(sign: SignLayout) -> Pitches:
    """Distance of neighboring cells of a line, from dots of the same column; blank cells between are counted."""
    pitch = typical_dot_pitch_mm(sign)
    found: list[tuple[float, Dot, Dot]] = []
    for cells in cells_by_line(sign).values():
        for (left, before), (right, after) in pairwise(cells.items()):
            for i, j, columns in _like(_numbers(before), _numbers(after)):
                a, b = before[i], after[j]
                found.append(((b.x_mm - a.x_mm - columns * pitch) / (right - left), a, b))
    return tuple(found)


@once
def line_pitches(sign: SignLayout) -> Pitches:
    """Distance of a dot row to the same row one line down; every dot above is compared with the extremes below."""
    pitch = typical_dot_pitch_mm(sign)
    found: list[tuple[float, Dot, Dot]] = []
    for (upper, above), (lower, below) in pairwise(dots_by_line(sign).items()):
        rows_above, rows_below = _by_row(above), _by_row(below)
        common = rows_above.keys() & rows_below.keys()
        ends = {
            dot_row: _lowest_and_highest(rows_below.get(dot_row, []) if common else below) for dot_row in rows_above
        }
        for a in above:
            for b in ends[row(a)]:
                shift = (row(b) - row(a)) * pitch
                found.append(((a.y_mm - b.y_mm - shift) / (lower - upper), a, b))
    return tuple(found)


def _by_row(dots: list[Dot]) -> dict[int, list[Dot]]:
    found: dict[int, list[Dot]] = {}
    for dot in dots:
        found.setdefault(row(dot), []).append(dot)
    return found


def tactile_baselines(sign: SignLayout) -> tuple[float, ...]:
    """Of every raised line and of every braille cell, each height once.

    Braille is tactile text too, whatever a figure may show (an editor's note on ADA Figure 703.4.1 says so). The bottom
    edge of a full cell is its baseline, whether or not its lowest dots are there.
    """
    pitch, radius = typical_dot_pitch_mm(sign), sign.cell_size.base_mm / 2
    rows = dict.fromkeys([(dot.y_mm, (dot.number - 1) % 3) for dot in sign.dots])
    braille = (y_mm - (2 - dot_row) * pitch - radius for y_mm, dot_row in rows)
    return (*(line.baseline_mm for line in sign.lines), *braille)


@once
def typical_dot_pitch_mm(sign: SignLayout) -> float:
    """The middle of the measured dot pitches; the drawn one where no cell has two dots."""
    measured = [pitch for pitch, _, _ in dot_pitches(sign)]
    return median(measured) if measured else sign.cell_size.dot_pitch_mm


def pitch_series(limit: str, pitches: Pitches) -> Series:
    """The distances as readings against one limit."""

    def single(index: int) -> Measured:
        value, a, b = pitches[index]
        return Measured(limit=limit, value=value, where=f"{name_dot(a)} to {name_dot(b)}")

    return Series(limits=(limit,), values=[value for value, _, _ in pitches], single=single)


def name_dot(dot: Dot) -> str:
    """A dot in words."""
    return f"braille line {dot.line + 1}, cell {dot.cell + 1}, dot {dot.number}"


def name_difference(found: Sequence[tuple[int, int]], wanted: Sequence[tuple[int, int]]) -> str:
    """The first (cell, number) that two lines of dots do not have equally often, in words."""
    cell, number = min((Counter(wanted) - Counter(found)) + (Counter(found) - Counter(wanted)))
    return f"cell {cell + 1}, dot {number}"


def _lowest_and_highest(dots: list[Dot]) -> tuple[Dot, ...]:
    height = attrgetter("y_mm", "x_mm")
    return tuple(dict.fromkeys((min(dots, key=height), max(dots, key=height)))) if dots else ()
