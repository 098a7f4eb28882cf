"""Circles to braille dots: which line, cell and number each is, from the centers alone."""

from collections.abc import Sequence
from itertools import groupby

from schedule2sign.geometry.dotgrid import BLANK, cell_dots, possible_readings
from schedule2sign.model.braille import CellSize
from schedule2sign.model.shape import Dot
from schedule2sign.verification.difference import TOLERANCE_MM
from schedule2sign.verification.drawing import DrawnCircle


def read_cells(circles: Sequence[DrawnCircle], recorded: Sequence[str], size: CellSize) -> tuple[str, ...] | None:
    """Cells of each line; None where the dots fit no grid. Of several readings the recorded one counts."""
    readings = possible_readings([(circle.x_mm, circle.y_mm) for circle in circles], size, TOLERANCE_MM)
    wanted = tuple(line.strip(BLANK) for line in recorded if line.strip(BLANK))
    if not readings:
        return None
    return wanted if wanted in readings else readings[0]


def find_stray(circles: Sequence[DrawnCircle], size: CellSize) -> DrawnCircle | None:
    """The dot without which the others fit a grid, if there is just one such."""
    places = [(circle.x_mm, circle.y_mm) for circle in circles]
    stray = [
        circle
        for index, circle in enumerate(circles)
        if possible_readings([*places[:index], *places[index + 1 :]], size, TOLERANCE_MM)
    ]
    return stray[0] if len(stray) == 1 else None


def place_dots(circles: Sequence[DrawnCircle], cells: Sequence[str]) -> tuple[Dot, ...]:
    """Each circle with its line, cell and number, where the circles read as these cells.

    Rows follow each other from the top, and in a row dots follow each other from the left: that alone decides.
    """
    wanted = sorted(
        (line, (number - 1) % 3, cell, number)
        for line, text in enumerate(cells)
        for cell, sign in enumerate(text)
        for number in cell_dots(sign)
    )
    falling = sorted(circles, key=lambda circle: -circle.y_mm)
    dots: list[Dot] = []
    for _, group in groupby(wanted, key=lambda place: place[:2]):
        row = list(group)
        drilled, falling = falling[: len(row)], falling[len(row) :]
        for (line, _, cell, number), circle in zip(row, sorted(drilled, key=lambda c: c.x_mm), strict=True):
            dots.append(Dot(x_mm=circle.x_mm, y_mm=circle.y_mm, line=line, cell=cell, number=number))
    return tuple(sorted(dots, key=lambda dot: (dot.line, dot.cell, dot.number)))


def compare_cells(found: Sequence[str], recorded: Sequence[str]) -> str:
    """The first cell that is not the recorded one, in words; "" where all are."""
    wanted = [line.strip(BLANK) for line in recorded if line.strip(BLANK)]
    for number, line in enumerate(wanted, start=1):
        drilled = found[number - 1] if number <= len(found) else ""
        if drilled == line:
            continue
        place = next((i for i, pair in enumerate(zip(drilled, line, strict=False)) if pair[0] != pair[1]), None)
        if place is None:
            return f"braille line {number} has {len(drilled)} cells, not {len(line)}"
        has, lacks = set(cell_dots(drilled[place])), set(cell_dots(line[place]))
        more = [f"dot {dot} too many" for dot in sorted(has - lacks)] + [
            f"dot {dot} missing" for dot in sorted(lacks - has)
        ]
        return f"braille line {number}, cell {place + 1}: {', '.join(more)} (drilled {drilled[place]}, recorded {line[place]})"
    return f"{len(found)} braille lines are drilled, {len(wanted)} recorded" if len(found) != len(wanted) else ""
