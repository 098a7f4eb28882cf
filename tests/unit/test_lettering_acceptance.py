"""Which fonts may be cut, against faces whose measures are known."""

from pathlib import Path

import pytest
from shapely.geometry import Polygon, box

from schedule2sign.lettering.acceptance import FontCheck, accept_font
from schedule2sign.lettering.strokes import smallest_counter, thinnest_stroke
from schedule2sign.resources import templates_folder

SYSTEM = Path("/usr/share/fonts")
SHIPPED = sorted(path for path in (templates_folder() / "fonts").iterdir() if path.suffix in (".otf", ".ttf"))


def checks_of(path: Path, **more: float) -> dict[str, FontCheck]:
    if not path.is_file():
        pytest.skip(f"{path.name} is not installed")
    return {check.id: check for check in accept_font(path, **more).checks}


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_fonts_pass_and_bring_their_licence(path: Path) -> None:
    report = accept_font(path, cut_width_mm=0.029 * 25.4)
    assert report.accepted, [check for check in report.checks if not check.met]
    family = path.stem.removesuffix("-Regular")
    text = (path.parent / f"{family}-LICENSE.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE" in text or "Apache License" in text
    assert "Open Font License" in report.facts.licence or "Apache" in report.facts.licence


def test_three_families_or_more_are_shipped() -> None:
    assert len(SHIPPED) >= 3


@pytest.mark.parametrize(
    ("file", "failing"),
    [
        ("truetype/liberation/LiberationSerif-Regular.ttf", {"serifs"}),
        ("truetype/liberation/LiberationMono-Regular.ttf", {"serifs"}),
        ("truetype/roboto/unhinted/RobotoCondensed-Italic.ttf", {"slant"}),
        ("truetype/liberation/LiberationSans-Bold.ttf", {"stroke-most"}),
        ("opentype/inter/Inter-Thin.otf", {"stroke-least", "thinnest-stroke"}),
    ],
)
def test_faces_that_must_not_be_cut(file: str, failing: set[str]) -> None:
    """ADA 703.2.3 (sans serif, upright), 703.2.6 (stroke 15 % at most); thin strokes: common practice, no source."""
    found = checks_of(SYSTEM / file)
    assert failing <= {check.id for check in found.values() if not check.met}


@pytest.mark.parametrize(
    ("file", "stroke", "proportion"),
    [
        ("truetype/liberation/LiberationSans-Regular.ttf", "13.6 %", "99.2 %"),
        ("truetype/dejavu/DejaVuSans.ttf", "13.5 %", "92.6 %"),
        ("truetype/roboto/unhinted/RobotoCondensed-Regular.ttf", "12.6 %", "67.2 %"),
        ("truetype/lato/Lato-Medium.ttf", "14.4 %", "99.0 %"),
    ],
)
def test_strokes_and_proportions_measured_before_with_another_program(file: str, stroke: str, proportion: str) -> None:
    found = checks_of(SYSTEM / file)
    assert (found["stroke-most"].measured, found["proportion-most"].measured) == (stroke, proportion)


@pytest.mark.parametrize(
    ("file", "char", "size_in"),
    [
        ("truetype/liberation/LiberationSans-Regular.ttf", "4", 0.151),
        ("truetype/roboto/unhinted/RobotoCondensed-Regular.ttf", "4", 0.115),
    ],
)
def test_smallest_counter_measured_before_with_another_program(file: str, char: str, size_in: float) -> None:
    check = checks_of(SYSTEM / file)["smallest-counter"]
    assert check.where == char
    assert float(check.measured.split()[0]) == pytest.approx(size_in, abs=0.0006)


def test_a_cutter_wider_than_the_counter_is_refused() -> None:
    path = templates_folder() / "fonts" / "RobotoCondensed-Regular.ttf"
    assert checks_of(path, cut_width_mm=0.115 * 25.4)["smallest-counter"].met
    assert not checks_of(path, cut_width_mm=0.116 * 25.4)["smallest-counter"].met


def test_gaps_inside_a_character_are_measured_against_the_cutter() -> None:
    """Cabin's K comes in two parts; a slit the cutter does not enter would be filled."""
    path = templates_folder() / "fonts" / "Cabin-Regular.otf"
    check = checks_of(path, cut_width_mm=0.040 * 25.4)["inner-gap"]
    assert (check.where, check.met) == ("K", False)


def test_strokes_of_shapes_of_known_width() -> None:
    assert thinnest_stroke(box(0, 0, 2, 20)) == pytest.approx(2, abs=0.02)
    cross = box(0, 9, 20, 11.5).union(box(9, 0, 12, 20))
    assert thinnest_stroke(cross) == pytest.approx(2.5, abs=0.03)
    frame = Polygon(box(0, 0, 10, 10).exterior, [box(1, 2, 8.5, 8).exterior])
    assert thinnest_stroke(frame) == pytest.approx(1, abs=0.03)
    assert smallest_counter(frame) == pytest.approx(6, abs=0.01)
    assert smallest_counter(box(0, 0, 1, 1)) is None
