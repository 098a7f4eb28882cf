"""Dots told from circles alone, in the closest sizes of two standards; and where one stands wrong."""

import pytest

from schedule2sign.geometry.dotgrid import place_line
from schedule2sign.model.braille import CellSize
from schedule2sign.recheck.reading import misread
from schedule2sign.verification.dots import compare_cells, find_stray, place_dots, read_cells
from schedule2sign.verification.drawing import DRILL, DrawnCircle, make_circle

# Middle of ADA Table 703.3.1, and CBC 11B-703.3.1 (0.100, 0.300, 0.395 to 0.400 in: rows of two lines nearly even).
SIZES = [
    CellSize(name="us", dot_pitch_mm=2.413, cell_pitch_mm=6.858, line_pitch_mm=10.0965, base_mm=1.55, height_mm=0.8),
    CellSize(name="ca", dot_pitch_mm=2.54, cell_pitch_mm=7.62, line_pitch_mm=10.0965, base_mm=1.55, height_mm=0.8),
]
# "room 101" and "office" as UEB prints them (UEB 6.2, 10.10.3: office is (fice).
LINES = ("⠗⠕⠕⠍⠀⠼⠁⠚⠁", "⠷⠋⠊⠉⠑")


def drill(size: CellSize, lines: tuple[str, ...] = LINES) -> list[DrawnCircle]:
    dots = [
        dot
        for index, cells in enumerate(lines)
        for dot in place_line(cells, line=index, left_mm=20.0, top_mm=40.0 - index * size.line_pitch_mm, size=size)
    ]
    circles = [make_circle(DRILL, dot.x_mm, dot.y_mm, size.base_mm) for dot in dots]
    return circles[::2] + circles[1::2][::-1]


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_circles_in_any_order_become_the_dots_they_were(size: CellSize) -> None:
    circles = drill(size)
    cells = read_cells(circles, LINES, size)
    assert cells == LINES
    wanted = [
        dot
        for index, line in enumerate(LINES)
        for dot in place_line(line, line=index, left_mm=20.0, top_mm=40.0 - index * size.line_pitch_mm, size=size)
    ]
    assert place_dots(circles, cells) == tuple(sorted(wanted, key=lambda dot: (dot.line, dot.cell, dot.number)))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: size.name)
def test_a_dot_off_the_grid_is_told_from_all_others(size: CellSize) -> None:
    circles = drill(size)
    moved = make_circle(DRILL, circles[3].x_mm + 0.2, circles[3].y_mm, size.base_mm)
    circles[3] = moved
    assert read_cells(circles, LINES, size) is None
    assert find_stray(circles, size) == moved


def test_the_first_wrong_cell_is_named() -> None:
    assert compare_cells(LINES, LINES) == ""
    assert compare_cells(("⠗⠕⠕⠍⠀⠼⠁⠚⠃", LINES[1]), LINES) == (
        "braille line 1, cell 9: dot 2 too many (drilled ⠃, recorded ⠁)"
    )
    assert compare_cells(LINES[:1], LINES) == "braille line 2 has 0 cells, not 5"
    assert "3 braille lines are drilled" in compare_cells((*LINES, "⠁"), LINES)


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("ROOM 101", "⠗⠕⠕⠍⠀⠼⠁⠚⠁"),
        ("OFFICE", "⠷⠋⠊⠉⠑"),  # UEB 10.10.3
        ("OED", "⠠⠠⠕⠑⠙"),  # UEB 10.12.1: letters said separately
        ("OUT OF TOWN", "⠠⠠⠠⠳⠀⠷⠀⠞⠪⠝⠠⠄"),  # UEB 2.6.2, a capitals passage
        ("DON'T", "⠠⠠⠙⠕⠝⠄⠠⠞"),  # UEB 8.4.2
        ("B-1", "⠰⠃⠤⠼⠁"),  # UEB 5.7.1
    ],
)
def test_braille_of_the_rule_book_reads_as_its_print(text: str, cells: str) -> None:
    assert misread(text, cells, "ueb-contracted") == ""


@pytest.mark.parametrize(
    ("text", "cells"), [("ROOM 102", "⠗⠕⠕⠍⠀⠼⠁⠚⠁"), ("OFFICES", "⠷⠋⠊⠉⠑"), ("MEN", "⠍⠑⠝⠝"), ("EXIT", "")]
)
def test_braille_of_another_text_is_told(text: str, cells: str) -> None:
    assert misread(text, cells, "ueb-contracted")
