"""How words look once set: against the type designer's own widths, the same color at every size, marks not drawn in."""

from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from shapely.geometry import Polygon

from schedule2sign.geometry.rings import ring_area, sharpen_notches
from schedule2sign.lettering.strokes import thinnest_stroke
from schedule2sign.lettering.typeface import Typeface, load_typeface
from schedule2sign.model.shape import SetLine
from schedule2sign.resources import templates_folder

INCH = 25.4
AIM_MM, MOST_STROKES = 0.130 * INCH, 4.0
FONTS = sorted((templates_folder() / "fonts").glob("*.[ot]tf"))
WORDS = ("CONFERENCE", "MECHANICAL", "RESTROOM", "EXIT", "STAIR", "HALL", "LIBRARY", "WAITING", "TAVERN", "1234567890")


@cache
def face_of(path: Path) -> Typeface:
    return load_typeface(path)


def set_word(path: Path, word: str, height_in: float) -> SetLine:
    return face_of(path).set_line(word, height_in * INCH, AIM_MM, MOST_STROKES)


def advance_width_mm(path: Path, word: str, height_mm: float) -> float:
    """Ink width of a word at the font's own advances (hmtx), as fontTools reads them, without kerning."""
    font = TTFont(path)
    names, glyphs, advances = font.getBestCmap(), font.getGlyphSet(), font["hmtx"]

    def bounds(char: str) -> tuple[float, float, float, float]:
        pen = BoundsPen(glyphs)
        glyphs[names[ord(char)]].draw(pen)
        return pen.bounds

    total = sum(advances[names[ord(char)]][0] for char in word[:-1]) - bounds(word[0])[0] + bounds(word[-1])[2]
    return total * height_mm / (bounds("I")[3] - bounds("I")[1])


@pytest.mark.parametrize("path", FONTS, ids=lambda path: path.stem)
def test_large_words_are_about_as_wide_as_the_type_designer_set_them(path: Path) -> None:
    """At 2 in no legal minimum is near; spacing from outlines alone lands within 8 % of the font's advances."""
    for word in WORDS:
        assert set_word(path, word, 2).width_mm == pytest.approx(advance_width_mm(path, word, 2 * INCH), rel=0.08), word


@pytest.mark.parametrize("path", FONTS, ids=lambda path: path.stem)
def test_a_number_and_a_name_have_one_color(path: Path) -> None:
    """Spacing in shares of the height is the same at 1 and 2 in, and at most 9 % wider where the legal 1/8 in is a fifth of it."""
    for word in WORDS:
        small, middle, large = (set_word(path, word, height).width_mm / height for height in (0.625, 1, 2))
        assert middle == pytest.approx(large, rel=0.005)
        assert middle * 0.995 <= small <= middle * 1.09, word


@pytest.mark.parametrize("height_in", [0.625, 1, 2])
@pytest.mark.parametrize("path", FONTS, ids=lambda path: path.stem)
def test_hyphens_and_slashes_are_not_drawn_into_their_neighbors(path: Path, height_in: float) -> None:
    for text in ("2-104", "A-101", "1-1", "L-7", "CO-OP"):
        line = set_word(path, text, height_in)
        at = text.index("-")
        hyphen = line.glyphs[at].box
        # The white on both sides is alike: a hyphen stands in the middle of its gap, no letter stands over it.
        assert line.gaps_mm[at - 1] >= 0.15 * height_in * INCH - 0.01
        assert line.glyphs[at - 1].box.right_mm < hyphen.left_mm + 0.02 * height_in * INCH, text
        assert hyphen.right_mm < line.glyphs[at + 1].box.left_mm + 0.02 * height_in * INCH, text
    for text in ("101/102", "COPY/MAIL"):
        line = set_word(path, text, height_in)
        at = text.index("/")
        assert min(line.gaps_mm[at - 1 : at + 1]) >= 0.235 * height_in * INCH, text


def test_hyphen_between_two_round_letters_stands_in_the_middle() -> None:
    line = set_word(FONTS[1], "O-O", 1)
    assert line.gaps_mm[0] == pytest.approx(line.gaps_mm[1], abs=0.02)


def test_inner_corners_have_no_burrs() -> None:
    """The default font's 1, 2, 4 and 7 have steps of about 0.004 in where two strokes meet; they are not cut."""
    face = face_of(templates_folder() / "fonts" / "Inter-Regular.otf")
    for char in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789":
        letter = face.letter(char, 0.625 * INCH)
        for ring in letter.outline.rings:
            assert sharpen_notches(ring, 0.008 * 0.625 * INCH) == ring
            assert Polygon(ring).is_valid
    one = face.letter("1", 0.625 * INCH).outline
    assert len(one.rings[0]) == 7


def test_a_notch_is_drawn_to_its_point_and_nothing_else_is_touched() -> None:
    # An L whose inner corner is cut by a step of 0.1; counter-clockwise.
    step = ((0.0, 0.0), (10.0, 0.0), (10.0, 2.0), (2.1, 2.0), (2.0, 2.1), (2.0, 10.0), (0.0, 10.0))
    sharp = sharpen_notches(step, 0.2)
    assert sharp == ((0.0, 0.0), (10.0, 0.0), (10.0, 2.0), pytest.approx((2.0, 2.0)), (2.0, 10.0), (0.0, 10.0))
    assert ring_area(sharp) == pytest.approx(ring_area(step) - 0.005)
    assert sharpen_notches(step, 0.1) == step  # a step of 0.141 is longer
    outer = ((0.0, 0.0), (9.9, 0.0), (10.0, 0.1), (10.0, 10.0), (0.0, 10.0))
    assert sharpen_notches(outer, 0.2) == outer  # a chamfered outer corner is the designer's own
    circle = tuple(reversed(face_of(FONTS[0]).letter("O", 20).outline.rings[1]))
    assert sharpen_notches(circle, 0.5) == circle


def test_strokes_stay_as_thick_as_the_font_draws_them() -> None:
    """Closing burrs takes nothing off a stroke that a rule measures."""
    path = templates_folder() / "fonts" / "Inter-Regular.otf"
    face = face_of(path)
    for char in "1247WX":
        shape = face.letter(char, INCH).shape
        assert thinnest_stroke(shape) >= 0.95 * face.facts.stroke_ratio * INCH * 0.85, char


def test_gaps_of_every_line_are_the_gaps_of_its_outlines() -> None:
    line = set_word(FONTS[0], "101/102", 1)
    shapes = [Polygon(glyph.rings[0]) for glyph in line.glyphs]
    assert [a.distance(b) for a, b in pairwise(shapes)] == pytest.approx(line.gaps_mm, abs=1e-6)
