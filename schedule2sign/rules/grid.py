"""The braille grid as drilled: distances between dots, read from the dots and not from the size they were drawn to."""

from itertools import combinations, pairwise
from operator import attrgetter
from statistics import median

from schedule2sign.model.shape import Dot, SignLayout
from schedule2sign.once import once
from schedule2sign.rules.rule import Measured, Series

Cell = tuple[Dot, ...]
Pitches = tuple[tuple[float, Dot, Dot], ...]  # a distance and the dots it was read from


def column(dot: Dot) -> int:
    """0 for dots 1 to 3, 1 for dots 4 to 6."""
    return (dot.number - 1) // 3


def row(dot: Dot) -> int:
    """0 for the top row."""
    return (dot.number - 1) % 3


@once
def cells_by_line(sign: SignLayout) -> dict[int, dict[int, Cell]]:
    """Line -> cell -> its dots; blank cells are absent."""
    found: dict[int, dict[int, list[Dot]]] = {}
    for dot in sorted(sign.dots, key=attrgetter("line", "cell", "number")):
        found.setdefault(dot.line, {}).setdefault(dot.cell, []).append(dot)
    return {line: {cell: tuple(dots) for cell, dots in cells.items()} for line, cells in found.items()}


@once
def dot_pitches(sign: SignLayout) -> Pitches:
    """Distance of neighboring columns and rows for every two dots of a cell.

    Dots 1 and 3 stand two rows apart, so half their distance counts; dots 1 and 5 give one of each kind.
    """
    found: list[tuple[float, Dot, Dot]] = []
    for cells in cells_by_line(sign).values():
        for dots in cells.values():
            for a, b in combinations(dots, 2):
                if columns := column(b) - column(a):
                    found.append(((b.x_mm - a.x_mm) / columns, a, b))
                if rows := row(b) - row(a):
                    found.append(((a.y_mm - b.y_mm) / rows, a, b))
    return tuple(found)


@once
def cell_pitches(sign: SignLayout) -> Pitches:
    """Distance of neighboring cells of a line, from dots of the same column; blank cells between are counted."""
    pitch = typical_dot_pitch_mm(sign)
    found: list[tuple[float, Dot, Dot]] = []
    for cells in cells_by_line(sign).values():
        for left, right in pairwise(cells):
            pairs = [(a, b) for a in cells[left] for b in cells[right]]
            like = [(a, b) for a, b in pairs if column(a) == column(b)]
            for a, b in like or pairs[:1]:
                shift = (column(b) - column(a)) * pitch
                found.append(((b.x_mm - a.x_mm - shift) / (right - left), a, b))
    return tuple(found)


@once
def line_pitches(sign: SignLayout) -> Pitches:
    """Distance of a dot row to the same row one line down; every dot above is compared with the extremes below."""
    pitch = typical_dot_pitch_mm(sign)
    lines = cells_by_line(sign)
    found: list[tuple[float, Dot, Dot]] = []
    for upper, lower in pairwise(lines):
        above = [dot for dots in lines[upper].values() for dot in dots]
        below = [dot for dots in lines[lower].values() for dot in dots]
        common = {row(dot) for dot in above} & {row(dot) for dot in below}
        ends = {
            dot_row: _lowest_and_highest([b for b in below if row(b) == dot_row] if common else below)
            for dot_row in {row(dot) for dot in above}
        }
        for a in above:
            for b in ends[row(a)]:
                shift = (row(b) - row(a)) * pitch
                found.append(((a.y_mm - b.y_mm - shift) / (lower - upper), a, b))
    return tuple(found)


def tactile_baselines(sign: SignLayout) -> tuple[float, ...]:
    """Of every raised line and of every braille cell.

    Braille is tactile text too, whatever a figure may show (an editor's note on ADA Figure 703.4.1 says so). The bottom
    edge of a full cell is its baseline, whether or not its lowest dots are there.
    """
    pitch, radius = typical_dot_pitch_mm(sign), sign.cell_size.base_mm / 2
    braille = (dot.y_mm - (2 - row(dot)) * pitch - radius for dot in sign.dots)
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


def _lowest_and_highest(dots: list[Dot]) -> tuple[Dot, ...]:
    height = attrgetter("y_mm", "x_mm")
    return tuple(dict.fromkeys((min(dots, key=height), max(dots, key=height)))) if dots else ()
