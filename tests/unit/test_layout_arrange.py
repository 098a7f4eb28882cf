"""Finished layouts, measured: ADA 703.2.5, 703.2.7, 703.2.8, 703.3.2, 703.6, and a plate worked by hand."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from schedule2sign.geometry.dotgrid import block_height_mm
from schedule2sign.layout.arrange import lay_out
from schedule2sign.layout.backplate import make_back_plate
from schedule2sign.layout.gallery import sample_request
from schedule2sign.layout.template import Template, load_template, load_templates
from schedule2sign.lettering.typeface import Typeface, load_typeface
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.drawing import DrawingRules
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.shape import Build, SignLayout
from schedule2sign.model.sign import Message, Role, Side, SignRequest
from schedule2sign.model.source import Source
from schedule2sign.resources import templates_folder
from schedule2sign.rules.profile import load_profile

INCH = 25.4
DRAWING = load_profile("us-ada-2010").drawing
CALIFORNIA = load_profile("us-california").drawing
BUILD = Build(
    raised_mm=0.8382, side_deg=15, dot_shape="domed", finish="non-glare", base_color="charcoal", letter_color="white"
)
LIBERATION = Path("/usr/share/fonts/truetype/liberation/LiberationSans-Regular.ttf")


@pytest.fixture(scope="module")
def inter() -> Typeface:
    return load_typeface(templates_folder() / "fonts" / "Inter-Regular.otf")


@pytest.fixture(scope="module")
def family() -> dict[str, Template]:
    return load_templates(templates_folder() / "signs")


def ask(template: str, *texts: tuple[str, str], pictogram: str = "") -> SignRequest:
    return SignRequest(
        sign_id="T-1",
        source=Source(file="rooms.csv", sheet="", row=2),
        door="",
        room_number="",
        level="",
        name_as_given="",
        messages=tuple(Message(role=Role(role), text=text) for role, text in texts),
        template=template,
        side=Side.CORRIDOR,
        rule="test",
        reason="test",
        pictogram=pictogram,
    )


def spell(text: str) -> BrailleLine:
    """A cell for each character: long braille, so that lines must break; no translation is tested here."""
    cells = "".join("⠀" if char == " " else chr(0x2801 + ord(char) % 62) for char in text)
    return BrailleLine(text=text, cells=cells, code="test")


def make(
    request: SignRequest,
    template: Template,
    face: Typeface,
    drawing: DrawingRules = DRAWING,
    braille: Sequence[BrailleLine] | None = None,
) -> tuple[SignLayout | None, tuple[Flag, ...]]:
    lines = braille if braille is not None else [spell(message.text) for message in request.messages]
    return lay_out(request, lines, template, face, drawing, BUILD)


def lowest_ink(layout: SignLayout) -> float:
    return min(y for line in layout.lines for glyph in line.glyphs for ring in glyph.rings for _, y in ring)


def top_dot_edge(layout: SignLayout) -> float:
    return max(dot.y_mm for dot in layout.dots) + layout.cell_size.base_mm / 2


ROOMS = [
    (("number", "101"), ("name", "LOBBY")),
    (("number", "B07"), ("name", "EQUIPMENT QUEUE")),
    (("number", "3-017"), ("name", "WOMEN'S LOCKER ROOM")),
    (("number", "JQ,"), ("name", "JANITOR, Q")),
    (("number", "214A"), ("name", "DEPARTMENT OF ENVIRONMENTAL HEALTH AND SAFETY")),
    (("number", "12"), ("name", "SEÑOR ÁÉÍ ÖÜ")),
]


@pytest.mark.parametrize("drawing", [DRAWING, CALIFORNIA], ids=["federal", "california"])
@pytest.mark.parametrize("texts", ROOMS, ids=lambda texts: texts[1][1])
@pytest.mark.parametrize("style", ["signs", "signs-framed"])
def test_room_signs_by_measurement(
    inter: Typeface, style: str, texts: tuple[tuple[str, str], ...], drawing: DrawingRules
) -> None:
    template = load_templates(templates_folder() / style)["room"]
    layout, flags = make(ask("room", *texts), template, inter, drawing)
    assert layout is not None, flags
    # 703.2.5: 5/8 to 2 in, of a capital; I itself where the text has one.
    for line in layout.lines:
        assert 0.625 * INCH <= line.height_mm <= 2 * INCH
        for glyph in line.glyphs:
            if glyph.outline.char == "I":
                assert glyph.box.height_mm == pytest.approx(line.height_mm, abs=1e-6)
    # 703.2.8: 135 to 170 % baseline to baseline within one message.
    for upper, lower in pairwise(layout.lines):
        if upper.message == lower.message:
            assert 1.35 <= (upper.baseline_mm - lower.baseline_mm) / upper.height_mm <= 1.70
        else:
            clear = min(g.box.bottom_mm for g in upper.glyphs) - max(g.box.top_mm for g in lower.glyphs)
            assert clear >= 0.35 * INCH - 1e-6
    # 703.3.2 and CBC 11B-703.3.2: 3/8 to 1/2 in from the lowest ink to the top edge of the highest dot.
    assert 0.375 * INCH <= lowest_ink(layout) - top_dot_edge(layout) <= 0.5 * INCH + 1e-6
    # Everything stands on the plate; 703.2.7 and 703.3.2: 3/8 in clear of a raised border.
    clear = (0.25 + (0.0 if not layout.border else 0.1875 + 0.375 - 0.25)) * INCH
    xs = [x for line in layout.lines for glyph in line.glyphs for ring in glyph.rings for x, _ in ring]
    ys = [y for line in layout.lines for glyph in line.glyphs for ring in glyph.rings for _, y in ring]
    dots_x = [dot.x_mm for dot in layout.dots]
    radius = layout.cell_size.base_mm / 2
    assert min(*xs, min(dots_x) - radius) >= clear - 1e-6
    assert layout.width_mm - max(*xs, max(dots_x) + radius) >= clear - 1e-6
    assert layout.height_mm - max(ys) >= clear - 1e-6 or any("Á" in text for _, text in texts)
    assert layout.height_mm - max(ys) >= 0.25 * INCH
    assert min(dot.y_mm for dot in layout.dots) - radius >= clear - 1e-6
    # Centered: ink, not advance widths, has the plate's middle in its middle.
    if style == "signs":
        for line in layout.lines:
            left, right = min(g.box.left_mm for g in line.glyphs), max(g.box.right_mm for g in line.glyphs)
            assert (left + right) / 2 == pytest.approx(layout.width_mm / 2, abs=1e-6)
    # Words come whole, in order; braille repeats them line by line.
    for index, (_, text) in enumerate(texts):
        assert " ".join(line.text for line in layout.lines if line.message == index) == " ".join(text.split())
    assert " ".join(part.text for part in layout.braille) == " ".join(text for _, text in texts)


def test_a_tail_pushes_the_braille_down_and_round_letters_do_not_break_the_gap(
    inter: Typeface, family: dict[str, Template]
) -> None:
    """ADA 703.3.2 is measured from the ink: a Q or J hangs below the baseline."""
    flat, _ = make(ask("name", ("name", "HALL")), family["name"], inter)
    tail, _ = make(ask("name", ("name", "QUAY, Q")), family["name"], inter)
    assert flat is not None
    assert tail is not None
    for layout in (flat, tail):
        assert 0.375 * INCH <= lowest_ink(layout) - top_dot_edge(layout) <= 0.5 * INCH
    assert flat.lines[0].baseline_mm - top_dot_edge(flat) == pytest.approx(0.4375 * INCH)


def test_first_line_without_top_row_dots_still_stands_inside_the_window(
    inter: Typeface, family: dict[str, Template]
) -> None:
    """⠤⠂ has dots 3, 6 and 2 only: the gap is measured to the dots that are really there."""
    for cells in ("⠤", "⠂⠆", "⠄⠤⠄"):
        layout, _ = make(
            ask("name", ("name", "HALL")),
            family["name"],
            inter,
            braille=[BrailleLine(text="HALL", cells=cells, code="x")],
        )
        assert layout is not None
        assert 0.375 * INCH <= lowest_ink(layout) - top_dot_edge(layout) <= 0.5 * INCH


@pytest.mark.skipif(not LIBERATION.is_file(), reason="the face of the worked example is not installed")
@pytest.mark.parametrize(("gap_aim", "height_in"), [("3/8", 4.5), ("7/16", 4.75)])
def test_plate_worked_by_hand(tmp_path: Path, gap_aim: str, height_in: float) -> None:
    """CONFERENCE / ROOM / 101 at 5/8 in, pitch 145 %, gaps 1/8 in, margins 1/2 in, federal braille.

    Worked: text block 2.4375, braille block .6485, width 6.349 + 1.0 -> 7.50. With the gap measured to the outlines
    at its least the plate is 4.470 -> 4.50; with the house gap of 7/16 in it is 4.5235 -> 4.75. 36 dots.
    """
    heights = ", ".join(f'"{quarter / 4} in"' for quarter in range(12, 30))
    (tmp_path / "worked.toml").write_text(
        f"""title = "Worked example"
remedies = ["break-lines", "break-braille", "grow-plate"]
[plate]
widths = ["6 in", "6.5 in", "7 in", "7.5 in", "8 in"]
heights = [{heights}]
margin_side = "1/2 in"
margin_top = "1/2 in"
margin_bottom = "1/2 in"
[[text]]
role = "name"
heights = ["5/8 in"]
max_lines = 2
[[text]]
role = "number"
heights = ["5/8 in"]
clear_above = "0.28125 in"
[braille]
max_lines = 2
""",
        encoding="utf-8",
    )
    aim = {"3/8": 0.3839, "7/16": 0.4375}[gap_aim] * INCH
    drawing = replace(DRAWING, aim_gap_mm=0.125 * INCH, braille_gap_aim_mm=aim)
    braille = [
        BrailleLine(text="CONFERENCE ROOM", cells="⠒⠋⠻⠰⠑⠀⠗⠕⠕⠍", code="ueb-g2"),
        BrailleLine(text="101", cells="⠼⠁⠚⠁", code="ueb-g2"),
    ]
    request = ask("worked", ("name", "CONFERENCE ROOM"), ("number", "101"))
    layout, flags = make(request, load_template(tmp_path / "worked.toml"), load_typeface(LIBERATION), drawing, braille)
    assert layout is not None, flags
    assert [line.text for line in layout.lines] == ["CONFERENCE", "ROOM", "101"]
    baselines = [line.baseline_mm / INCH for line in layout.lines]
    assert baselines[0] - baselines[2] == pytest.approx(2 * 0.90625, abs=1e-4)
    assert block_height_mm(2, layout.cell_size) / INCH == pytest.approx(0.6485, abs=1e-4)
    assert len(layout.dots) == 36
    assert (layout.width_mm / INCH, layout.height_mm / INCH) == (pytest.approx(7.5), pytest.approx(height_in))
    span = [dot.x_mm for dot in layout.dots if dot.line == 0]
    # r-o-o-m ends in a cell whose right column is used: centers run the full 2.525 in less the empty first column.
    assert (max(span) - min(span)) / INCH <= 2.525 + 1e-6
    gap = lowest_ink(layout) - top_dot_edge(layout)
    assert gap / INCH >= 0.375
    # The 0 of 101 hangs .0089 under the baseline.
    assert baselines[2] - lowest_ink(layout) / INCH == pytest.approx(0.0089, abs=3e-4)


def test_remedies_are_used_in_order_and_said(inter: Typeface, family: dict[str, Template]) -> None:
    plain, _ = make(ask("room", ("number", "101"), ("name", "LOBBY")), family["room"], inter)
    longer, _ = make(ask("room", ("number", "101"), ("name", "CONFERENCE ROOM")), family["room"], inter)
    assert plain is not None
    assert longer is not None
    assert plain.remedies == ()
    assert longer.remedies == ("'CONFERENCE ROOM' set in 2 lines", "plate 8 x 5.5 in instead of 8 x 4.5 in")
    fixed = replace(family["room"], widths_mm=family["room"].widths_mm[:1], heights_mm=family["room"].heights_mm[:1])
    squeezed, _ = make(ask("room", ("number", "101"), ("name", "MECHANICAL ROOM")), fixed, inter)
    assert squeezed is not None
    assert any("high" in remedy for remedy in squeezed.remedies)
    assert min(line.height_mm for line in squeezed.lines) >= 0.625 * INCH - 1e-9


def test_templates_without_a_remedy_do_not_use_it(inter: Typeface, family: dict[str, Template]) -> None:
    stiff = replace(family["room"], remedies=())
    layout, flags = make(ask("room", ("number", "101"), ("name", "CONFERENCE ROOM")), stiff, inter)
    assert layout is None
    assert [(flag.code, flag.severity) for flag in flags] == [("layout/does-not-fit", Severity.HOLD)]


def test_what_does_not_fit_is_held_with_the_numbers(inter: Typeface, family: dict[str, Template]) -> None:
    layout, flags = make(ask("room", ("number", "1"), ("name", "OTORHINOLARYNGOLOGICALLY")), family["room"], inter)
    assert layout is None
    (flag,) = flags
    assert flag.severity is Severity.HOLD
    width = float(flag.measured.split()[0])
    assert width > 11.25
    assert f"'OTORHINOLARYNGOLOGICALLY' is {flag.measured}" in flag.message
    assert "12 x 8.5 in and leaves 11.25 in" in flag.message
    assert "characters a line fit" in flag.fix


def test_too_much_braille_is_held_with_the_number_of_lines(inter: Typeface, family: dict[str, Template]) -> None:
    cells = "⠀".join(["⠿" * 30] * 4)
    request = ask("name", ("name", "A BB C DD"))
    layout, flags = make(request, family["name"], inter, braille=[BrailleLine(text="A BB C DD", cells=cells, code="x")])
    assert layout is None
    assert "4 braille lines" in flags[0].message or "braille of" in flags[0].message


def test_what_no_plate_can_help_is_held(inter: Typeface, family: dict[str, Template]) -> None:
    cases = {
        "layout/missing-glyph": (ask("room", ("name", "CAFE 日")), None),
        "layout/no-field-for-message": (ask("room", ("level", "LEVEL 2")), None),
        "layout/no-braille": (ask("room", ("name", "CAFE")), [BrailleLine(text="CAFE", cells="", code="x")]),
    }
    for code, (request, braille) in cases.items():
        layout, flags = make(request, family["room"], inter, braille=braille)
        assert layout is None
        assert [flag.code for flag in flags] == [code]
        assert all(flag.severity is Severity.HOLD and flag.fix for flag in flags)
    layout, flags = make(ask("restroom", ("name", "MEN"), pictogram="mermen"), family["restroom"], inter)
    assert (layout, flags[0].code) == (None, "layout/no-pictogram")
    assert "'mermen'" in flags[0].message
    assert make(ask("room"), family["room"], inter)[0] is None
    stricter = replace(DRAWING, least_height_mm=60.0, most_height_mm=80.0)
    layout, flags = make(ask("name", ("name", "HALL")), family["name"], inter, stricter)
    assert (layout, flags[0].code) == (None, "layout/no-legal-height")


def test_pair_that_cannot_be_spaced_legally_is_held(inter: Typeface, family: dict[str, Template]) -> None:
    big = replace(family["name"], texts=(replace(family["name"].texts[0], heights_mm=(2 * INCH,)),))
    layout, flags = make(ask("name", ("name", "A'.")), big, inter)
    assert layout is None
    assert flags[0].code == "layout/gap-out-of-range"
    assert flags[0].clause == "ADA 703.2.7"


def test_pictogram_field_is_free_and_its_text_directly_below(inter: Typeface, family: dict[str, Template]) -> None:
    """ADA 703.6.1: a field 6 in high or more, no text or braille in it; 703.6.3: the text below it."""
    for name in ("men", "women", "all"):
        layout, flags = make(ask("restroom", ("name", "RESTROOM"), pictogram=name), family["restroom"], inter)
        assert layout is not None, flags
        assert layout.pictogram is not None
        field = layout.pictogram.field
        assert field.height_mm >= 6 * INCH - 1e-9
        assert max(glyph.box.top_mm for line in layout.lines for glyph in line.glyphs) < field.bottom_mm
        assert max(dot.y_mm for dot in layout.dots) < field.bottom_mm
        points = [point for ring in layout.pictogram.rings for point in ring]
        assert field.left_mm <= min(x for x, _ in points) < max(x for x, _ in points) <= field.right_mm
        assert field.bottom_mm <= min(y for _, y in points) < max(y for _, y in points) <= field.top_mm


def test_window_stands_above_or_below_never_between_text_and_braille(
    inter: Typeface, family: dict[str, Template]
) -> None:
    from schedule2sign.layout.fields import Place

    base = family["room-insert"]
    assert base.window is not None
    for place in Place:
        template = replace(base, window=replace(base.window, place=place))
        layout, flags = make(ask("room-insert", ("number", "214"), ("name", "OFFICE")), template, inter)
        assert layout is not None, flags
        assert layout.window is not None
        text_top = max(glyph.box.top_mm for line in layout.lines for glyph in line.glyphs)
        braille_bottom = min(dot.y_mm for dot in layout.dots) - layout.cell_size.base_mm / 2
        if place is Place.ABOVE:
            assert layout.window.bottom_mm - text_top >= 0.25 * INCH
        else:
            assert braille_bottom - layout.window.top_mm >= 0.25 * INCH
        assert 0 < layout.window.left_mm < layout.window.right_mm < layout.width_mm
        assert 0 < layout.window.bottom_mm < layout.window.top_mm < layout.height_mm


def test_flush_left_where_the_template_or_the_standard_says_so(inter: Typeface, family: dict[str, Template]) -> None:
    request = ask("room", ("number", "101"), ("name", "CONFERENCE ROOM"))
    for template, drawing in (
        (load_templates(templates_folder() / "signs-framed")["room"], DRAWING),
        (family["room"], replace(DRAWING, braille_align="left")),
    ):
        layout, flags = make(request, template, inter, drawing)
        assert layout is not None, flags
        lefts = [min(glyph.box.left_mm for glyph in line.glyphs) for line in layout.lines]
        assert lefts == pytest.approx([lefts[0]] * len(lefts))


def test_back_plate_has_the_signs_edge_and_nothing_else(inter: Typeface, family: dict[str, Template]) -> None:
    layout, _ = make(ask("room", ("number", "101"), ("name", "LOBBY")), family["room"], inter)
    assert layout is not None
    plate = make_back_plate(layout)
    assert (plate.width_mm, plate.height_mm, plate.corner_radius_mm) == (
        layout.width_mm,
        layout.height_mm,
        layout.corner_radius_mm,
    )
    assert (plate.lines, plate.dots, plate.holes, plate.pictogram) == ((), (), (), None)


def test_same_request_same_layout(inter: Typeface, family: dict[str, Template]) -> None:
    request = sample_request(family["room"])
    again = load_typeface(templates_folder() / "fonts" / "Inter-Regular.otf")
    first, _ = make(request, family["room"], inter)
    second, _ = make(request, family["room"], again)
    assert first is not None
    assert second is not None
    assert [glyph.rings for line in first.lines for glyph in line.glyphs] == [
        glyph.rings for line in second.lines for glyph in line.glyphs
    ]
    assert first.dots == second.dots
