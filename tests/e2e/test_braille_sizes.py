"""Named braille sizes, lines that break at words, and the number's braille on a line of its own."""

from pathlib import Path

import pytest

from schedule2sign.braille.sizes import load_sizes
from schedule2sign.braille.translator import open_translator
from schedule2sign.errors import InputError
from schedule2sign.model.job import Job, Status
from schedule2sign.model.settings import Lexicon
from schedule2sign.pipeline import build_job
from schedule2sign.settings import load_settings

LONG = "REHABILITATION EQUIPMENT LABORATORY AND WORKSHOP"


def build(folder: Path, size: str, standard: str = "us-ada-2010", *names: str) -> Job:
    rows = "".join(f"10{place},10{place},{name}\n" for place, name in enumerate(names or ("STAFF LOUNGE",), start=1))
    (folder / "doors.csv").write_text(f"Door,Room No,Room Name\n{rows}")
    (folder / "job.toml").write_text(
        f'[job]\nid = "Z1"\nnumbers = "final"\n[standard]\nid = "{standard}"\n[make]\nbraille_size = "{size}"\n'
    )
    return build_job([folder / "doors.csv"], load_settings(folder / "job.toml"))


# Dot, cell and line pitch in inches: ADA Table 703.3.1 gives 0.090 to 0.100, 0.241 to 0.300, 0.395 to 0.400.
@pytest.mark.parametrize(
    ("size", "dot", "cell"), [("us-middle", 0.095, 0.270), ("us-narrow", 0.092, 0.245), ("us-wide", 0.100, 0.300)]
)
def test_a_us_size_is_drawn_and_stands_the_ada_rules(tmp_path: Path, size: str, dot: float, cell: float) -> None:
    (sign,) = build(tmp_path, size).signs
    assert sign.layout is not None
    assert sign.status is Status.RELEASED
    drawn = sign.layout.cell_size
    assert (drawn.name, drawn.dot_pitch_mm, drawn.cell_pitch_mm) == (
        size,
        pytest.approx(dot * 25.4),
        pytest.approx(cell * 25.4),
    )
    number = [dot for dot in sign.layout.dots if dot.line == 0]
    # #AJA: dot 3 of the first cell and dot 1 of the second share no column but lie one cell apart.
    columns = sorted({round(dot.x_mm / 25.4, 4) for dot in number})
    assert columns[2] - columns[0] == pytest.approx(cell, abs=1e-3)


@pytest.mark.parametrize(
    ("size", "standard"), [("medium", "us-ada-2010"), ("large", "us-ada-2010"), ("us-middle", "us-california")]
)
def test_a_size_outside_the_standards_range_is_held(tmp_path: Path, size: str, standard: str) -> None:
    (sign,) = build(tmp_path, size, standard).signs
    assert sign.status is Status.HELD
    held = [flag.code for flag in sign.flags if flag.severity == "HOLD"]
    assert any(code.startswith(("rules/braille/cell-pitch/", "rules/braille/dot-pitch/")) for code in held)


@pytest.mark.parametrize(("size", "standard"), [("large", "de"), ("us-wide", "us-california"), ("medium", "au-ncc")])
def test_each_standard_has_a_size_inside_its_range(tmp_path: Path, size: str, standard: str) -> None:
    (sign,) = build(tmp_path, size, standard).signs
    held = [
        flag.code for flag in sign.flags if flag.severity == "HOLD" and "pitch" in flag.code and "braille" in flag.code
    ]
    assert held == []


def test_an_unknown_size_is_named_with_the_known_ones(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"no braille size 'huge'\. Choose one of: us-middle"):
        build(tmp_path, "huge")


def test_every_size_has_five_dimensions() -> None:
    for size in load_sizes().values():
        assert 0 < size.height_mm < size.base_mm < size.dot_pitch_mm < size.cell_pitch_mm < size.line_pitch_mm


@pytest.mark.parametrize(("size", "parts"), [("us-narrow", 1), ("us-wide", 2)])
def test_a_long_line_breaks_at_words_and_the_number_keeps_its_own_line(tmp_path: Path, size: str, parts: int) -> None:
    (sign,) = build(tmp_path, size, "us-ada-2010", LONG).signs
    assert sign.layout is not None
    lines = sign.layout.braille
    assert lines[0].text == "101"
    assert len(lines) == 1 + parts
    assert " ".join(line.text for line in lines[1:]) == LONG
    whole = "\u2800".join(line.cells for line in lines[1:])
    assert whole == open_translator("ueb-contracted", Lexicon()).translate(LONG).cells
    for line in lines:
        assert len(line.cells.split("\u2800")) == len(line.text.split())


@pytest.mark.parametrize(("standard", "align"), [("us-ada-2010", "center"), ("au-ncc", "left")])
def test_lines_stand_as_the_profile_asks(tmp_path: Path, standard: str, align: str) -> None:
    (sign,) = build(tmp_path, "", standard, "WAITING ROOM").signs
    assert sign.layout is not None
    size = sign.layout.cell_size
    ends: list[tuple[float, float]] = []
    for index, line in enumerate(sign.layout.braille):
        # Full cells, so that a first cell without dot 1 does not shift its line.
        dots = [dot for dot in sign.layout.dots if dot.line == index]
        column = 0 if dots[0].number <= 3 else size.dot_pitch_mm
        left = dots[0].x_mm - dots[0].cell * size.cell_pitch_mm - column
        ends.append((left, left + (len(line.cells) - 1) * size.cell_pitch_mm + size.dot_pitch_mm))
    assert len(ends) == 2
    if align == "left":
        assert ends[0][0] == pytest.approx(ends[1][0], abs=0.01)
    else:
        assert sum(ends[0]) == pytest.approx(sum(ends[1]), abs=0.02)
        assert ends[0][0] != pytest.approx(ends[1][0], abs=0.5)
