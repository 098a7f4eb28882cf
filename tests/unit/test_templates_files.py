"""Template files: what is shipped is sound, every mistake is named with its line, the schema knows every key."""

import json
import re
import shutil
from pathlib import Path

import pytest

from schedule2sign.errors import InputError
from schedule2sign.layout.fields import Align, Fixing, Place, PlateShape, Remedy, Stack
from schedule2sign.layout.pictogramfile import load_pictogram
from schedule2sign.layout.template import load_template, load_templates
from schedule2sign.model.sign import Role
from schedule2sign.resources import templates_folder

INCH = 25.4
SIGNS = templates_folder() / "signs"
SCHEMA = json.loads((templates_folder() / "sign-template.schema.json").read_text(encoding="utf-8"))
SOUND = """title = "A sign"
remedies = ["break-lines", "grow-plate"]

[plate]
widths = ["8 in", "10 in"]
heights = ["4 in", "5 in"]
margin_side = "1/2 in"
margin_top = "1/2 in"
margin_bottom = "1/2 in"

[[text]]
role = "number"
heights = ["1 in", "3/4 in"]

[[text]]
role = "name"
heights = ["5/8 in"]
max_lines = 2

[braille]
max_lines = 3
"""


DOOR_SYMBOL = """title = "A door symbol"
remedies = []

[plate]
shape = "circle"
widths = ["12 in"]
heights = ["12 in"]
margin_side = "1/2 in"
margin_top = "1/2 in"
margin_bottom = "1/2 in"
corner_radius = "1/8 in"
"""


def write(tmp_path: Path, text: str) -> Path:
    file = tmp_path / "mine.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_the_family_has_every_member() -> None:
    wanted = {
        "room", "number", "name", "restroom", "room-insert", "stair", "stair-level", "exit", "suite", "utility",
        "room-bilingual", "changing", "refuge", "exterior", "all-gender", "lactation", "elevator-equipment",
        "occupant-load", "hours", "door-men", "door-women", "door-all", "back-plate",
    }  # fmt: skip
    assert wanted <= set(load_templates(SIGNS))
    assert set(load_templates(SIGNS)) == set(load_templates(SIGNS.parent / "signs-framed"))


def test_a_style_changes_the_whole_family_and_a_template_may_differ() -> None:
    plain, framed = load_templates(SIGNS), load_templates(SIGNS.parent / "signs-framed")
    assert {template.align for template in plain.values()} == {Align.CENTER}
    assert {template.align for template in framed.values()} == {Align.LEFT}
    # A frame goes around text, never around a door symbol or a blank back plate.
    assert all(bool(template.border) == bool(template.texts or template.visual) for template in framed.values())
    assert not any(template.border for template in plain.values())
    assert plain["exterior"].margin_side_mm == pytest.approx(0.75 * INCH)
    assert plain["room"].margin_side_mm == pytest.approx(0.5 * INCH)


def test_values_are_read_as_printed(tmp_path: Path) -> None:
    template = load_template(write(tmp_path, SOUND))
    assert template.name == "mine"
    assert template.widths_mm == (pytest.approx(203.2), pytest.approx(254.0))
    assert template.texts[0].heights_mm == (pytest.approx(25.4), pytest.approx(19.05))
    assert (template.texts[1].role, template.texts[1].max_lines) == (Role.NAME, 2)
    assert template.remedies == (Remedy.BREAK_LINES, Remedy.GROW_PLATE)
    assert template.stack is Stack.MIDDLE


@pytest.mark.parametrize(
    ("old", "new", "line", "says"),
    [
        ('title = "A sign"', "title = 3", 1, "title must be a text, not 3"),
        ('"grow-plate"]', '"shrink-text"]', 2, "remedies is 'shrink-text'; it must be one of 'break-lines'"),
        ('"grow-plate"]', '"break-lines"]', 2, "remedies names something twice"),
        ('widths = ["8 in", "10 in"]', 'widths = ["8", "10 in"]', 5, "plate.widths is no length: '8' has no unit"),
        ('widths = ["8 in", "10 in"]', 'widths = ["10 in", "8 in"]', 5, "plate.widths must grow"),
        ('widths = ["8 in", "10 in"]', "widths = []", 5, "plate.widths must name at least one length"),
        ('widths = ["8 in", "10 in"]', 'widths = "8 in"', 5, "plate.widths must be a list"),
        ('heights = ["4 in", "5 in"]\n', "", 4, "plate.heights is missing"),
        ('margin_side = "1/2 in"', 'margin_side = 0.5', 7, "plate.margin_side must be a length with its unit"),
        ('margin_side = "1/2 in"', 'margin_side = "5 in"', 7, "plate.margin_side leaves no room"),
        ('margin_side = "1/2 in"', 'margin_side = "1/8 in"', 7, "must lie between 0.25 and 48 in"),
        ('margin_top = "1/2 in"', 'margins_top = "1/2 in"', 4, "plate.margin_top is missing"),
        ('margin_top = "1/2 in"', 'margin_top = "1/2 in"\nfont = "x"', 9, "plate.font means nothing here; known: align"),
        ('heights = ["1 in", "3/4 in"]', 'heights = ["3/4 in", "1 in"]', 13, "text.heights must fall"),
        ('heights = ["5/8 in"]', 'heights = ["1/2 in"]', 17, "text.heights is 1/2 in; it must lie between 0.625 and 2 in"),
        ("max_lines = 2", "max_lines = 0", 18, "text.max_lines must be a whole number from 1 to 6, not 0"),
        ("max_lines = 2", "max_lines = true", 18, "text.max_lines must be a whole number from 1 to 6, not True"),
        ('role = "name"', 'role = "title"', 16, "text.role is 'title'; it must be one of 'number', 'name', 'level'"),
        ('role = "name"', 'role = "number"', 11, "text has two fields of one role"),
        ("[braille]\nmax_lines = 3\n", "", 1, "braille is missing: raised text must be repeated in braille (ADA 703.2)"),
        ("[braille]", '[window]\nheight = "1 in"\n[braille]', 20, "window.place is missing"),
        ("[braille]", '[pictogram]\nfield_width = "6 in"\nfield_height = "5 in"\n[braille]', 22, "field_height is 5 in"),
        ("[plate]", "[plate", 4, "not valid TOML"),
        ("[braille]", '[fixing]\nkind = "nails"\n[braille]', 21, "fixing.kind is 'nails'; it must be one of 'tape'"),
        ("[braille]", '[fixing]\nkind = "tape"\ninset = "1 in"\n[braille]', 22, "fixing.inset means nothing here"),
        ("[braille]", '[fixing]\nkind = "screws"\n[braille]', 20, "fixing.diameter is missing"),
        ("[braille]", '[rule_line]\nover = "number"\nline = "1/32 in"\n[braille]', 20, "no field comes before 'number'"),
        ("[braille]", '[star]\nbeside = "level"\n[braille]', 20, "the role 'level', which has no [[text]] field"),
        ("[braille]", '[star]\nbeside = "name"\nclear = "1/8 in"\n[braille]', 22, "star.clear is 1/8 in"),
        ("[braille]", '[laid_triangle]\nedge = "1/8 in"\n[braille]', 20, 'write shape = "circle" in [plate]'),
        ("[plate]", '[plate]\nshape = "circle"', 5, "such a plate carries no text"),
        ("[braille]", '[[spacer]]\nheight = "1 in"\nplace = "left"\n[braille]', 22, "spacer.place is 'left'"),
        ("[braille]", '[pictogram]\ndrawings = ["cat"]\nfield_width = "6 in"\nfield_height = "6 in"\n[braille]', 21, "names 'cat'"),
        ("[braille]", '[standard.us-california.plate]\nmargin_side = "9 in"\n[braille]', 21, "standard.us-california.plate.margin_side leaves no room"),
        ("[braille]", '[standard.us-california]\ncolour = 1\n[braille]', 21, "standard.us-california.colour means nothing here"),
        ("[braille]", '[colors]\nbase = 3\n[braille]', 21, "colors.base must be a text, not 3"),
    ],
)  # fmt: skip
def test_every_mistake_is_named_with_its_line(tmp_path: Path, old: str, new: str, line: int, says: str) -> None:
    assert old in SOUND
    with pytest.raises(InputError) as caught:
        load_template(write(tmp_path, SOUND.replace(old, new, 1)))
    assert str(caught.value).startswith(f"Template mine.toml, line {line}: ")
    assert says in str(caught.value)


def test_a_mistake_in_the_style_names_the_style(tmp_path: Path) -> None:
    shutil.copytree(SIGNS, tmp_path / "signs")
    style = tmp_path / "signs" / "style.toml"
    style.write_text(style.read_text().replace('margin_side = "1/2 in"', 'margin_side = "half"'), encoding="utf-8")
    with pytest.raises(InputError, match=r"Template style\.toml, line 9: plate\.margin_side is no length"):
        load_templates(tmp_path / "signs")
    style.write_text('remedies = []\nfamily = "../nowhere"\n', encoding="utf-8")
    with pytest.raises(InputError, match=r"style\.toml, line 2: family names .* which holds no templates"):
        load_templates(tmp_path / "signs")
    with pytest.raises(InputError, match="There is no folder of sign templates"):
        load_templates(tmp_path / "none")
    (tmp_path / "empty").mkdir()
    with pytest.raises(InputError, match="There are no sign templates"):
        load_templates(tmp_path / "empty")


def keys_the_loader_takes(tmp_path: Path, where: str, sound: str) -> set[str]:
    """The loader lists what it knows when it meets a key it does not."""
    with pytest.raises(InputError) as caught:
        load_template(write(tmp_path, sound.replace(where, f"{where}\nno_such_key = 1\n", 1)))
    found = re.search(r"known: (.*)\.$", str(caught.value))
    assert found, str(caught.value)
    return set(found.group(1).split(", "))


def test_the_schema_knows_exactly_what_the_loader_takes(tmp_path: Path) -> None:
    full = SOUND + (
        '[window]\nheight = "1 in"\nplace = "below"\n[border]\ninset = "1/8 in"\nline = "1/16 in"\n'
        '[fixing]\nkind = "screws"\ninset = "3/8 in"\ndiameter = "3/16 in"\n'
        '[rule_line]\nover = "name"\nline = "1/32 in"\n[star]\nbeside = "number"\n[colors]\nbase = "gray"\n'
        '[[spacer]]\nheight = "1 in"\nplace = "above"\n[standard.us-california.colors]\nbase = "black"\n'
        '[pictogram]\nfield_width = "6 in"\nfield_height = "6 in"\ndrawing_height = "5 in"\n'
    )
    load_template(write(tmp_path, full))
    inner = SCHEMA["properties"]
    assert keys_the_loader_takes(tmp_path, 'title = "A sign"', full) | {"family"} == set(inner)
    tables = ("plate", "braille", "window", "border", "fixing", "pictogram", "rule_line", "star", "colors")
    for table in tables:
        assert keys_the_loader_takes(tmp_path, f"[{table}]", full) == set(inner[table]["properties"]), table
    assert keys_the_loader_takes(tmp_path, "[[spacer]]", full) == set(inner["spacer"]["items"]["properties"])
    flat = full.replace('[window]\nheight = "1 in"\nplace = "below"', '[visual]\nheights = ["1 in"]')
    assert keys_the_loader_takes(tmp_path, "[visual]", flat) == set(inner["visual"]["properties"])
    symbol = DOOR_SYMBOL + '[laid_triangle]\nedge = "1/8 in"\n'
    load_template(write(tmp_path, symbol))
    assert keys_the_loader_takes(tmp_path, "[laid_triangle]", symbol) == set(inner["laid_triangle"]["properties"])
    text = inner["text"]["items"]["properties"]
    assert keys_the_loader_takes(tmp_path, 'role = "number"', full) == set(text)
    assert set(text["role"]["enum"]) == set(Role)
    assert set(inner["remedies"]["items"]["enum"]) == set(Remedy)
    assert set(inner["plate"]["properties"]["align"]["enum"]) == set(Align)
    assert set(inner["plate"]["properties"]["stack"]["enum"]) == set(Stack)
    assert set(inner["plate"]["properties"]["shape"]["enum"]) == set(PlateShape)
    assert set(inner["fixing"]["properties"]["kind"]["enum"]) == set(Fixing)
    assert set(inner["window"]["properties"]["place"]["enum"]) == set(Place)


def test_pictograms_are_closed_shapes_a_small_cutter_enters() -> None:
    """No slot or bar of the drawing is narrower than 0.06 in at the height the template cuts it."""
    restroom = load_templates(SIGNS)["restroom"]
    assert restroom.pictogram is not None
    assert {"men", "women", "all"} <= {drawing.name for drawing in restroom.pictogram.drawings}
    from shapely.geometry import Polygon

    for drawing in restroom.pictogram.drawings:
        scale = min(
            restroom.pictogram.drawing_mm / drawing.box.height_mm, restroom.pictogram.width_mm / drawing.box.width_mm
        )
        parts = [Polygon(ring) for ring in drawing.rings]
        assert all(part.is_valid and part.exterior.is_ccw for part in parts)
        gaps = [a.distance(b) * scale for index, a in enumerate(parts) for b in parts[:index]]
        assert min(gaps) >= 0.06 * INCH
    assert (templates_folder() / "pictograms" / "LICENSE.md").is_file()


@pytest.mark.parametrize(
    ("svg", "says"),
    [
        ("<svg", "cannot be read as SVG"),
        ('<svg xmlns="http://www.w3.org/2000/svg"><text>M</text></svg>', "has a 'text' element"),
        ('<svg xmlns="http://www.w3.org/2000/svg"><g transform="scale(2)"/></svg>', "has a transform on 'g'"),
        ('<svg xmlns="http://www.w3.org/2000/svg"/>', "draws nothing"),
    ],
)
def test_a_pictogram_that_would_not_be_cut_as_it_looks_is_refused(tmp_path: Path, svg: str, says: str) -> None:
    file = tmp_path / "odd.svg"
    file.write_text(svg, encoding="utf-8")
    with pytest.raises(InputError, match=says):
        load_pictogram(file)
