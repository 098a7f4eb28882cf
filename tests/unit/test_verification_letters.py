"""Letters told from bare rings: accents, marks in two parts, lines of unlike height; and what is no such letter."""

from dataclasses import replace

import pytest

from schedule2sign.lettering.typeface import Typeface, load_typeface
from schedule2sign.model.shape import Outline, PlacedGlyph
from schedule2sign.resources import templates_folder
from schedule2sign.verification.drawing import DrawnRing, make_ring
from schedule2sign.verification.letters import compare_shape, find_lines, place_letters, split_letters
from schedule2sign.verification.parts import find_parts
from schedule2sign.verification.record import RecordedLetter, RecordedLine


class Face:
    """A typeface as an alphabet."""

    def __init__(self, typeface: Typeface) -> None:
        self.typeface = typeface
        self.facts = typeface.facts

    def missing(self, text: str) -> tuple[str, ...]:
        return self.typeface.missing(text)

    def outline(self, char: str, height_mm: float) -> Outline:
        return self.typeface.letter(char, height_mm).outline


@pytest.fixture(scope="module", params=["Inter-Regular.otf", "Lato-Regular.ttf"])
def face(request: pytest.FixtureRequest) -> Face:
    return Face(load_typeface(templates_folder() / "fonts" / request.param))


def draw(face: Face, lines: list[tuple[str, float, float]]) -> tuple[list[DrawnRing], list[RecordedLine]]:
    """Rings in no order and with no direction to trust, and the record of them. A line is text, height, baseline."""
    rings, recorded = [], []
    for text, height_mm, baseline_mm in lines:
        line = face.typeface.set_line(text, height_mm, 3.175, 4.0)
        glyphs = [PlacedGlyph(outline=g.outline, x_mm=g.x_mm, baseline_mm=baseline_mm) for g in line.glyphs]
        rings += [make_ring("RAISED_OUTLINE", tuple(reversed(ring))) for glyph in glyphs for ring in glyph.rings]
        letters = tuple(RecordedLetter(char=glyph.outline.char, box=glyph.box) for glyph in glyphs)
        recorded.append(
            RecordedLine(text=text, message=0, height_mm=height_mm, baseline_mm=baseline_mm, letters=letters)
        )
    return sorted(rings, key=lambda ring: ring.points), recorded


LINES = [
    pytest.param([("CAFÉ ÑANDÚ", 15.875, 60.0), ("À ÖÏ ÇÅ", 15.875, 35.0)], id="accents"),
    pytest.param([("2", 50.8, 60.0), ("LEVEL-2 A.B'S", 15.875, 30.0)], id="unlike heights"),
    pytest.param([("AVATAR LTJ 808", 15.875, 30.0)], id="letters that reach over each other"),
    pytest.param([("Hours: 8 to 5%", 10.0, 30.0), ("jiggle; ask!", 10.0, 14.0)], id="flat text"),
]


@pytest.mark.parametrize("lines", LINES)
def test_every_letter_is_found_with_its_height_and_baseline(face: Face, lines: list[tuple[str, float, float]]) -> None:
    rings, recorded = draw(face, lines)
    found = find_lines(find_parts(rings), len(lines))
    assert len(found) == len(lines)
    for letters, line, (_, height_mm, baseline_mm) in zip(found, recorded, lines, strict=True):
        assert [letter.box for letter in letters] == [letter.box for letter in line.letters]
        # The guess it starts from is wrong on purpose: only the drawing can tell the height.
        guess = replace(line, height_mm=height_mm * 1.02, baseline_mm=0.0)
        glyphs, measured_mm, base_mm = place_letters(letters, guess, face)
        assert (measured_mm, base_mm) == pytest.approx((height_mm, baseline_mm), abs=0.002)
        assert [compare_shape(glyph, face) for glyph in glyphs] == [""] * len(glyphs)


def test_a_mark_of_two_strokes_side_by_side_is_one_character(face: Face) -> None:
    rings, (line,) = draw(face, [('A "B" C', 15.875, 30.0)])
    (letters,) = find_lines(find_parts(rings), 1)
    assert len(letters) > len(line.letters)
    again = split_letters(letters, line, face)
    assert [letter.box for letter in again] == [letter.box for letter in line.letters]


@pytest.mark.parametrize(("drawn", "said"), [("O", "D"), ("8", "B"), ("E", "F"), ("Q", "O"), ("I", "L")])
def test_a_letter_that_is_another_is_told(face: Face, drawn: str, said: str) -> None:
    outline = replace(face.outline(drawn, 15.875), char=said)
    assert compare_shape(PlacedGlyph(outline=outline, x_mm=5.0, baseline_mm=9.0), face)


def test_a_mirrored_letter_is_told(face: Face) -> None:
    outline = face.outline("N", 15.875)
    width = outline.box.right_mm
    mirrored = replace(outline, rings=tuple(tuple((width - x, y) for x, y in ring) for ring in outline.rings))
    assert "leaves the font's" in compare_shape(PlacedGlyph(outline=mirrored, x_mm=0.0, baseline_mm=0.0), face)
    assert compare_shape(PlacedGlyph(outline=outline, x_mm=0.0, baseline_mm=0.0), face) == ""


def test_a_border_holds_parts_and_a_letter_does_not(face: Face) -> None:
    rings, _ = draw(face, [("BO", 15.875, 20.0)])

    def frame(inset: float) -> DrawnRing:
        low, high = -20.0 + inset, 80.0 - inset
        return make_ring("RAISED_OUTLINE", ((low, low), (high, low), (high, high), (low, high)))

    parts = find_parts([*rings, frame(0.0), frame(2.0)])
    assert [(part.holds, len(part.counters)) for part in parts] == [(True, 1), (False, 2), (False, 1)]
