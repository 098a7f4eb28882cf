"""Fields besides text and braille, measured on the finished layout: star, rule line, flat text, odd plates, fixing."""

import math
from itertools import pairwise
from pathlib import Path

import pytest
from shapely.geometry import Point, Polygon

from schedule2sign.geometry.design import design_hash
from schedule2sign.layout.arrange import STAR, lay_out
from schedule2sign.layout.gallery import sample_request
from schedule2sign.layout.template import Template, load_template, load_templates
from schedule2sign.lettering.typeface import Typeface, load_typeface
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.flag import Flag
from schedule2sign.model.shape import Build, SignLayout
from schedule2sign.model.sign import Role
from schedule2sign.resources import templates_folder
from schedule2sign.rules.profile import load_profile

INCH = 25.4
SIGNS = templates_folder() / "signs"
FAMILY = load_templates(SIGNS, standard="us-california")
DRAWING = load_profile("us-california").drawing
BUILD = Build(
    raised_mm=0.8382, side_deg=15, dot_shape="domed", finish="non-glare", base_color="charcoal", letter_color="white",
    base_reflectance=8.0, letter_reflectance=85.0,
)  # fmt: skip
ROOM = """title = "A room"
remedies = ["break-lines", "grow-plate"]
[plate]
widths = ["8 in", "10 in"]
heights = ["5 in", "6 in", "7 in", "8 in"]
margin_side = "1/2 in"
margin_top = "1/2 in"
margin_bottom = "1/2 in"
[[text]]
role = "number"
heights = ["1 in"]
[[text]]
role = "name"
heights = ["5/8 in"]
[braille]
max_lines = 3
"""


@pytest.fixture(scope="module")
def face() -> Typeface:
    return load_typeface(templates_folder() / "fonts" / "Inter-Regular.otf")


def spell(text: str) -> BrailleLine:
    cells = "".join("⠀" if char == " " else chr(0x2801 + ord(char) % 31) for char in text)
    return BrailleLine(text=text, cells=cells, code="any")


def draw(
    template: Template, face: Typeface, texts: dict[Role, str] | None = None, pictogram: str = "", insert: str = ""
) -> tuple[SignLayout | None, tuple[Flag, ...]]:
    request = sample_request(template, texts, pictogram, insert)
    return lay_out(request, [spell(message.text) for message in request.messages], template, face, DRAWING, BUILD)


def made(template: Template, face: Typeface, **said: object) -> SignLayout:
    layout, flags = draw(template, face, **said)  # type: ignore[arg-type]
    assert layout is not None, flags
    return layout


def mine(tmp_path: Path, more: str, text: str = ROOM) -> Template:
    file = tmp_path / "mine.toml"
    file.write_text(text + more, encoding="utf-8")
    return load_template(file)


@pytest.mark.parametrize("style", ["signs", "signs-framed"])
def test_star_stands_left_of_the_level_as_high_as_its_characters(face: Typeface, style: str) -> None:
    """CBC 1023.9 and 11B-504.8: a raised five-point star left of the floor's name, outside diameter the characters'."""
    template = load_templates(templates_folder() / style, standard="us-california")["stair-level"]
    layout = made(template, face, pictogram=STAR)
    (star,) = [ring for ring in layout.border if len(ring) == 10]
    line = layout.lines[0]
    points = star[::2]
    middle = Polygon(points).centroid
    assert {round(2 * middle.distance(Point(point)), 6) for point in points} == {round(line.height_mm, 6)}
    sides = [math.dist(a, b) for a, b in pairwise((*points, points[0]))]
    assert max(sides) == pytest.approx(min(sides))
    assert max(x for x, _ in star) < min(glyph.box.left_mm for glyph in line.glyphs) - 0.375 * INCH  # 703.2.7
    assert line.baseline_mm <= min(y for _, y in star) < max(y for _, y in star) <= line.baseline_mm + line.height_mm
    assert min(x for x, _ in star) >= 0.25 * INCH


def test_star_is_drawn_only_where_it_is_asked_for_and_held_where_the_template_has_none(face: Typeface) -> None:
    assert made(FAMILY["stair-level"], face).border == ()
    plain = load_templates(SIGNS, standard="us-ada-2010")["stair-level"]
    layout, flags = draw(plain, face, pictogram=STAR)
    assert layout is None
    assert [flag.code for flag in flags] == ["layout/no-star"]


def test_rule_line_is_clear_of_the_text_on_both_sides(tmp_path: Path, face: Typeface) -> None:
    template = mine(tmp_path, '[rule_line]\nover = "name"\nline = "1/32 in"\nwidth = "4 in"\n')
    layout = made(template, face, texts={Role.NUMBER: "Q10", Role.NAME: "ÁREA"})
    ((left, low), _, (right, high), _) = layout.border[0]
    assert (right - left, high - low) == (pytest.approx(4 * INCH), pytest.approx(INCH / 32))
    number, name = layout.lines
    over = min(y for glyph in number.glyphs for ring in glyph.rings for _, y in ring) - high
    under = low - max(y for glyph in name.glyphs for ring in glyph.rings for _, y in ring)
    assert over == pytest.approx(under)
    assert min(over, under) >= 0.375 * INCH  # ADA 703.2.7, raised decoration
    assert made(template, face, texts={Role.NAME: "OFFICE"}).border == ()  # no line over the first message


def test_spacer_keeps_a_band_of_plate_empty(tmp_path: Path, face: Typeface) -> None:
    plain = made(mine(tmp_path, ""), face, texts={Role.NUMBER: "101", Role.NAME: "OFFICE"})
    template = mine(tmp_path, '[[spacer]]\nheight = "2 in"\nplace = "above"\n')
    layout = made(template, face, texts={Role.NUMBER: "101", Role.NAME: "OFFICE"})
    top = max(glyph.box.top_mm for line in layout.lines for glyph in line.glyphs)
    assert layout.height_mm - top >= 2.5 * INCH
    assert layout.height_mm > plain.height_mm


def test_flat_text_keeps_its_lines_and_has_no_braille(face: Typeface) -> None:
    layout = made(FAMILY["occupant-load"], face, insert="MAXIMUM OCCUPANCY\n120")
    assert (layout.lines, layout.braille, layout.dots) == ((), (), ())
    assert [line.text for line in layout.visual][-1] == "120"
    assert " ".join(line.text for line in layout.visual) == "MAXIMUM OCCUPANCY 120"
    pitches = [a.baseline_mm - b.baseline_mm for a, b in pairwise(layout.visual)]
    assert all(1.35 <= pitch / layout.visual[0].height_mm <= 1.70 for pitch in pitches)  # ADA 703.5.9
    for line in layout.visual:
        shapes = [Polygon(glyph.rings[0]) for glyph in line.glyphs]
        gaps = [a.distance(b) / line.height_mm for a, b in pairwise(shapes)]
        assert all(gap >= 0.10 for gap in gaps)  # ADA 703.5.8
        assert " " in line.text or all(gap <= 0.35 for gap in gaps)  # its maximum is for letters, not word spaces
        assert line.height_mm >= 0.625 * INCH  # ADA Table 703.5.5


def test_flat_text_that_is_missing_or_too_long_is_held_with_the_reason(tmp_path: Path, face: Typeface) -> None:
    text = '[visual]\nheights = ["1 in"]\nmax_lines = 2\n'
    head = ROOM.split("[[text]]")[0]
    template = mine(tmp_path, text, head)
    assert [flag.code for flag in draw(template, face)[1]] == ["layout/no-visual-text"]
    layout, flags = draw(template, face, insert="OPEN\nMONDAY\nFRIDAY")
    assert layout is None
    assert "3 lines of flat text" in flags[0].message
    layout, flags = draw(template, face, insert="ADMINISTRATION")
    assert layout is None
    assert "'ADMINISTRATION' is" in flags[0].message
    assert [flag.code for flag in draw(template, face, insert="漢")[1]] == ["layout/missing-glyph"]


def test_door_symbols_have_the_sizes_of_the_code(face: Typeface) -> None:
    """CBC 11B-703.7.2.6.1 to .3 (second hand), vertex radius 1/8 in (from memory)."""
    triangle = made(FAMILY["door-men"], face).outline
    sides = Polygon(triangle)
    # The straight sides, extended, meet 12 in apart: rounding takes r * sqrt(3) off each end.
    straight = max(math.dist(a, b) for a, b in pairwise(triangle))
    assert straight + 2 * math.sqrt(3) * 0.125 * INCH == pytest.approx(12 * INCH, abs=0.01)
    assert max(triangle, key=lambda point: point[1])[0] == pytest.approx(6 * INCH)  # point up
    assert sides.exterior.is_ccw
    circle = Polygon(made(FAMILY["door-women"], face).outline)
    assert 2 * math.sqrt(circle.area / math.pi) == pytest.approx(12 * INCH, rel=1e-4)
    both = made(FAMILY["door-all"], face)
    (laid,) = both.border
    reach = [math.dist(point, (6 * INCH, 6 * INCH)) for point in laid]
    assert 0 <= 6 * INCH - max(reach) <= 0.25 * INCH
    assert Polygon(laid).within(Polygon(both.outline))


def test_colors_of_a_template_stand_over_the_jobs_and_drop_its_reflectance(tmp_path: Path, face: Typeface) -> None:
    layout = made(mine(tmp_path, '[colors]\nbase = "red"\n'), face, texts={Role.NUMBER: "1", Role.NAME: "EXIT"})
    assert (layout.build.base_color, layout.build.base_reflectance) == ("red", None)
    assert (layout.build.letter_color, layout.build.letter_reflectance) == ("white", 85.0)


@pytest.mark.parametrize(
    ("kind", "cap", "holes"), [("screws", "3/8 in", 4), ("standoffs", "3/4 in", 4), ("tape", "", 0)]
)
def test_text_keeps_clear_of_what_covers_the_holes(
    tmp_path: Path, face: Typeface, kind: str, cap: str, holes: int
) -> None:
    more = f'[fixing]\nkind = "{kind}"\n' + (f'inset = "1/2 in"\ndiameter = "1/4 in"\ncap = "{cap}"\n' if holes else "")
    layout = made(mine(tmp_path, more), face, texts={Role.NUMBER: "1234", Role.NAME: "CONFERENCE"})
    assert (layout.fixing, len(layout.holes)) == (kind, holes)
    for hole in layout.holes:
        middle = Point(hole.x_mm, hole.y_mm)
        near = min(middle.distance(Polygon(g.rings[0])) for line in layout.lines for g in line.glyphs)
        covered = {"3/8 in": 0.1875, "3/4 in": 0.375}[cap] * INCH
        assert near - covered >= 0.25 * INCH


def test_what_is_new_on_a_plate_changes_its_design(face: Typeface) -> None:
    bare, star = (design_hash(made(FAMILY["stair-level"], face, pictogram=name)) for name in ("", STAR))
    assert bare != star
    load = FAMILY["occupant-load"]
    assert design_hash(made(load, face, insert="MAXIMUM 120")) != design_hash(made(load, face, insert="MAXIMUM 121"))
    assert len({design_hash(made(FAMILY[name], face)) for name in ("door-men", "door-women", "door-all")}) == 3
