"""The dots read as the lines that were meant, or the sign is held."""

import dataclasses

import pytest

from schedule2sign.braille.readback import compare_reading, read_back
from schedule2sign.braille.translator import open_translator
from schedule2sign.geometry.dotgrid import place_line
from schedule2sign.model.braille import CellSize
from schedule2sign.model.flag import Severity
from schedule2sign.model.settings import Lexicon
from schedule2sign.model.shape import Dot

# California: dot pitch 0.100 in, cell pitch 0.300 in; line pitch in the middle of 0.395 to 0.400 in (ADA 703.3.1).
SIZE = CellSize(
    name="california", dot_pitch_mm=2.54, cell_pitch_mm=7.62, line_pitch_mm=10.0965, base_mm=1.5494, height_mm=0.7874
)


def drill(*lines: str) -> list[Dot]:
    return [
        dot
        for index, cells in enumerate(lines)
        for dot in place_line(cells, line=index, left_mm=10, top_mm=60 - index * SIZE.line_pitch_mm, size=SIZE)
    ]


@pytest.fixture
def meant() -> tuple[str, ...]:
    translator = open_translator("ueb-contracted", Lexicon())
    return tuple(translator.translate(text).cells for text in ("STAFF RESTROOM", "101A", "IT CLOSET"))


def test_a_sign_reads_back(meant: tuple[str, ...]) -> None:
    dots = drill(*meant)
    assert read_back([(dot.x_mm, dot.y_mm) for dot in dots], SIZE) == meant
    assert compare_reading(dots, meant, SIZE) == ()


def test_a_difference_holds_the_sign(meant: tuple[str, ...]) -> None:
    (flag,) = compare_reading(drill(*meant)[1:], meant, SIZE)
    assert (flag.code, flag.severity) == ("braille/read-back", Severity.HOLD)
    assert flag.required == " / ".join(meant)


def test_labels_on_the_dots_are_not_believed(meant: tuple[str, ...]) -> None:
    dots = [dataclasses.replace(dot, line=0, cell=0, number=1) for dot in drill(*meant)]
    assert compare_reading(dots, meant, SIZE) == ()


@pytest.mark.parametrize(("dx", "dy"), [(0.5, 0), (0, 0.5), (0, -0.5)])
def test_a_dot_off_the_grid_holds_the_sign(meant: tuple[str, ...], dx: float, dy: float) -> None:
    dots = drill(*meant)
    dots[5] = dataclasses.replace(dots[5], x_mm=dots[5].x_mm + dx, y_mm=dots[5].y_mm + dy)
    (flag,) = compare_reading(dots, meant, SIZE)
    assert "no braille at all" in flag.message


def test_a_dot_drilled_twice_holds_the_sign(meant: tuple[str, ...]) -> None:
    dots = drill(*meant)
    assert [flag.code for flag in compare_reading([*dots, dots[0]], meant, SIZE)] == ["braille/read-back"]


def test_no_braille_meant_and_none_drilled() -> None:
    assert compare_reading([], (), SIZE) == ()
    assert len(compare_reading([], ("\u2801",), SIZE)) == 1
