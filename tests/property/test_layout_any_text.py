"""Any text either lays out inside every limit or is held with numbers; never both, never a divided word."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schedule2sign.layout.arrange import lay_out
from schedule2sign.layout.template import load_templates
from schedule2sign.lettering.typeface import load_typeface
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import Build
from schedule2sign.model.sign import Message, Role, Side, SignRequest
from schedule2sign.model.source import Source
from schedule2sign.resources import templates_folder
from schedule2sign.rules.profile import load_profile

INCH = 25.4
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789ÁÉÍÓÚÑÜÇ&-/'.,"
FACE = load_typeface(templates_folder() / "fonts" / "Inter-Regular.otf")
STYLES = {style: load_templates(templates_folder() / style) for style in ("signs", "signs-framed")}
DRAWINGS = {name: load_profile(name).drawing for name in ("us-ada-2010", "us-california")}
BUILD = Build(
    raised_mm=0.8382, side_deg=15, dot_shape="domed", finish="non-glare", base_color="charcoal", letter_color="white"
)

WORDS = st.text(alphabet=LETTERS, min_size=1, max_size=14)
NAMES = st.lists(WORDS, min_size=1, max_size=8).map(lambda words: " ".join(words)[:40].strip())
NUMBERS = st.text(alphabet="0123456789ABC-", min_size=1, max_size=6)


def request_for(template: str, number: str, name: str) -> SignRequest:
    return SignRequest(
        sign_id="P-1",
        source=Source(file="any", sheet="", row=1),
        door="",
        room_number=number,
        level="",
        name_as_given=name,
        messages=(Message(role=Role.NUMBER, text=number), Message(role=Role.NAME, text=name)),
        template=template,
        side=Side.CORRIDOR,
        rule="any",
        reason="any",
    )


def spell(text: str) -> BrailleLine:
    cells = "".join("⠀" if char == " " else chr(0x2801 + ord(char) % 62) for char in text)
    return BrailleLine(text=text, cells=cells, code="any")


@settings(max_examples=300, deadline=None)
@given(
    number=NUMBERS,
    name=NAMES,
    template=st.sampled_from(
        ["room", "suite", "utility", "room-insert", "lactation", "elevator-equipment", "exterior"]
    ),
    style=st.sampled_from(sorted(STYLES)),
    standard=st.sampled_from(sorted(DRAWINGS)),
)
def test_any_text_is_laid_out_legally_or_held_with_numbers(
    number: str, name: str, template: str, style: str, standard: str
) -> None:
    drawing = DRAWINGS[standard]
    request = request_for(template, number, name)
    braille = [spell(message.text) for message in request.messages]
    layout, flags = lay_out(request, braille, STYLES[style][template], FACE, drawing, BUILD)

    held = [flag for flag in flags if flag.severity is Severity.HOLD]
    assert (layout is None) == bool(held)
    if layout is None:
        assert all(flag.measured and flag.required for flag in held)
        assert all(any(char.isdigit() for char in flag.message) for flag in held)
        return

    # ADA 703.2.5 and the words: whole, in order, none lost, none divided.
    for index, message in enumerate(request.messages):
        lines = [line for line in layout.lines if line.message == index]
        assert [word for line in lines for word in line.text.split()] == message.text.split()
        for line in lines:
            assert 0.625 * INCH - 1e-6 <= line.height_mm <= 2 * INCH
            assert "".join(glyph.outline.char for glyph in line.glyphs) == "".join(line.text.split())

    # ADA 703.2.7: letters stand as set by eye or tight, and all gaps measured on those outlines are legal.
    for line in layout.lines:
        most = drawing.most_gap_strokes * FACE.facts.stroke_ratio * line.height_mm
        left = line.glyphs[0].x_mm
        stands = [glyph.x_mm - left for glyph in line.glyphs]
        by_eye = FACE.set_line(line.text, line.height_mm, drawing.aim_gap_mm, drawing.most_gap_strokes)
        tight = FACE.set_line(
            line.text, line.height_mm, drawing.least_gap_mm + 0.003, drawing.most_gap_strokes, by_eye=False
        )
        fitting = [way for way in (by_eye, tight) if [glyph.x_mm for glyph in way.glyphs] == pytest.approx(stands)]
        assert fitting
        assert all(drawing.least_gap_mm <= gap <= most for way in fitting[:1] for gap in way.gaps_mm)

    # ADA 703.2.8.
    for upper, lower in pairwise(layout.lines):
        if upper.message == lower.message:
            assert 1.35 <= (upper.baseline_mm - lower.baseline_mm) / upper.height_mm <= 1.70

    # ADA 703.3.2 and CBC 11B-703.3.2.
    low = min(y for line in layout.lines for glyph in line.glyphs for ring in glyph.rings for _, y in ring)
    top = max(dot.y_mm for dot in layout.dots) + layout.cell_size.base_mm / 2
    assert 0.375 * INCH <= low - top <= 0.5 * INCH + 1e-6

    # All ink on the plate; braille says every word once.
    xs = [x for line in layout.lines for glyph in line.glyphs for ring in glyph.rings for x, _ in ring]
    ys = [y for line in layout.lines for glyph in line.glyphs for ring in glyph.rings for _, y in ring]
    radius = layout.cell_size.base_mm / 2
    xs += [dot.x_mm + side for dot in layout.dots for side in (-radius, radius)]
    ys += [dot.y_mm + side for dot in layout.dots for side in (-radius, radius)]
    assert 0.25 * INCH <= min(xs) <= max(xs) <= layout.width_mm - 0.25 * INCH
    assert 0.25 * INCH <= min(ys) <= max(ys) <= layout.height_mm - 0.25 * INCH
    assert " ".join(part.text for part in layout.braille).split() == f"{number} {name}".split()
    assert "⠀".join(part.cells for part in layout.braille) == "⠀".join(line.cells for line in braille)
