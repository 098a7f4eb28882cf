"""Random cells come back from their dots, at every size and alignment."""

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedule2sign.braille.readback import compare_reading
from schedule2sign.geometry.brailleascii import ascii_braille, read_ascii
from schedule2sign.geometry.dotgrid import BLANK, cell_dots, dots_cell, place_line, possible_readings
from schedule2sign.model.braille import CellSize
from schedule2sign.model.shape import Dot


def _size(name: str, dot: float, cell: float, line: float, base: float) -> CellSize:
    return CellSize(name=name, dot_pitch_mm=dot, cell_pitch_mm=cell, line_pitch_mm=line, base_mm=base, height_mm=0.8)


# Middle and both ends of the ranges of ADA Table 703.3.1 (in inches), California's two fixed pitches, Marburg Medium.
SIZES = (
    _size("ada-middle", 0.095 * 25.4, 0.270 * 25.4, 0.3975 * 25.4, 0.061 * 25.4),
    _size("ada-least", 0.090 * 25.4, 0.241 * 25.4, 0.395 * 25.4, 0.059 * 25.4),
    _size("ada-most", 0.100 * 25.4, 0.300 * 25.4, 0.400 * 25.4, 0.063 * 25.4),
    _size("california", 0.100 * 25.4, 0.300 * 25.4, 0.3975 * 25.4, 0.061 * 25.4),
    _size("marburg-medium", 2.5, 6.0, 10.0, 1.6),
)
CELLS = st.text(alphabet=[chr(0x2800 + bits) for bits in range(64)], min_size=1, max_size=30)
LINES = st.lists(CELLS.map(lambda cells: cells.strip(BLANK)).filter(bool), min_size=1, max_size=4)


def place(lines: Sequence[str], size: CellSize, align: str, at: tuple[float, float]) -> list[Dot]:
    dots: list[Dot] = []
    for line, cells in enumerate(lines):
        left = at[0] - (len(cells) - 1) * size.cell_pitch_mm / 2 if align == "center" else at[0]
        dots += place_line(cells, line=line, left_mm=left, top_mm=at[1] - line * size.line_pitch_mm, size=size)
    return dots


@given(st.sets(st.integers(1, 6)))
def test_a_cell_and_its_dots_are_one_to_one(numbers: set[int]) -> None:
    assert set(cell_dots(dots_cell(numbers))) == numbers


@given(CELLS)
def test_ascii_braille_reads_back_in_either_case(cells: str) -> None:
    written = ascii_braille(cells)
    assert read_ascii(written) == read_ascii(written.lower()) == read_ascii(cells) == cells


@given(st.text(min_size=1))
def test_what_is_no_ascii_braille_is_refused_or_read(text: str) -> None:
    try:
        cells = read_ascii(text)
    except ValueError:
        return
    assert len(cells) >= len(text)
    assert all(0x2800 <= ord(cell) < 0x2840 for cell in cells)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
@pytest.mark.parametrize("align", ["left", "center"])
@given(lines=LINES, x=st.floats(-500, 500), y=st.floats(-500, 500), data=st.data())
def test_cells_come_back_from_their_dots(
    size: CellSize, align: str, lines: list[str], x: float, y: float, data: st.DataObject
) -> None:
    dots = place(lines, size, align, (x, y))
    shuffled = data.draw(st.permutations(dots))
    readings = possible_readings([(dot.x_mm, dot.y_mm) for dot in shuffled], size)
    assert tuple(lines) in readings
    # Only blocks that lack a row, or hold a line that keeps to one column, may read in more than one way.
    numbers = [{number for cell in line for number in cell_dots(cell)} for line in lines]
    anywhere = set().union(*numbers)
    rows_seen = all({row, row + 3} & anywhere for row in (1, 2, 3))
    if rows_seen and all({1, 2, 3} & some and {4, 5, 6} & some for some in numbers):
        assert readings == (tuple(lines),)
    assert compare_reading(shuffled, lines, size) == ()


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
@given(lines=LINES, data=st.data())
def test_a_missing_or_moved_dot_is_noticed(size: CellSize, lines: list[str], data: st.DataObject) -> None:
    dots = place(lines, size, "left", (0.0, 0.0))
    index = data.draw(st.integers(0, len(dots) - 1))
    less = dots[:index] + dots[index + 1 :]
    flags = compare_reading(less, lines, size)
    assert [flag.code for flag in flags] == ["braille/read-back"]
