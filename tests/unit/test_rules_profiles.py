"""Profiles against the published numbers, and what the explanations say of them."""

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

import schedule2sign.rules
from schedule2sign.errors import InputError
from schedule2sign.model.rule import Basis
from schedule2sign.rules.catalog import write_catalog
from schedule2sign.rules.coverage import Needs, coverage, load_table
from schedule2sign.rules.drawing import draw_rule
from schedule2sign.rules.explain import explain, find_rule
from schedule2sign.rules.listing import list_coverage, list_limits, list_standard
from schedule2sign.rules.profile import Profile, load_profile, make_profile, profile_ids
from schedule2sign.rules.registry import BY_ID, RULES, index_rules

EVERY = ("au-ncc", "de", "us-ada-2010", "us-california", "us-strict")
SHARED = Path(__file__).resolve().parents[3] / "shared" / "standards.md"


def test_profiles_that_ship() -> None:
    assert profile_ids() == EVERY


def test_unknown_profile_lists_the_known() -> None:
    with pytest.raises(InputError, match="us-ada-2010, us-california"):
        load_profile("us-ada-1991")


# 2010 ADA Standards, section 703: the number in inches, clause, and exact millimeters worked out by hand (1 in = 25.4 mm).
FEDERAL = [
    ("raised_depth", 0.79375, None, "703.2.1"),
    ("proportion", 55, 110, "703.2.4"),
    ("character_height", 15.875, 50.8, "703.2.5"),
    ("stroke", None, 15, "703.2.6"),
    ("gap", 3.175, None, "703.2.7"),
    ("gap_strokes", None, 4, "703.2.7"),
    ("gap_face", 3.175, None, "703.2.7"),
    ("gap_base", 1.5875, None, "703.2.7"),
    ("border_clearance", 9.525, None, "703.2.7"),
    ("line_pitch", 135, 170, "703.2.8"),
    ("dot_base", 1.4986, 1.6002, "Table 703.3.1"),
    ("dot_pitch", 2.286, 2.54, "Table 703.3.1"),
    ("cell_pitch", 6.1214, 7.62, "Table 703.3.1"),
    ("dot_height", 0.635, 0.9398, "Table 703.3.1"),
    ("braille_line_pitch", 10.033, 10.16, "Table 703.3.1"),
    ("braille_clearance", 9.525, None, "703.3.2"),
    ("braille_border_clearance", 9.525, None, "703.3.2"),
    ("mounting_height", 1219.2, 1524, "703.4.1"),
    ("pictogram_field", 152.4, None, "703.6.1"),
]


@pytest.mark.parametrize(("key", "low", "high", "clause"), FEDERAL, ids=lambda value: str(value))
def test_federal_values(key: str, low: float | None, high: float | None, clause: str) -> None:
    limit = load_profile("us-ada-2010").limits[key]
    assert (limit.low_value, limit.high_value, limit.clause) == (low, high, f"ADA {clause}")


# California Building Code, chapter 11B.
CALIFORNIA = [
    ("dot_pitch", 2.54, 2.54, "Table 11B-703.3.1"),
    ("cell_pitch", 7.62, 7.62, "Table 11B-703.3.1"),
    ("dot_base", 1.4986, 1.6002, "Table 11B-703.3.1"),
    ("dot_height", 0.635, 0.9398, "Table 11B-703.3.1"),
    ("braille_line_pitch", 10.033, 10.16, "Table 11B-703.3.1"),
    ("proportion", 60, 110, "11B-703.2.4"),
    ("braille_gap", 9.525, 12.7, "11B-703.3.2"),
    ("visual_stroke", 10, 20, "11B-703.5.7"),
    ("raised_depth", 0.79375, None, "703.2.1"),
]


@pytest.mark.parametrize(("key", "low", "high", "clause"), CALIFORNIA, ids=lambda value: str(value))
def test_california_values(key: str, low: float | None, high: float | None, clause: str) -> None:
    limit = load_profile("us-california").limits[key]
    assert (limit.low_value, limit.high_value) == (low, high)
    assert limit.clause.endswith(clause)


# Printed inches against printed millimeters in Table 703.3.1 and elsewhere: which printed millimeter value fails the inch.
# (0.6, 6.1, 10, 10.2, 51 and 9.5 mm fail; arithmetic on the printed numbers.)
PRINTED_MM = [
    ("dot_height", 0.6, 0.9, [True, False]),
    ("dot_base", 1.5, 1.6, [False, False]),
    ("dot_pitch", 2.3, 2.5, [False, False]),
    ("cell_pitch", 6.1, 7.6, [True, False]),
    ("braille_line_pitch", 10.0, 10.2, [True, True]),
    ("raised_depth", 0.8, None, [False]),
    ("character_height", 16.0, 51.0, [False, True]),
    ("gap", 3.2, None, [False]),
    ("border_clearance", 9.5, None, [True]),
    ("mounting_height", 1220.0, 1525.0, [False, True]),
]


@pytest.mark.parametrize(("key", "low_mm", "high_mm", "fails"), PRINTED_MM, ids=lambda value: str(value))
def test_printed_millimeters_against_inches(key: str, low_mm: float, high_mm: float | None, fails: list[bool]) -> None:
    limit = load_profile("us-ada-2010").limits[key]
    outside = []
    for value in (low_mm, high_mm):
        if value is not None:
            low, high = limit.low_value, limit.high_value
            outside.append((low is not None and value < low) or (high is not None and value > high))
    assert outside == fails


@pytest.mark.parametrize("profile_id", EVERY)
def test_layout_draws_inside_the_limits_it_is_judged_by(profile_id: str) -> None:
    profile = load_profile(profile_id)
    drawing = profile.drawing
    aims = {
        "dot_pitch": drawing.cell_size.dot_pitch_mm,
        "cell_pitch": drawing.cell_size.cell_pitch_mm,
        "braille_line_pitch": drawing.cell_size.line_pitch_mm,
        "dot_base": drawing.cell_size.base_mm,
        "dot_height": drawing.cell_size.height_mm,
        "gap": drawing.aim_gap_mm,
        "gap_face": drawing.aim_gap_mm,
        "braille_gap": drawing.braille_gap_aim_mm,
        "braille_clearance": drawing.braille_gap_least_mm,
        "border_clearance": drawing.border_clear_mm,
        "braille_border_clearance": drawing.border_clear_mm,
        "pictogram_field": drawing.pictogram_field_mm,
        "line_pitch": 100 * drawing.aim_pitch_ratio,
    }
    outside = {
        key: value
        for key, value in aims.items()
        if key in profile.limits
        and not (profile.limits[key].low_value or 0) - 1e-9 <= value <= (profile.limits[key].high_value or 1e9) + 1e-9
    }
    assert not outside
    assert drawing.braille_gap_least_mm <= drawing.braille_gap_aim_mm <= drawing.braille_gap_most_mm
    assert drawing.least_gap_mm <= drawing.aim_gap_mm
    assert drawing.least_pitch_ratio <= drawing.aim_pitch_ratio <= drawing.most_pitch_ratio
    assert drawing.braille_code in profile.requirements["braille_code"].allowed


def test_us_cell_sizes() -> None:
    """Federal: the middle of each range of Table 703.3.1 (cells: 0.270, house); California: 0.100 and 0.300, fixed."""
    federal, california = (load_profile(name).drawing.cell_size for name in ("us-ada-2010", "us-california"))
    inches = [
        (size.dot_pitch_mm, size.cell_pitch_mm, size.line_pitch_mm, size.base_mm, size.height_mm)
        for size in (federal, california)
    ]
    assert [[round(value / 25.4, 6) for value in row] for row in inches] == [
        [0.095, 0.270, 0.3975, 0.061, 0.031],
        [0.100, 0.300, 0.3975, 0.061, 0.031],
    ]


# One geometry for the US, worked out from both codes: dots 0.100, cells 0.300, lines 0.3975, base 0.061, height 0.031 in.,
# text to braille 3/8 to 1/2 in., stroke 10 to 15 percent, O to I 60 to 110 percent.
ONE_GEOMETRY = [
    ("dot_pitch", 2.54, 2.54),
    ("cell_pitch", 7.62, 7.62),
    ("braille_line_pitch", 10.0965, 10.0965),
    ("dot_base", 1.5494, 1.5494),
    ("dot_height", 0.7874, 0.7874),
    ("braille_gap", 9.525, 12.7),
    ("visual_stroke", 10.0, 15.0),
    ("proportion", 60.0, 110.0),
]


@pytest.mark.parametrize(("key", "low", "high"), ONE_GEOMETRY, ids=lambda value: str(value))
@pytest.mark.parametrize("profile_id", ["us-ada-2010", "us-california", "us-strict"])
def test_one_geometry_suits_every_us_profile(profile_id: str, key: str, low: float, high: float) -> None:
    limits = load_profile(profile_id).limits
    if key not in limits:
        assert (profile_id, key) in {("us-ada-2010", "braille_gap"), ("us-ada-2010", "visual_stroke")}
        return
    window = limits[key]
    assert (window.low_value or 0) - 1e-9 <= low <= high <= (window.high_value or 1e9) + 1e-9


@pytest.mark.parametrize("other", ["us-ada-2010", "us-california"])
def test_the_us_intersection_lies_inside(other: str) -> None:
    strict, looser = load_profile("us-strict"), load_profile(other)
    for key, limit in looser.limits.items():
        inner = strict.limits[key]
        assert (inner.low_value or 0) >= (limit.low_value or 0), key
        assert (inner.high_value or 1e9) <= (limit.high_value or 1e9) or limit.high_value is None, key


@pytest.mark.parametrize("profile_id", EVERY)
def test_every_profile_speaks_of_every_key(profile_id: str) -> None:
    """A key left out would hold every sign as not checked."""
    profile = load_profile(profile_id)
    needed = {key for rule in RULES for key in (*rule.limits, *rule.requirements)}
    assert needed == {*profile.limits, *profile.requirements, *profile.waived}


@pytest.mark.parametrize("profile_id", EVERY)
def test_mounting_span_is_the_depth_of_the_band(profile_id: str) -> None:
    """703.4.1: 48 to 60 in., so the text may be 12 in. high from lowest to highest baseline."""
    limits = load_profile(profile_id).limits
    low, high = limits["mounting_height"].low_value, limits["mounting_height"].high_value
    assert low is not None
    assert high is not None
    assert limits["mounting_span"].high_value == pytest.approx(high - low, abs=1e-9)


def test_a_limit_that_contradicts_itself_is_refused() -> None:
    entry = {"low": "0.1", "high": "0.09", "unit": "in", "clause": "x", "basis": "standard"}
    with pytest.raises(ValueError, match=r"nothing lies between 0\.1 and 0\.09"):
        make_profile("x", {"limit": {"dot_pitch": entry}, "require": {}})


def test_a_limit_without_numbers_is_refused() -> None:
    entry = {"unit": "in", "clause": "x", "basis": "standard"}
    with pytest.raises(ValueError, match="nothing lies between"):
        make_profile("x", {"limit": {"dot_pitch": entry}, "require": {}})


def test_an_unknown_unit_is_refused() -> None:
    entry = {"low": "1", "unit": "furlong", "clause": "x", "basis": "standard"}
    with pytest.raises(ValueError, match="furlong"):
        make_profile("x", {"limit": {"dot_pitch": entry}, "require": {}})


def test_duplicate_rule_id_is_refused() -> None:
    with pytest.raises(ValueError, match="raised/depth"):
        index_rules((*RULES, BY_ID["raised/depth"]))


def test_rules_without_waiver() -> None:
    """Braille, raised characters of the standard and life safety take none; house rules and looks do."""
    assert {rule.id for rule in RULES if rule.waivable} == {
        "raised/same-size",
        "raised/word-gap",
        "raised/level",
        "raised/line-clear",
        "plate/edge",
        "plate/holes",
        "plate/window",
        "visual/finish",
        "visual/light-dark",
        "visual/contrast",
        "visual/stroke",
        "visual/height",
        "visual/spacing",
        "visual/line-pitch",
    }


# ---- coverage ----------------------------------------------------------------------------------------------------


def test_coverage_names_every_row_of_the_standards() -> None:
    if not SHARED.exists():
        pytest.skip("the table of published values is not beside this checkout")
    text = SHARED.read_text(encoding="utf-8")
    wanted = text[text.index("### 1.2") : text.index("## 3. ICC")]
    rows = set(re.findall(r"^\| ([FC]-\d+) \|", wanted, flags=re.MULTILINE))
    table = load_table()
    assert rows == {row.id for group in ("federal", "california") for row in table[group]}


def test_coverage_names_every_clause_of_the_standards() -> None:
    if not SHARED.exists():
        pytest.skip("the table of published values is not beside this checkout")
    text = SHARED.read_text(encoding="utf-8")
    text = text[text.index("### 1.2") : text.index("## 3. ICC")]
    titles = {row.id: row.title for rows in load_table().values() for row in rows}
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if re.fullmatch(r"[FC]-\d+", cells[0]):
            for clause in re.findall(r"\d+[A-Z]?(?:-\d+)?\.\d+(?:\.\d+)*", cells[3].split("(old")[0]):
                if not clause.startswith("1117B"):  # the old code's number of 11B-703.3.2
                    assert clause in titles[cells[0]], (cells[0], clause, titles[cells[0]])


def test_every_clause_in_force_is_of_a_covered_row() -> None:
    """No limit cites a clause the coverage does not mention."""
    for profile_id in ("us-ada-2010", "us-california"):
        profile = load_profile(profile_id)
        titles = " ".join(row.title for row in coverage(profile))
        cited = {entry.clause for entry in (*profile.limits.values(), *profile.requirements.values()) if entry.clause}
        for clause in cited:
            assert clause.removeprefix("CBC ").removeprefix("ADA ").removeprefix("Table ") in titles, clause


def test_every_standard_rule_is_named_by_the_coverage() -> None:
    """A rule that rests on a clause must be found from the clause."""
    for profile_id in EVERY:
        profile = load_profile(profile_id)
        named = {rule for row in coverage(profile) for rule in row.rules}
        for rule in RULES:
            entries = [profile.limits.get(k) or profile.requirements.get(k) for k in (*rule.limits, *rule.requirements)]
            if any(entry and entry.basis is Basis.STANDARD for entry in entries):
                assert rule.id in named, (profile_id, rule.id)


def test_rows_without_rules_say_why() -> None:
    rows = [row for group in load_table().values() for row in group]
    assert all(row.why.endswith(".") for row in rows if row.needs)
    by_id = {row.id: row for row in rows}
    assert by_id["F-87"].needs is Needs.SITE
    assert by_id["F-42"].needs is Needs.PERSON
    assert by_id["F-43"].rules == ("raised/depth",)


# ---- what is said ------------------------------------------------------------------------------------------------


def test_standards_are_listed_with_their_doubts() -> None:
    said = {name: "\n".join(list_standard(load_profile(name))) for name in EVERY}
    assert [name for name, text in said.items() if "EXPERIMENTAL" in text] == ["au-ncc", "de"]
    assert all(name in text and "edition" in text and "house" in text for name, text in said.items())
    assert "built on us-ada-2010" in said["us-california"]
    assert "from memory" in said["us-california"]
    assert "from memory" not in said["us-ada-2010"]


def test_resolved_limits_are_all_there() -> None:
    """Every limit in force is printed as the standard prints it, with its clause."""
    for profile_id in EVERY:
        profile = load_profile(profile_id)
        text = "\n".join(list_limits(profile))
        for entry in (*profile.limits.values(), *profile.requirements.values()):
            assert f"{entry.key.replace('_', ' ')}: {entry}" in text
            assert entry.clause in text
    assert "dot pitch: 0.100 in (CBC Table 11B-703.3.1)" in "\n".join(list_limits(load_profile("us-california")))


def test_explain_a_rule() -> None:
    text = "\n".join(explain("braille/dot-pitch", [load_profile("us-ada-2010")]))
    assert "dot pitch: 0.090 to 0.100 in (ADA Table 703.3.1)" in text
    assert "rules/braille/dot-pitch/too-small (HOLD)" in text
    assert "none is taken" in text


def test_explain_says_how_a_limit_was_read() -> None:
    california = load_profile("us-california")
    assert "from memory" in "\n".join(explain("braille/gap-to-text", [california]))
    assert "second hand" in "\n".join(explain("raised/proportion", [california]))
    assert "house limit" in "\n".join(explain("plate/edge", [california]))


def test_explain_says_why_there_is_no_limit() -> None:
    text = "\n".join(explain("braille/gap-to-text", [load_profile("us-ada-2010")]))
    assert "ADA 703.3.2 sets no greatest distance from text to braille" in text


def test_explain_an_unknown_rule_lists_the_known() -> None:
    with pytest.raises(InputError, match="braille/dot-pitch"):
        explain("braille/dotpitch", [load_profile("us-ada-2010")])


def every_profile() -> list[Profile]:
    return [load_profile(name) for name in EVERY]


def test_catalog_has_every_rule_and_profile() -> None:
    files = write_catalog(every_profile())
    text = files["CATALOG.md"]
    assert re.findall(r"^## (.+)$", text, flags=re.MULTILINE) == [rule.id for rule in RULES]
    for profile_id in EVERY:
        assert text.count(f"| {profile_id} | ") == len(RULES)
    drawings = {name: ElementTree.fromstring(body) for name, body in files.items() if name.endswith(".svg")}
    assert set(re.findall(r"\]\((.+?)\)", text)) == set(drawings)
    assert len(drawings) == len(RULES)
    assert all(len(list(drawing.iter())) > 4 for drawing in drawings.values())


def test_the_catalog_that_ships_is_up_to_date() -> None:
    """Made anew by `schedule2sign rules --catalog schedule2sign/rules`."""
    folder = Path(schedule2sign.rules.__file__).parent
    files = write_catalog(every_profile())
    assert {path.name for path in (folder / "drawings").iterdir()} == {n.removeprefix("drawings/") for n in files} - {
        "CATALOG.md"
    }
    for name, text in files.items():
        assert (folder / name).read_text(encoding="utf-8") == text, name


def test_no_drawing_says_a_number() -> None:
    """Limits stand in the profiles; a number in a drawing would drift from them."""
    for rule in RULES:
        words = " ".join(
            text.text or "" for text in ElementTree.fromstring(draw_rule(rule)).iter() if text.tag.endswith("text")
        )
        assert not re.search(r"\d", words.replace("dot 6", "")), rule.id


def test_explain_tells_the_standards_apart() -> None:
    lines = explain("braille/dot-pitch", every_profile())
    text = "\n".join(lines)
    assert "us-ada-2010    dot pitch: 0.090 to 0.100 in (ADA Table 703.3.1)" in text
    assert "us-california  dot pitch: 0.100 in (CBC Table 11B-703.3.1)" in text
    assert "us-strict      the same as us-california" in text


def test_every_clause_names_its_standard() -> None:
    """ICC A117.1 has its visual characters at 703.2 and its raised ones at 703.3, so a bare number tells nothing."""
    for profile in every_profile():
        for entry in (*profile.limits.values(), *profile.requirements.values()):
            named = entry.clause.split()[0] if entry.clause else ""
            assert named in ("", "ADA", "CBC", "A117.1", "NCC", "RS", "DIN", "ISO"), entry
            assert bool(named) or entry.basis is Basis.HOUSE


@pytest.mark.parametrize("name", ["rules/braille/dot-pitch/too-small", "braille/dot-pitch/too-small"])
def test_explain_takes_the_code_of_a_flag(name: str) -> None:
    assert find_rule(name).id == "braille/dot-pitch"


def test_nothing_promises_what_a_check_cannot() -> None:
    said = [*write_catalog(every_profile()).values()]
    for profile_id in EVERY:
        profile = load_profile(profile_id)
        said += [*list_standard(profile), *list_limits(profile), *list_coverage(profile)]
    assert not re.search(r"compliant|certified|guarantee|code approved", "\n".join(said), flags=re.IGNORECASE)
