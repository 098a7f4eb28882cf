"""Cells to dots and dots to cells, against the published dimensions."""

import pytest

from schedule2sign.geometry.dotgrid import (
    AmbiguousDotsError,
    block_height_mm,
    cell_dots,
    dots_cell,
    line_span_mm,
    place_line,
    possible_readings,
    read_dots,
)
from schedule2sign.model.braille import CellSize

# ADA Table 703.3.1: dot pitch 0.090 to 0.100 in, cell pitch 0.241 to 0.300 in, line pitch 0.395 to 0.400 in.
ADA = CellSize(
    name="ada", dot_pitch_mm=2.413, cell_pitch_mm=6.858, line_pitch_mm=10.0965, base_mm=1.5494, height_mm=0.7874
)
CALIFORNIA = CellSize(
    name="ca", dot_pitch_mm=2.54, cell_pitch_mm=7.62, line_pitch_mm=10.1, base_mm=1.5494, height_mm=0.7874
)


def test_dot_places_in_a_cell() -> None:
    # UEB 1.1 and ADA Figure 703.3.1: 1, 2, 3 down the left, 4, 5, 6 down the right.
    dots = {dot.number: (dot.x_mm, dot.y_mm) for dot in place_line("\u283f", line=0, left_mm=0, top_mm=0, size=ADA)}
    half = ADA.base_mm / 2
    for number, (column, row) in {1: (0, 0), 2: (0, 1), 3: (0, 2), 4: (1, 0), 5: (1, 1), 6: (1, 2)}.items():
        assert dots[number] == pytest.approx((half + column * 2.413, -half - row * 2.413))


def test_distances_are_those_of_the_table() -> None:
    first, second = place_line("\u2801\u2801", line=0, left_mm=3, top_mm=9, size=ADA)
    assert second.x_mm - first.x_mm == pytest.approx(0.270 * 25.4)
    assert 0.241 <= (second.x_mm - first.x_mm) / 25.4 <= 0.300


def test_spans_count_blank_cells() -> None:
    assert line_span_mm("\u2801\u2800\u2801", ADA) == pytest.approx(2 * 6.858 + 2.413 + 1.5494)
    assert line_span_mm("", ADA) == 0
    assert block_height_mm(2, ADA) == pytest.approx(10.0965 + 2 * 2.413 + 1.5494)
    assert block_height_mm(0, ADA) == 0


def test_only_six_dot_cells_are_drilled() -> None:
    assert cell_dots("\u2800") == ()
    assert dots_cell((1, 2, 3, 4, 5, 6)) == "\u283f"
    for odd in ("\u2840", "a"):
        with pytest.raises(ValueError, match="six-dot"):
            cell_dots(odd)


def test_lines_closer_than_a_cell_is_tall_are_parted() -> None:
    # The row gap between these lines, 5.02 mm, is less than between rows 1 and 3 of one cell, 5.08 mm.
    cells = ("\u2805\u2803", "\u2801\u2807\u2838")
    centers = [
        (dot.x_mm, dot.y_mm)
        for index, line in enumerate(cells)
        for dot in place_line(line, line=index, left_mm=0, top_mm=-10.1 * index, size=CALIFORNIA)
    ]
    assert read_dots(centers, CALIFORNIA) == cells


def test_dots_that_read_two_ways_say_so() -> None:
    # Dots 1-4 alone could as well be dots 2-5 or 3-6 of a cell.
    centers = [(dot.x_mm, dot.y_mm) for dot in place_line("\u2809", line=0, left_mm=0, top_mm=0, size=ADA)]
    assert set(possible_readings(centers, ADA)) == {("\u2809",), ("\u2812",), ("\u2824",)}
    with pytest.raises(AmbiguousDotsError, match="3 readings"):
        read_dots(centers, ADA)


def test_a_neighbor_line_settles_an_ambiguous_one() -> None:
    # A line of left-hand dots alone reads one way only beside a line that fixes the common left end.
    lines = ("\u2807\u2807", "\u283f")
    centers = [
        (dot.x_mm, dot.y_mm)
        for index, line in enumerate(lines)
        for dot in place_line(line, line=index, left_mm=0, top_mm=-ADA.line_pitch_mm * index, size=ADA)
    ]
    assert read_dots(centers, ADA) == lines


def test_dots_off_the_grid_are_no_braille() -> None:
    assert possible_readings([(0, 0), (1.1, 0)], ADA) == ()
    assert possible_readings([], ADA) == ((),)
    with pytest.raises(ValueError, match="no braille grid"):
        read_dots([(0, 0), (1.1, 0)], ADA)
