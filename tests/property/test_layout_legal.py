"""Any message lays out inside the standard, measured again on the result, or is held with numbers; never both."""

from math import dist

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schedule2sign.layout.arrange import lay_out
from schedule2sign.layout.template import load_templates
from schedule2sign.lettering.typeface import load_typeface
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import Build, SignLayout
from schedule2sign.model.sign import Message, Role, Side, SignRequest
from schedule2sign.model.source import Source
from schedule2sign.resources import templates_folder
from schedule2sign.rules.profile import load_profile

INCH_MM = 25.4
TEMPLATES = load_templates(templates_folder() / "signs")
SETTER = load_typeface(templates_folder() / "fonts" / "Inter-Regular.otf")
BUILD = Build(raised_mm=0.84, side_deg=15, dot_shape="domed", finish="non-glare", base_color="a", letter_color="b")
WORDS = st.text(alphabet="ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-'&", min_size=1, max_size=14)
NAMES = st.lists(WORDS, min_size=1, max_size=5).map(" ".join).filter(lambda text: len(text) <= 40)


def arrange(name: str, profile_id: str = "us-ada-2010"):
    messages = (Message(role=Role.NUMBER, text="101"), Message(role=Role.NAME, text=name))
    request = SignRequest(
        sign_id="A", source=Source(file="a", sheet="", row=1), door="", room_number="101", level="", name_as_given=name,
        messages=messages, template="room", side=Side.CORRIDOR, rule="R1", reason="",
    )  # fmt: skip
    # A full cell for each character: as wide as braille can get.
    braille = [
        BrailleLine(
            text=message.text, cells=message.text.replace(" ", "\u2800").translate(_FULL), code="ueb-contracted"
        )
        for message in messages
    ]
    return lay_out(request, braille, TEMPLATES["room"], SETTER, load_profile(profile_id).drawing, BUILD)


_FULL = dict.fromkeys(range(33, 127), "⠿")


@pytest.mark.parametrize("profile_id", ["us-ada-2010", "us-california"])
@given(name=NAMES)
@settings(max_examples=25, deadline=None)
def test_a_layout_is_legal_or_held(profile_id: str, name: str) -> None:
    layout, flags = arrange(name, profile_id)
    if layout is None:
        assert any(flag.severity is Severity.HOLD for flag in flags)
        return
    assert " ".join(line.text for line in layout.lines).split() == ["101", *name.split()]  # no word divided or lost
    assert " ".join(line.text for line in layout.braille).split() == ["101", *name.split()]
    for line in layout.lines:
        assert line.height_mm >= 0.625 * INCH_MM - 1e-6  # ADA 2010 703.2.5
    _gaps_are_legal(layout)
    radius = layout.cell_size.base_mm / 2
    top = max(dot.y_mm for dot in layout.dots) + radius
    lowest = min(y for line in layout.lines for glyph in line.glyphs for ring in glyph.rings for _, y in ring)
    assert lowest - top >= 0.375 * INCH_MM - 1e-6  # ADA 2010 703.3.2
    assert lowest - top <= 0.5 * INCH_MM + 1e-6  # CBC 11B-703.3.2, from memory
    for dot in layout.dots:
        assert radius <= dot.x_mm <= layout.width_mm - radius
        assert radius <= dot.y_mm <= layout.height_mm - radius


def _gaps_are_legal(layout: SignLayout) -> None:
    """ADA 2010 703.2.7 by brute force over points: no shape library, no cached pair."""
    for line in layout.lines:
        for first, end in line.words:
            for a, b in zip(line.glyphs[first : end - 1], line.glyphs[first + 1 : end], strict=True):
                here = [point for ring in a.rings for point in ring]
                there = [point for ring in b.rings for point in ring]
                # Points of the outlines overstate the gap at most where both sides are long straight edges.
                assert min(dist(p, q) for p in here for q in there) >= 0.125 * INCH_MM - 1e-6, line.text


def test_a_word_wider_than_the_largest_plate_is_held_with_numbers() -> None:
    layout, flags = arrange("W" * 30)
    assert layout is None
    (flag,) = [flag for flag in flags if flag.severity is Severity.HOLD]
    assert any(char.isdigit() for char in flag.message)
    assert " in" in flag.message
