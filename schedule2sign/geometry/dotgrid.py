"""Braille cells to dot centers and back."""

from collections.abc import Iterable, Sequence
from functools import cache
from itertools import product

from schedule2sign.model.braille import CellSize
from schedule2sign.model.shape import Dot, Point

BLANK = "\u2800"
# Written coordinates are exact to a few microns; rows of neighboring lines may lie 0.06 mm apart (California size).
TOLERANCE_MM = 0.02
# Dot number -> (column, row) in the cell, row 0 on top (UEB 1.1.1; ADA Figure 703.3.1).
_PLACE = {1: (0, 0), 2: (0, 1), 3: (0, 2), 4: (1, 0), 5: (1, 1), 6: (1, 2)}


@cache
def cell_dots(cell: str) -> tuple[int, ...]:
    """Dot numbers of one Unicode braille pattern.

    Raises:
        ValueError: not a six-dot braille pattern.
    """
    bits = ord(cell) - 0x2800
    if not 0 <= bits < 64:
        raise ValueError(f"{cell!r} is not a six-dot braille cell")
    return tuple(number for number in range(1, 7) if bits >> (number - 1) & 1)


@cache
def _cell_places(cell: str) -> tuple[tuple[int, int, int], ...]:
    return tuple((number, *_PLACE[number]) for number in cell_dots(cell))


def dots_cell(numbers: Iterable[int]) -> str:
    """Unicode braille pattern of the dot numbers."""
    return chr(0x2800 + sum(1 << (number - 1) for number in set(numbers)))


def line_span_mm(cells: str, size: CellSize) -> float:
    """Width of a line over full cells, dot edge to dot edge; blank cells count."""
    if not cells:
        return 0.0
    return (len(cells) - 1) * size.cell_pitch_mm + size.dot_pitch_mm + size.base_mm


def block_height_mm(line_count: int, size: CellSize) -> float:
    """Height of a block of lines over full cells, dot edge to dot edge."""
    if line_count == 0:
        return 0.0
    return (line_count - 1) * size.line_pitch_mm + 2 * size.dot_pitch_mm + size.base_mm


def place_line(cells: str, *, line: int, left_mm: float, top_mm: float, size: CellSize) -> tuple[Dot, ...]:
    """Dots of one line; (left_mm, top_mm) is the dot edge of the first cell's dot 1, present or not."""
    x0 = left_mm + size.base_mm / 2
    y0 = top_mm - size.base_mm / 2
    rows = tuple(y0 - row * size.dot_pitch_mm for row in range(3))
    dots: list[Dot] = []
    for index, cell in enumerate(cells):
        left = x0 + index * size.cell_pitch_mm
        columns = (left, left + size.dot_pitch_mm)  # one number for all dots of a column
        dots += [
            Dot(x_mm=columns[column], y_mm=rows[row], line=line, cell=index, number=number)
            for number, column, row in _cell_places(cell)
        ]
    return tuple(dots)


class AmbiguousDotsError(ValueError):
    """The dots fit more than one reading; `readings` holds them."""

    def __init__(self, readings: tuple[tuple[str, ...], ...]) -> None:
        super().__init__(
            f"the dots fit {len(readings)} readings: {' or '.join(' / '.join(lines) for lines in readings)}"
        )
        self.readings = readings


def read_dots(centers: Sequence[Point], size: CellSize, tolerance_mm: float = TOLERANCE_MM) -> tuple[str, ...]:
    """Cells read from dot centers alone, top line first.

    Leading and trailing blank cells cannot be seen and are left out.

    Raises:
        AmbiguousDotsError: the dots fit several readings, as a line of top dots alone does.
        ValueError: the dots fit no braille grid of that size.
    """
    readings = possible_readings(centers, size, tolerance_mm)
    if not readings:
        raise ValueError("the dots fit no braille grid of this size")
    if len(readings) > 1:
        raise AmbiguousDotsError(readings)
    return readings[0]


def possible_readings(
    centers: Sequence[Point], size: CellSize, tolerance_mm: float = TOLERANCE_MM
) -> tuple[tuple[str, ...], ...]:
    """Every way the dots read as one block of lines; () where a dot lies off the grid or two dots coincide.

    The block has one line pitch, and its lines share their left end or their center. Gaps alone cannot part the
    lines: in the California size a line's lowest row is nearer to the next line (5.02 mm) than to its own top row
    (5.08 mm).
    """
    if not centers:
        return ((),)
    readings: dict[tuple[str, ...], None] = {}
    top = max(y for _, y in centers)
    for hidden_rows in range(3):
        lines = _part_lines(centers, top + hidden_rows * size.dot_pitch_mm, size, tolerance_mm)
        if lines is not None:
            readings.update(dict.fromkeys(_read_block(lines, size, tolerance_mm)))
    return tuple(readings)


def _part_lines(
    centers: Sequence[Point], top: float, size: CellSize, tolerance_mm: float
) -> list[list[tuple[float, int]]] | None:
    """(x, row) of each dot by line, where the first line's top row lies at `top`; None if a dot fits no row."""
    lines: dict[int, list[tuple[float, int]]] = {}
    places: dict[float, tuple[int, int]] = {}  # the dots of a row stand at one height
    for x, y in centers:
        if y not in places:
            depth = top - y
            line = round((depth - size.dot_pitch_mm) / size.line_pitch_mm)
            below = depth - line * size.line_pitch_mm
            row = round(below / size.dot_pitch_mm)
            if not 0 <= row <= 2 or abs(below - row * size.dot_pitch_mm) > tolerance_mm:
                return None
            places[y] = (line, row)
        line, row = places[y]
        lines.setdefault(line, []).append((x, row))
    # The hidden rows belong to the first line, so a reading must have a first line.
    return [lines[line] for line in sorted(lines)] if 0 in lines else None


def _read_block(lines: list[list[tuple[float, int]]], size: CellSize, tolerance_mm: float) -> list[tuple[str, ...]]:
    """Readings of the lines that share their left end, or else their center."""
    choices: list[list[tuple[str, float]]] = []
    for dots in lines:
        left = min(x for x, _ in dots)
        starts = (left, left - size.dot_pitch_mm)
        read = [(cells, start) for start in starts if (cells := _read_line(dots, start, size, tolerance_mm))]
        if not read:
            return []
        choices.append(read)
    found: list[tuple[str, ...]] = []
    for anchor in (_left_end, _center):
        first = choices[0]
        for place in {anchor(cells, start, size) for cells, start in first}:
            kept = [
                [cells for cells, start in read if abs(anchor(cells, start, size) - place) <= 2 * tolerance_mm]
                for read in choices
            ]
            found += product(*kept)
    return list(dict.fromkeys(sorted(found)))


def _left_end(_cells: str, start: float, _size: CellSize) -> float:
    return start


def _center(cells: str, start: float, size: CellSize) -> float:
    return start + (len(cells) - 1) * size.cell_pitch_mm / 2


def _read_line(dots: list[tuple[float, int]], start: float, size: CellSize, tolerance_mm: float) -> str:
    """Cells of one line whose first cell's left column lies at `start`; "" where a dot fits no column."""
    found: dict[int, set[int]] = {}
    places: dict[float, tuple[int, int]] = {}  # the dots of a column stand one under the other
    for x, row in dots:
        if x not in places:
            away = x - start
            index = round((away - size.dot_pitch_mm / 2) / size.cell_pitch_mm)
            within = away - index * size.cell_pitch_mm
            column = round(within / size.dot_pitch_mm)
            if column not in (0, 1) or abs(within - column * size.dot_pitch_mm) > tolerance_mm:
                return ""
            places[x] = (index, column)
        index, column = places[x]
        number = row + 1 + 3 * column
        if number in found.setdefault(index, set()):
            return ""
        found[index].add(number)
    return "".join(dots_cell(found.get(index, ())) for index in range(max(found) + 1))
