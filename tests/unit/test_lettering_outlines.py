"""Outlines, measured font facts and letter gaps, against fontTools' own data, brute-force distances and measured words."""

import math
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont

from schedule2sign.errors import InputError
from schedule2sign.geometry.curves import circle_points, flatten_cubic, flatten_quadratic
from schedule2sign.geometry.rings import ring_area
from schedule2sign.lettering.typeface import Typeface, load_typeface
from schedule2sign.model.shape import PlacedGlyph, SetLine
from schedule2sign.resources import templates_folder

INCH = 25.4
LEAST, AIM = 0.125 * INCH, 0.130 * INCH  # ADA 703.2.7; aim: common practice, no source
STROKES = 4.0  # ADA 703.2.7
HEIGHT = 0.625 * INCH  # ADA 703.2.5
FONTS = sorted(path for path in (templates_folder() / "fonts").iterdir() if path.suffix in (".otf", ".ttf"))
ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789&"
WORDS = (
    "CONFERENCE", "MECHANICAL", "LTAVWA", "TATAVLA", "WOMEN'S", "A/V", "1-2", "J.", "ÑANDÚ", "QUAY", "EQ.", "101A",
    "B&B", "F.A.T", "77", "OOO", "HIH",
)  # fmt: skip


@pytest.fixture(scope="module", params=FONTS, ids=lambda path: path.stem)
def face(request: pytest.FixtureRequest) -> Typeface:
    return load_typeface(request.param)


@pytest.fixture(scope="module")
def inter() -> Typeface:
    return load_typeface(templates_folder() / "fonts" / "Inter-Regular.otf")


@lru_cache(maxsize=8)
def open_raw(path: Path) -> tuple[TTFont, dict, object]:
    font = TTFont(path)
    return font, font.getBestCmap(), font.getGlyphSet()


def bounds_of(path: Path, char: str) -> tuple[float, float, float, float]:
    _, names, glyphs = open_raw(path)
    pen = BoundsPen(glyphs)
    glyphs[names[ord(char)]].draw(pen)
    return pen.bounds


def brute_distance(a: PlacedGlyph, b: PlacedGlyph, step_mm: float = 0.04) -> float:
    """Least distance of two outlines between points a step apart; no geometry library."""
    first, second = points_of(a, step_mm), points_of(b, step_mm)
    dx = first[:, 0][:, None] - second[:, 0][None, :]
    dy = first[:, 1][:, None] - second[:, 1][None, :]
    return math.sqrt(float(np.min(dx * dx + dy * dy)))


def points_of(glyph: PlacedGlyph, step_mm: float) -> np.ndarray:
    points = []
    for ring in glyph.rings:
        for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True):
            count = max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / step_mm))
            points += [(x0 + (x1 - x0) * i / count, y0 + (y1 - y0) * i / count) for i in range(count)]
    return np.array(points)


def neighbors(line: SetLine) -> list[tuple[PlacedGlyph, PlacedGlyph]]:
    return [pair for first, end in line.words for pair in pairwise(line.glyphs[first:end])]


@pytest.mark.parametrize("path", FONTS, ids=lambda path: path.stem)
def test_facts_agree_with_font_tools_own_bounds(path: Path) -> None:
    left, bottom, right, top = bounds_of(path, "I")
    o_left, _, o_right, _ = bounds_of(path, "O")
    facts = load_typeface(path).facts
    assert facts.stroke_ratio == pytest.approx((right - left) / (top - bottom), abs=1e-6)
    assert facts.o_ratio == pytest.approx((o_right - o_left) / (top - bottom), abs=1e-3)


def test_outlines_are_as_large_as_the_fonts_own_bounds(face: Typeface) -> None:
    path = next(path for path in FONTS if path.name == face.facts.file)
    _, i_bottom, _, i_top = bounds_of(path, "I")
    for char in ALPHABET:
        left, bottom, right, top = (value * HEIGHT / (i_top - i_bottom) for value in bounds_of(path, char))
        box = face.letter(char, HEIGHT).outline.box
        assert box.left_mm == pytest.approx(0, abs=1e-9)
        assert box.width_mm == pytest.approx(right - left, abs=0.0005 * INCH), char
        assert (box.bottom_mm, box.top_mm) == pytest.approx((bottom, top), abs=0.0005 * INCH), char


@pytest.mark.parametrize("height_in", [0.625, 2.0])
def test_rings_run_outside_left_counters_right_and_have_no_zero_segment(face: Typeface, height_in: float) -> None:
    in_two_parts = {"Cabin-Regular.otf": "K"}  # its arms stand off the stem
    counters = dict.fromkeys("ADOPQR0469", 1) | dict.fromkeys("B8&", 2) | dict.fromkeys("CEFGHIJKLMNSTUVWXYZ12357", 0)
    for char, count in counters.items():
        if face.facts.file == "Lato-Regular.ttf" and char == "&":
            continue  # drawn open, with one counter
        rings = face.letter(char, height_in * INCH).outline.rings
        parts = 2 if char in in_two_parts.get(face.facts.file, "") else 1
        assert [ring_area(ring) > 0 for ring in rings] == [True] * parts + [False] * count, char
        for ring in rings:
            lengths = [math.dist(a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)]
            assert min(lengths) > 1e-6, char


@pytest.mark.parametrize("height_in", [0.625, 2.0])
def test_chords_stay_within_half_a_thousandth_of_the_curve(face: Typeface, height_in: float) -> None:
    """Every point of the font's own curves lies within 0.0005 in of the flattened outline."""
    path = next(path for path in FONTS if path.name == face.facts.file)
    _, names, glyphs = open_raw(path)
    _, i_bottom, _, i_top = bounds_of(path, "I")
    scale = height_in * INCH / (i_top - i_bottom)
    for char in "OS8&":
        pen = DecomposingRecordingPen(glyphs)
        glyphs[names[ord(char)]].draw(pen)
        left = bounds_of(path, char)[0]
        rings = face.letter(char, height_in * INCH).outline.rings
        for x, y in curve_points(pen.value):
            point = ((x - left) * scale, y * scale)
            off = min(
                segment_distance(point, a, b) for ring in rings for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)
            )
            assert off <= 0.0005 * INCH + 1e-6, (char, off / INCH)


def curve_points(recorded: list[tuple[str, tuple]]) -> list[tuple[float, float]]:
    """Seven points on each cubic or quadratic segment, by de Casteljau."""
    found, at = [], (0.0, 0.0)
    for operator, points in recorded:
        if operator == "curveTo":
            found += [casteljau([at, *points], i / 8) for i in range(1, 8)]
        elif operator == "qCurveTo":
            controls = list(points[:-1])
            for index, control in enumerate(controls):
                last = index == len(controls) - 1
                end = points[-1] if last else tuple((control[k] + controls[index + 1][k]) / 2 for k in (0, 1))
                found += [casteljau([at, control, end], i / 8) for i in range(1, 8)]
                at = end
        if points:
            at = points[-1]
    return found


def casteljau(points: list, t: float) -> tuple[float, float]:
    while len(points) > 1:
        points = [tuple(a[k] + (b[k] - a[k]) * t for k in (0, 1)) for a, b in pairwise(points)]
    return points[0]


def segment_distance(p: tuple, a: tuple, b: tuple) -> float:
    ux, uy = b[0] - a[0], b[1] - a[1]
    t = max(0.0, min(1.0, ((p[0] - a[0]) * ux + (p[1] - a[1]) * uy) / (ux * ux + uy * uy)))
    return math.dist(p, (a[0] + t * ux, a[1] + t * uy))


@pytest.mark.parametrize("word", WORDS)
def test_gaps_are_inside_the_legal_window_by_brute_force(inter: Typeface, word: str) -> None:
    """ADA 703.2.7: 1/8 in to 4 strokes between the two closest points, here from sampled points alone."""
    line = inter.set_line(word, HEIGHT, AIM, STROKES)
    most = STROKES * inter.facts.stroke_ratio * HEIGHT
    for (a, b), told in zip(neighbors(line), line.gaps_mm, strict=True):
        found = brute_distance(a, b)
        assert found == pytest.approx(told, abs=0.003), (word, a.outline.char, b.outline.char)
        assert AIM - 1e-6 <= told <= most
        assert LEAST <= found <= most + 0.003


@pytest.mark.parametrize("height_in", [0.625, 0.75, 1.0, 2.0])
def test_every_pair_of_capitals_and_digits_is_legal(face: Typeface, height_in: float) -> None:
    height = height_in * INCH
    most = STROKES * face.facts.stroke_ratio * height
    for first in ALPHABET:
        word = "".join(first + second for second in ALPHABET)
        for gap in face.set_line(word, height, AIM, STROKES).gaps_mm:
            assert AIM - 1e-6 <= gap <= most


def test_no_letter_comes_near_one_further_back(inter: Typeface) -> None:
    """T.T: the arms would meet over the period if only neighbors were looked at."""
    for word in ("T.T.T", "F.F", "P.P", "A'A", "L'L", "V.V", "7.7"):
        glyphs = inter.set_line(word, HEIGHT, AIM, STROKES).glyphs
        for index in range(len(glyphs) - 2):
            assert brute_distance(glyphs[index], glyphs[index + 2]) >= LEAST, word


def test_straight_stems_stand_ten_percent_further_apart_or_as_in_the_font(inter: Typeface) -> None:
    small = inter.set_line("HIH", HEIGHT, AIM, STROKES)
    large = inter.set_line("HHH", 2 * INCH, AIM, STROKES)
    assert min(small.gaps_mm) >= 1.1 * AIM - 1e-4
    font, names, _ = open_raw(templates_folder() / "fonts" / "Inter-Regular.otf")
    left, bottom, right, top = bounds_of(templates_folder() / "fonts" / "Inter-Regular.otf", "H")
    advance = font["hmtx"][names[ord("H")]][0]
    # Three H at the font's own advance: two advances and the width of one.
    wanted = (2 * advance + right - left) * 2 * INCH / (top - bottom)
    assert large.width_mm == pytest.approx(wanted, abs=0.05)


def test_nothing_is_set_closer_or_looser_by_the_words_around(inter: Typeface) -> None:
    alone = inter.set_line("ROOM", HEIGHT, AIM, STROKES)
    line = inter.set_line("STAFF ROOM", HEIGHT, AIM, STROKES)
    first, end = line.words[1]
    shift = line.glyphs[first].x_mm
    assert [g.x_mm - shift for g in line.glyphs[first:end]] == pytest.approx([g.x_mm for g in alone.glyphs])


@pytest.mark.parametrize("height_in", [0.625, 1.0])
def test_word_space_is_wide_enough_to_feel(inter: Typeface, height_in: float) -> None:
    """0.55 of the height edge to edge, never under 2.5 gaps: common practice, no source."""
    line = inter.set_line("A B", height_in * INCH, AIM, STROKES)
    a, b = line.glyphs
    space = b.box.left_mm - a.box.right_mm
    assert space == pytest.approx(max(0.55 * height_in * INCH, 2.5 * AIM))
    assert line.width_mm == pytest.approx(b.box.right_mm)


def test_empty_glyphs_and_unmapped_characters_are_missing(inter: Typeface) -> None:
    assert inter.missing("ROOM 日Q日​") == ("日", "​")
    assert inter.missing("ÁÉÍÓÚÑÜ & - / ' . ,") == ()


def test_pair_that_cannot_come_near_is_reported_not_hidden(inter: Typeface) -> None:
    """At 2 in an apostrophe and a period are further apart than 4 strokes however they are moved."""
    line = inter.set_line("'.", 2 * INCH, AIM, STROKES)
    assert line.gaps_mm[0] > STROKES * inter.facts.stroke_ratio * 2 * INCH


@pytest.mark.parametrize("data", [b"", b"not a font", b"OTTO" + bytes(40)])
def test_what_is_no_font_is_one_clear_message(tmp_path: Path, data: bytes) -> None:
    file = tmp_path / "broken.otf"
    file.write_bytes(data)
    with pytest.raises(InputError, match=r"Font broken\.otf cannot be used"):
        load_typeface(file)


def test_flattening_of_curves_with_known_error() -> None:
    """A quarter circle of radius 1 as one cubic (kappa 0.5523) departs from the circle by under 0.0003."""
    kappa = 0.5522847498
    for error in (0.01, 0.001, 0.0001):
        points = [(1.0, 0.0), *flatten_cubic((1, 0), (1, kappa), (kappa, 1), (0, 1), error)]
        sagitta = max(1 - math.hypot((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(points))
        assert sagitta <= error + 3e-4
        parabola = [(0.0, 0.0), *flatten_quadratic((0, 0), (1, 2), (2, 0), error)]  # y = 2x - x^2
        bulge = max(2 * (a[0] + b[0]) / 2 - ((a[0] + b[0]) / 2) ** 2 - (a[1] + b[1]) / 2 for a, b in pairwise(parabola))
        assert 0 < bulge <= error * 1.0001
        ring = circle_points((0, 0), 1, error)
        assert math.cos(math.pi / len(ring)) >= 1 - error


LIBERATION = Path("/usr/share/fonts/truetype/liberation/LiberationSans-Regular.ttf")


@pytest.mark.skipif(not LIBERATION.is_file(), reason="the measured face is not installed")
@pytest.mark.parametrize(
    ("word", "width_in"),
    [
        ("CONFERENCE", 6.349),
        ("MECHANICAL", 5.982),
        ("RESTROOM", 5.246),
        ("EXIT", 2.032),
        ("STAIR", 2.519),
        ("101", 1.398),
        ("TATAVLA", 3.699),
    ],
)
def test_widths_when_every_gap_is_an_eighth(word: str, width_in: float) -> None:
    """Widths measured once with another program on this face at 5/8 in, every gap exactly 1/8 in."""
    line = load_typeface(LIBERATION).set_line(word, HEIGHT, LEAST, STROKES, by_eye=False)
    assert line.gaps_mm == pytest.approx([LEAST] * (len(word) - 1), abs=2e-4)
    assert line.width_mm / INCH == pytest.approx(width_in, abs=1.5e-3)
