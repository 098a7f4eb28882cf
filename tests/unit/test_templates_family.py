"""Every member of the family, at its shortest, typical and longest text, passes every rule of the US profiles."""

import pytest

from schedule2sign.layout.arrange import STAR, lay_out
from schedule2sign.layout.gallery import sample_request
from schedule2sign.layout.template import load_templates
from schedule2sign.lettering.typeface import Typeface, load_typeface
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.rule import Outcome
from schedule2sign.model.shape import Build
from schedule2sign.model.sign import Role
from schedule2sign.resources import templates_folder
from schedule2sign.rules.engine import check_sign
from schedule2sign.rules.profile import load_profile

# side_deg 15: letters cut with a 30 degree cutter; 703.2.7 then measures face and base.
BUILD = Build(
    raised_mm=0.8382, side_deg=15, dot_shape="domed", finish="non-glare", base_color="charcoal", letter_color="white"
)
TEXTS = {
    "shortest": {Role.NUMBER: "1", Role.NAME: "IT", Role.LEVEL: "B"},
    "longest": {
        Role.NUMBER: "B-1017A",
        Role.NAME: "QUALITY EQUIPMENT MAINTENANCE WORKSHOP",
        Role.LEVEL: "LEVEL 12",
    },
}
INSERTS = {"shortest": "9", "longest": "MAXIMUM OCCUPANCY\nSTANDING 1250"}
# What is not the layout's: wording, the class of each braille word, mounting, declared reflectance.
NOT_GEOMETRY = ("wording/", "visual/", "mounting/", "braille/capitals", "braille/grade")


@pytest.fixture(scope="module", params=["Inter-Regular.otf", "RobotoCondensed-Regular.ttf"])
def face(request: pytest.FixtureRequest) -> Typeface:
    return load_typeface(templates_folder() / "fonts" / request.param)


def spell(text: str) -> BrailleLine:
    """A cell a character, dots 1 to 5 of the letter; no translation is tested here."""
    cells = "".join("⠀" if char == " " else chr(0x2801 + ord(char) % 31) for char in text)
    return BrailleLine(text=text, cells=cells, code="ueb-g2", back=text.lower())


@pytest.mark.parametrize("standard", ["us-ada-2010", "us-california", "us-strict"])
@pytest.mark.parametrize("style", ["signs", "signs-framed"])
@pytest.mark.parametrize("length", ["shortest", "typical", "longest"])
def test_member_passes_every_rule_of_geometry(face: Typeface, style: str, standard: str, length: str) -> None:
    profile = load_profile(standard)
    for name, template in load_templates(templates_folder() / style, standard=standard).items():
        texts = TEXTS.get(length)
        if texts:
            texts = {field.role: texts[field.role] for field in template.texts if field.sample}
        star = STAR if template.star else ""
        request = sample_request(template, texts, star, INSERTS.get(length, ""))
        braille = [spell(message.text) for message in request.messages]
        layout, flags = lay_out(request, braille, template, face, profile.drawing, BUILD)
        assert layout is not None, (name, flags)
        for verdict in check_sign(layout, profile):
            if verdict.rule.startswith(NOT_GEOMETRY):
                continue
            assert verdict.outcome in (Outcome.MET, Outcome.NOT_APPLICABLE), (name, verdict)


@pytest.mark.parametrize("style", ["signs", "signs-framed"])
@pytest.mark.parametrize("standard", ["us-california", "us-strict"])
def test_every_wording_of_an_exit_sign_fits_and_is_the_profiles(face: Typeface, style: str, standard: str) -> None:
    """CBC 1013.4 (items 2.1 to 2.4 read, the others second hand or from memory), as the profile lists them."""
    profile = load_profile(standard)
    template = load_templates(templates_folder() / style, standard=standard)["exit"]
    wordings = profile.requirements["exit_wording"].allowed
    assert len(wordings) >= 5
    for wording in wordings:
        request = sample_request(template, {Role.NAME: wording})
        layout, flags = lay_out(request, [spell(wording)], template, face, profile.drawing, BUILD)
        assert layout is not None, flags
        verdicts = {verdict.rule: verdict.outcome for verdict in check_sign(layout, profile)}
        assert verdicts["wording/exit"] is Outcome.MET, wording


def test_one_height_of_characters_for_one_role_in_the_family() -> None:
    """A plate grows before its letters shrink, so names on ordinary doors are one height (by eye)."""
    family = load_templates(templates_folder() / "signs")
    doors = ("room", "room-insert", "room-bilingual", "utility", "lactation")
    assert {family[name].text_field(Role.NAME).heights_mm[0] for name in doors} == {0.625 * 25.4}
    assert all(
        list(map(str, family[name].remedies)).index("grow-plate")
        < list(map(str, family[name].remedies)).index("smaller-text")
        for name in family
    )
