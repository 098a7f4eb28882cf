"""Dot rows and columns in line."""

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, Series, rule


@rule(
    id="braille/straight",
    title="Dots out of line with their row or column",
    why="Leaning cells read badly, and braille runs level so that a finger can follow it.",
    fix="Place the dots on a straight, level grid.",
    limits=("dot_straight",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.dots),
    otherwise="The sign has no braille.",
    waivable=False,
)
def check_straight(sign: SignLayout) -> Series:
    """Spread of the heights of a dot row along a line, and of a cell's column from side to side."""
    heights: dict[tuple[int, int], list[float]] = {}
    sides: dict[tuple[int, int, int], list[float]] = {}
    for dot in sign.dots:
        dot_column, dot_row = divmod(dot.number - 1, 3)
        heights.setdefault((dot.line, dot_row), []).append(dot.y_mm)
        sides.setdefault((dot.line, dot.cell, dot_column), []).append(dot.x_mm)
    rows, columns = tuple(heights), tuple(sides)
    spreads = [max(values) - min(values) for values in (*heights.values(), *sides.values())]

    def single(index: int) -> Measured:
        if index < len(rows):
            line, dot_row = rows[index]
            where = f"braille line {line + 1}, dot row {dot_row + 1}"
        else:
            line, cell, dot_column = columns[index - len(rows)]
            where = f"braille line {line + 1}, cell {cell + 1}, column {dot_column + 1}"
        return Measured(limit="dot_straight", value=spreads[index], where=where)

    return Series(limits=("dot_straight",), values=spreads, single=single)
