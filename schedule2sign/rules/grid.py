"""The braille grid as drilled: distances between dots, read from the dots and not from the size they were drawn to."""

from collections.abc import Iterator
from itertools import combinations, pairwise
from statistics import median

from schedule2sign.model.shape import Dot, SignLayout

Cell = tuple[Dot, ...]


def column(dot: Dot) -> int:
    """0 for dots 1 to 3, 1 for dots 4 to 6."""
    return (dot.number - 1) // 3


def row(dot: Dot) -> int:
    """0 for the top row."""
    return (dot.number - 1) % 3


def cells_by_line(sign: SignLayout) -> dict[int, dict[int, Cell]]:
    """Line -> cell -> its dots; blank cells are absent."""
    found: dict[int, dict[int, list[Dot]]] = {}
    for dot in sorted(sign.dots, key=lambda dot: (dot.line, dot.cell, dot.number)):
        found.setdefault(dot.line, {}).setdefault(dot.cell, []).append(dot)
    return {line: {cell: tuple(dots) for cell, dots in cells.items()} for line, cells in found.items()}


def dot_pitches(sign: SignLayout) -> Iterator[tuple[float, Dot, Dot]]:
    """Distance of neighboring columns and rows for every two dots of a cell.

    Dots 1 and 3 stand two rows apart, so half their distance counts; dots 1 and 5 give one of each kind.
    """
    for cells in cells_by_line(sign).values():
        for dots in cells.values():
            for a, b in combinations(dots, 2):
                if columns := column(b) - column(a):
                    yield (b.x_mm - a.x_mm) / columns, a, b
                if rows := row(b) - row(a):
                    yield (a.y_mm - b.y_mm) / rows, a, b


def cell_pitches(sign: SignLayout) -> Iterator[tuple[float, Dot, Dot]]:
    """Distance of neighboring cells of a line, from dots of the same column; blank cells between are counted."""
    pitch = typical_dot_pitch_mm(sign)
    for cells in cells_by_line(sign).values():
        order = sorted(cells)
        for left, right in pairwise(order):
            pairs = [(a, b) for a in cells[left] for b in cells[right]]
            like = [(a, b) for a, b in pairs if column(a) == column(b)]
            for a, b in like or pairs[:1]:
                shift = (column(b) - column(a)) * pitch
                yield (b.x_mm - a.x_mm - shift) / (right - left), a, b


def line_pitches(sign: SignLayout) -> Iterator[tuple[float, Dot, Dot]]:
    """Distance of a dot row to the same row one line down; every dot above is compared with the extremes below."""
    pitch = typical_dot_pitch_mm(sign)
    lines = cells_by_line(sign)
    order = sorted(lines)
    for upper, lower in pairwise(order):
        above = [dot for dots in lines[upper].values() for dot in dots]
        below = [dot for dots in lines[lower].values() for dot in dots]
        common = {row(dot) for dot in above} & {row(dot) for dot in below}
        for a in above:
            like = [b for b in below if row(b) == row(a)] if common else below
            for b in dict.fromkeys((min(like, key=_height), max(like, key=_height))) if like else ():
                shift = (row(b) - row(a)) * pitch
                yield (a.y_mm - b.y_mm - shift) / (lower - upper), a, b


def tactile_baselines(sign: SignLayout) -> tuple[float, ...]:
    """Of every raised line and of every braille cell.

    Braille is tactile text too, whatever a figure may show (an editor's note on ADA Figure 703.4.1 says so). The bottom
    edge of a full cell is its baseline, whether or not its lowest dots are there.
    """
    pitch, radius = typical_dot_pitch_mm(sign), sign.cell_size.base_mm / 2
    braille = (dot.y_mm - (2 - row(dot)) * pitch - radius for dot in sign.dots)
    return (*(line.baseline_mm for line in sign.lines), *braille)


def typical_dot_pitch_mm(sign: SignLayout) -> float:
    """The middle of the measured dot pitches; the drawn one where no cell has two dots."""
    measured = [pitch for pitch, _, _ in dot_pitches(sign)]
    return median(measured) if measured else sign.cell_size.dot_pitch_mm


def name_dot(dot: Dot) -> str:
    """A dot in words."""
    return f"braille line {dot.line + 1}, cell {dot.cell + 1}, dot {dot.number}"


def _height(dot: Dot) -> tuple[float, float]:
    return dot.y_mm, dot.x_mm
