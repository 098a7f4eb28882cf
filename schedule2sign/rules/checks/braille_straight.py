"""Dot rows and columns in line."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import Dot, SignLayout
from schedule2sign.rules.grid import column, row
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


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
def check_straight(sign: SignLayout) -> Iterator[Measured]:
    """Spread of the heights of a dot row along a line, and of a cell's column from side to side."""
    heights: dict[tuple[int, int], list[float]] = {}
    sides: dict[tuple[int, int, int], list[float]] = {}
    for dot in sign.dots:
        heights.setdefault((dot.line, row(dot)), []).append(dot.y_mm)
        sides.setdefault(_side(dot), []).append(dot.x_mm)
    for (line, dot_row), values in heights.items():
        where = f"braille line {line + 1}, dot row {dot_row + 1}"
        yield Measured(limit="dot_straight", value=max(values) - min(values), where=where)
    for (line, cell, dot_column), values in sides.items():
        where = f"braille line {line + 1}, cell {cell + 1}, column {dot_column + 1}"
        yield Measured(limit="dot_straight", value=max(values) - min(values), where=where)


def _side(dot: Dot) -> tuple[int, int, int]:
    return dot.line, dot.cell, column(dot)
