"""Waivers: what may be waived, and that none stays without being seen."""

from datetime import date
from pathlib import Path

import pytest

from schedule2sign.errors import InputError
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.rule import Waiver, WaiverState
from schedule2sign.rules.registry import RULES
from schedule2sign.rules.waivers import account_waivers, apply_waivers, flag_stray_waivers, load_waivers

TODAY = date(2027, 3, 1)
GOOD = """
[[waiver]]
rule = "plate/edge"
code = "too-small"
sign = "AP-101-C"
reason = "existing plates are used up"
name = "R. Osei, shop"
date = 2027-01-15
until = 2027-03-31
"""


def write(folder: Path, text: str) -> Path:
    path = folder / "waivers.toml"
    path.write_text(text, encoding="utf-8")
    return path


def waiver(folder: Path, text: str = GOOD) -> Waiver:
    (found,) = load_waivers(write(folder, text))
    return found


def finding(code: str = "rules/plate/edge/too-small", severity: Severity = Severity.HOLD) -> Flag:
    return Flag(code=code, severity=severity, message="Text to the edge: 0.2000 in.", sign_id="AP-101-C")


def test_a_waiver_turns_its_finding_into_a_note(tmp_path: Path) -> None:
    other = finding("rules/plate/holes/too-small")
    flags = apply_waivers("AP-101-C", [finding(), other], [waiver(tmp_path)], TODAY)
    assert [(flag.code, flag.severity) for flag in flags] == [
        ("rules/plate/edge/too-small", Severity.NOTE),
        ("rules/plate/holes/too-small", Severity.HOLD),
    ]
    assert flags[0].message == (
        "Waived by R. Osei, shop on 2027-01-15 until 2027-03-31 (existing plates are used up): Text to the edge: 0.2000 in."
    )


def test_a_waiver_is_for_one_sign(tmp_path: Path) -> None:
    assert apply_waivers("AP-102-C", [finding()], [waiver(tmp_path)], TODAY) == (finding(),)


def test_the_last_day_counts(tmp_path: Path) -> None:
    (flag,) = apply_waivers("AP-101-C", [finding()], [waiver(tmp_path)], date(2027, 3, 31))
    assert flag.severity is Severity.NOTE


def test_a_waiver_without_last_day_holds_for_a_year(tmp_path: Path) -> None:
    found = waiver(tmp_path, GOOD.replace("until = 2027-03-31\n", ""))
    assert (found.given, found.until) == (date(2027, 1, 15), date(2028, 1, 15))


def test_every_waiver_is_accounted_for(tmp_path: Path) -> None:
    found = waiver(tmp_path)
    codes = {"AP-101-C": {"rules/plate/edge/too-small"}}
    for by_sign, day, state in (
        (codes, TODAY, WaiverState.USED),
        (codes, date(2027, 4, 1), WaiverState.EXPIRED),
        ({"AP-101-C": {"rules/plate/holes/too-small"}}, TODAY, WaiverState.UNUSED),
        ({}, TODAY, WaiverState.UNUSED),
    ):
        (use,) = account_waivers([found], by_sign, day)
        assert (use.waiver, use.state) == (found, state)


def test_an_expired_waiver_waives_nothing_and_is_said(tmp_path: Path) -> None:
    flags = apply_waivers("AP-101-C", [finding()], [waiver(tmp_path)], date(2027, 4, 1))
    assert [(flag.code, flag.severity) for flag in flags] == [
        ("rules/plate/edge/too-small", Severity.HOLD),
        ("rules/waiver-expired", Severity.HOLD),
    ]
    assert (
        "rules/plate/edge/too-small on AP-101-C, given by R. Osei, shop on 2027-01-15, until 2027-03-31"
        in flags[1].message
    )


def test_an_unused_waiver_holds_its_sign(tmp_path: Path) -> None:
    (flag,) = apply_waivers("AP-101-C", [], [waiver(tmp_path)], TODAY)
    assert (flag.code, flag.severity, flag.sign_id) == ("rules/waiver-unused", Severity.HOLD, "AP-101-C")


def test_an_expired_unused_waiver_is_said_once(tmp_path: Path) -> None:
    flags = apply_waivers("AP-101-C", [], [waiver(tmp_path)], date(2028, 1, 1))
    assert [flag.code for flag in flags] == ["rules/waiver-expired"]


def test_a_waiver_of_a_sign_the_job_lacks_is_said(tmp_path: Path) -> None:
    waivers = [waiver(tmp_path)]
    assert flag_stray_waivers(waivers, ["AP-101-C", "AP-102-C"]) == ()
    (flag,) = flag_stray_waivers(waivers, ["AP-102-C"])
    assert (flag.code, flag.severity) == ("rules/waiver-unused", Severity.HOLD)
    assert "a sign the job does not have" in flag.message


@pytest.mark.parametrize("rule", [rule for rule in RULES if not rule.waivable], ids=lambda rule: rule.id)
def test_braille_raised_characters_and_life_safety_take_none(rule: object, tmp_path: Path) -> None:
    text = GOOD.replace("plate/edge", rule.id)  # type: ignore[attr-defined]
    with pytest.raises(InputError, match="takes no waiver"):
        waiver(tmp_path, text)


@pytest.mark.parametrize("rule", [rule for rule in RULES if rule.id.startswith(("braille/", "wording/"))])
def test_no_braille_or_wording_rule_became_waivable(rule: object) -> None:
    assert rule.waivable is False  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('rule = "plate/edge"', 'rule = "plate/edges"', "there is no rule 'plate/edges'"),
        ('code = "too-small"', 'code = "not-checked"', "no finding 'not-checked'"),
        ('name = "R. Osei, shop"', 'name = " "', "name must be text, and not empty"),
        (
            'reason = "existing plates are used up"\n',
            "",
            "must have rule, code, sign, reason, name, date, and may have until",
        ),
        ("until = 2027-03-31", 'until = "2027-03-31"', "until must be a date"),
        ("date = 2027-01-15", 'date = "2027-01-15"', "date must be a date"),
        ("date = 2027-01-15", "date = 2027-01-15T00:00:00", "date must be a date"),
        ("date = 2027-01-15\n", "", "must have rule, code"),
        ("until = 2027-03-31", "until = 2027-01-14", "before it was given on 2027-01-15"),
        ("until = 2027-03-31", "until = 2027-03-31\nnote = 1", "must have rule, code"),
        ("[[waiver]]", "[waiver]", r"must hold \[\[waiver\]\] tables"),
        ("[[waiver]]", "[[waivers]]", r"must hold \[\[waiver\]\] tables"),
        ("[[waiver]]", "[[waiver", "is not valid TOML"),
    ],
)
def test_a_faulty_waiver_file_is_refused(tmp_path: Path, old: str, new: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        load_waivers(write(tmp_path, GOOD.replace(old, new)))


def test_the_same_waiver_twice_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="twice"):
        load_waivers(write(tmp_path, GOOD + GOOD))


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        load_waivers(tmp_path / "none.toml")


def test_a_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "waivers.toml"
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(InputError, match="not UTF-8"):
        load_waivers(path)
