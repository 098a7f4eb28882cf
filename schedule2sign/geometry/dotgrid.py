"""Braille cells to dot centers and back."""

from collections.abc import Iterable, Sequence

from schedule2sign.model.braille import CellSize
from schedule2sign.model.shape import Dot

BLANK = "\u2800"
# Dot number -> (column, row) in the cell, row 0 on top (UEB 1.1.1; ADA Figure 703.3.1).
_PLACE = {1: (0, 0), 2: (0, 1), 3: (0, 2), 4: (1, 0), 5: (1, 1), 6: (1, 2)}


def cell_dots(cell: str) -> tuple[int, ...]:
    """Dot numbers of one Unicode braille pattern.

    Raises:
        ValueError: not a six-dot braille pattern.
    """
    bits = ord(cell) - 0x2800
    if not 0 <= bits < 64:
        raise ValueError(f"{cell!r} is not a six-dot braille cell")
    return tuple(number for number in range(1, 7) if bits >> (number - 1) & 1)


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
    return tuple(
        Dot(
            x_mm=x0 + index * size.cell_pitch_mm + _PLACE[number][0] * size.dot_pitch_mm,
            y_mm=y0 - _PLACE[number][1] * size.dot_pitch_mm,
            line=line,
            cell=index,
            number=number,
        )
        for index, cell in enumerate(cells)
        for number in cell_dots(cell)
    )


def read_dots(centers: Sequence[tuple[float, float]], size: CellSize, tolerance_mm: float = 0.15) -> tuple[str, ...]:
    """Cells read from dot centers alone, top line first.

    The grid is found from the dots: rows by y, lines by line pitch, columns by cell pitch. Leading and
    trailing blank cells cannot be seen and are left out.

    Raises:
        ValueError: a dot lies off every grid position by more than the tolerance.
    """
    lines: list[str] = []
    for group in _split_lines(centers, size):
        lines.append(_read_line(group, size, tolerance_mm))
    return tuple(lines)


def _split_lines(centers: Sequence[tuple[float, float]], size: CellSize) -> list[list[tuple[float, float]]]:
    # Two lines are further apart (line pitch less two dot rows) than the rows of one cell.
    gap_mm = (size.dot_pitch_mm + size.line_pitch_mm - 2 * size.dot_pitch_mm) / 2
    groups: list[list[tuple[float, float]]] = []
    last_y: float | None = None
    for x, y in sorted(centers, key=lambda point: (-point[1], point[0])):
        if last_y is None or last_y - y > max(gap_mm, 1.3 * size.dot_pitch_mm):
            groups.append([])
        groups[-1].append((x, y))
        last_y = y
    return groups


def _read_line(group: list[tuple[float, float]], size: CellSize, tolerance_mm: float) -> str:
    """Try each reading of the first dot's place in its cell; exactly one may put every dot on the grid."""
    fits: list[str] = []
    left = min(x for x, _ in group)
    top = max(y for _, y in group)
    for column in (0, 1):
        for row in (0, 1, 2):
            cells = _try_grid(
                group, left - column * size.dot_pitch_mm, top + row * size.dot_pitch_mm, size, tolerance_mm
            )
            if cells is not None:
                fits.append(cells)
    if not fits:
        raise ValueError("a dot lies off the braille grid")
    # A line without top-row (or first-column) dots fits several grids: the highest, leftmost reading would be a
    # guess, so the caller must give the grid for such a line.
    if len(set(fits)) > 1:
        raise AmbiguousLineError(tuple(dict.fromkeys(fits)))
    return fits[0]


class AmbiguousLineError(ValueError):
    """The dots of a line fit more than one reading; `readings` holds them."""

    def __init__(self, readings: tuple[str, ...]) -> None:
        super().__init__(f"the dots fit {len(readings)} readings: {' / '.join(readings)}")
        self.readings = readings


def _try_grid(
    group: list[tuple[float, float]], x0: float, y0: float, size: CellSize, tolerance_mm: float
) -> str | None:
    found: dict[int, set[int]] = {}
    for x, y in group:
        row = round((y0 - y) / size.dot_pitch_mm)
        index = round((x - x0 - size.dot_pitch_mm / 2) / size.cell_pitch_mm)
        column = round((x - x0 - index * size.cell_pitch_mm) / size.dot_pitch_mm)
        off_x = abs(x - x0 - index * size.cell_pitch_mm - column * size.dot_pitch_mm)
        off_y = abs(y0 - row * size.dot_pitch_mm - y)
        if row not in (0, 1, 2) or column not in (0, 1) or index < 0 or max(off_x, off_y) > tolerance_mm:
            return None
        found.setdefault(index, set()).add(row + 1 + 3 * column)
    return "".join(dots_cell(found.get(index, ())) for index in range(max(found) + 1))
