"""Process profiles: what is shipped, what the job may change, and every mistake named."""

import re
from dataclasses import fields, is_dataclass

import pytest

from schedule2sign.errors import InputError
from schedule2sign.model.process import DepthTo, Method
from schedule2sign.production.process import key_of, list_processes, load_process
from schedule2sign.production.setupsheet import say_settings

IN = 25.4


def test_shipped_profiles():
    assert list_processes() == ("applique-rotary", "applique-router", "solid-router")
    for name in list_processes():
        process = load_process(name)
        assert process.id == name
        assert "letter_cutter.included_angle_deg" in process.assumed
    assert load_process("applique-router").dial is None
    assert load_process("solid-router").method is Method.SOLID
    assert load_process("solid-router").drill is None


@pytest.mark.parametrize("name", list_processes())
def test_every_value_is_listed_in_words(name):
    """Whatever the profile holds is listed by the key a job sets it with."""
    process = load_process(name)
    listed = {key for key, *_ in say_settings(process, everything=True)}
    held = {
        f"{section.name}.{key_of(field.name)}"
        for section in fields(process)
        if is_dataclass(values := getattr(process, section.name))
        for field in fields(values)
    }
    assert listed == held - {"drilling.depth_solved"}
    assert len(listed) > 30


def test_the_default_is_common_practice():
    # Common practice, no source: 0.035 in deep, tip 0.010, two passes, 1.5 and 1 in/s, lift 0.2; holes dwell 0.070 s, lift 0.4.
    process = load_process()
    assert process.letter_cut.depth_mm == pytest.approx(0.035 * IN)
    assert process.letter_cutter.tip_mm == pytest.approx(0.010 * IN)
    assert process.letter_cut.passes == 2
    assert process.letter_cut.feed_mm_s == pytest.approx(1.5 * IN)
    assert process.letter_cut.plunge_mm_s == pytest.approx(1 * IN)
    assert process.letter_cut.lift_mm == pytest.approx(0.2 * IN)
    assert process.drilling.dwell_s == pytest.approx(0.070)
    assert process.drilling.lift_mm == pytest.approx(0.4 * IN)
    assert (process.dial.clicks_per_turn, process.dial.offset_clicks) == (25, 7)
    assert process.drilling.depth_mm == pytest.approx(0.042 * IN)
    assert not process.drilling.depth_solved
    assert load_process("applique-router").drilling.depth_solved


def test_what_the_job_says_is_no_assumption():
    process = load_process(overrides={"drill": {"point_angle_deg": 110, "depth_to": "shoulder"}})
    assert process.drill.point_angle_deg == 110
    assert process.drill.depth_to is DepthTo.SHOULDER
    assert process.stated == ("drill.point_angle_deg", "drill.depth_to")
    assert not {"drill.point_angle_deg", "drill.depth_to"} & set(process.assumed)
    assert "sphere.diameter" in process.assumed


@pytest.mark.parametrize(
    ("section", "key", "text", "field", "value"),
    [
        ("letter_cut", "feed", "2286 mm/min", "feed_mm_s", 38.1),
        ("letter_cut", "depth", "0.9 mm", "depth_mm", 0.9),
        ("material", "sheet", "1/32 in", "sheet_mm", 0.79375),
        ("drilling", "dwell", "70 ms", "dwell_s", 0.070),
        ("hand_work", "batch", "0.5 min", "batch_s", 30),
    ],
)
def test_units(section, key, text, field, value):
    process = load_process(overrides={section: {key: text}})
    assert getattr(getattr(process, section), field) == pytest.approx(value)


@pytest.mark.parametrize("missing", ["drill.point_angle_deg", "sphere.diameter", "letter_cutter.included_angle_deg"])
def test_a_profile_must_state_what_decides_dots_and_letters(missing, tmp_path):
    text = (shipped_folder() / "applique-rotary.toml").read_text(encoding="utf-8")
    section, key = missing.split(".")
    head, body = text.split(f"[{section}]", 1)
    body = re.sub(rf"(?m)^{key} = .*$", "", body, count=1)
    path = tmp_path / "mine.toml"
    path.write_text(head.replace(f'    "{missing}",\n', "") + f"[{section}]" + body, encoding="utf-8")
    with pytest.raises(InputError, match=re.escape(f"Process profile mine: {missing} is missing: it decides")):
        load_process(str(path))


def shipped_folder():
    from importlib.resources import files

    return files("schedule2sign.production") / "profiles"


@pytest.mark.parametrize(
    ("overrides", "message"),
    [
        ({"drill": {"point_angle_deg": 190}}, "at most 180"),
        ({"drill": {"point_angle_deg": 0}}, "must be more than 0"),
        ({"drill": {"point_angle_deg": "118"}}, "must be a number"),
        ({"drill": {"point_angle_deg": float("nan")}}, "must be more than 0"),
        ({"drill": {"tip": "1 in"}}, "[drill] has 'tip'"),
        ({"drill": {"depth_to": "middle"}}, "must be one of 'tip', 'shoulder'"),
        ({"sphere": {"diameter": "0.0625"}}, "no unit"),
        ({"sphere": {"diameter": 0.0625}}, "must be text in quotes"),
        ({"letter_cut": {"feed": "1.5 in"}}, "write a speed"),
        ({"letter_cut": {"depth": "0.070 in"}}, "more than the cutter's usable depth"),
        ({"letter_cut": {"passes": 2.5}}, "whole number"),
        ({"letter_cut": {"stay_down": "yes"}}, "true or false"),
        ({"letter_cut": {"feed": "0 in/s"}}, "must be more than 0"),
        ({"letter_cutter": {"included_angle_deg": 180}}, "less than 180"),
        ({"letter_cutter": {"included_angle_deg": 0, "tip": "0 in"}}, "neither a tip width nor an angle"),
        ({"drilling": {"dwell": "0.070"}}, "a time with its unit"),
        ({"drilling": {"depth": "solve", "aim_dome": "0.2 in"}}, "no depth gives a dome"),
        ({"stock": {"margin": "12 in"}}, "leaves nothing"),
        ({"stock": {"gap": "0.1 in"}}, "less than the plate cutter"),
        ({"spares": {"sphere_share": 1.5}}, "at most 1"),
        ({"material": {"sheet": "0 in"}}, "how thick"),
        ({"unit": "ft"}, "write 'in' or 'mm'"),
        ({"extra": {}}, "the top level has 'extra'"),
    ],
)
def test_mistakes_are_named(overrides, message):
    with pytest.raises(InputError, match=re.escape(message)):
        load_process(overrides=overrides)


def test_no_such_profile():
    with pytest.raises(InputError, match="Shipped: applique-rotary, applique-router, solid-router"):
        load_process("laser")


def test_not_toml(tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text("a = = b", encoding="utf-8")
    with pytest.raises(InputError, match="not valid TOML"):
        load_process(str(path))


def test_a_ball_that_can_make_no_dot():
    # 0.055 in is narrower than the 0.059 in base of 2010 ADA Table 703.3.1 at any depth.
    from schedule2sign.production.signplan import check_process

    with pytest.raises(InputError, match="cannot make a braille dot"):
        check_process(load_process(overrides={"sphere": {"diameter": "0.055 in"}}))
