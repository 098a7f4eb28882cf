"""The rule book from the command line: standards, rules, explain, font, and waivers through a whole run."""

import csv
import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from schedule2sign.cli import jobs
from schedule2sign.cli.jobs import settings_of
from schedule2sign.cli.main import _parser, main
from schedule2sign.pipeline import build_job
from schedule2sign.rules.profile import load_profile, profile_ids
from schedule2sign.rules.registry import RULES
from schedule2sign.writers.manifest import describe_job
from schedule2sign.writers.read_me import ReadMe

SCHEDULE = "Door,Room Number,Room Name,Level\n101,101,CONFERENCE ROOM,1\n102,102,STORAGE,1\n"
JOB = """
[job]
id = "WV"
numbers = "final"

[make]
finish = "gloss"
"""
WAIVER = """
[[waiver]]
rule = "visual/finish"
code = "glare"
sign = "WV-01-101-C"
reason = "the owner accepted the sample"
name = "R. Osei"
date = 2026-11-01
until = 2026-12-31
"""


def say(capsys: pytest.CaptureFixture[str], *arguments: str, code: int = 0) -> str:
    assert main(arguments) == code
    return capsys.readouterr().out


def say_json(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    document = json.loads(say(capsys, *arguments, "--json"))
    assert document["schema"] == 1
    return document


# ---- the rule book -----------------------------------------------------------------------------------------------


def test_standards_are_listed_with_edition_and_basis(capsys: pytest.CaptureFixture[str]) -> None:
    text = say(capsys, "standards")
    assert all(f"{name}: " in text for name in profile_ids())
    standards = {entry["id"]: entry for entry in say_json(capsys, "standards")["standards"]}
    assert [name for name, entry in standards.items() if entry["experimental"]] == ["au-ncc", "de"]
    assert standards["us-strict"]["built_on"] == "us-california"
    assert standards["us-ada-2010"]["values_by_basis"]["standard"] > 30
    assert "memory" not in standards["us-ada-2010"]["values_by_basis"]


def test_every_limit_in_force_has_value_unit_clause_and_basis(capsys: pytest.CaptureFixture[str]) -> None:
    text = say(capsys, "rules", "--standard", "us-california", "--resolved")
    assert "    dot pitch: 0.100 in (CBC Table 11B-703.3.1) [standard]\n" in text
    assert "    raised depth: 1/32 in min. (ADA 703.2.1) [standard]\n" in text
    assert (
        "    braille gap: 3/8 to 1/2 in (CBC 11B-703.3.2; limit from memory, not read in the text) [memory]\n" in text
    )
    document = say_json(capsys, "rules", "--standard", "us-california", "--resolved")
    assert [rule["id"] for rule in document["rules"]] == [rule.id for rule in RULES]
    keys = {limit["key"] for rule in document["rules"] for limit in rule["limits"]}
    assert keys == set(load_profile("us-california").limits)


def test_coverage_names_a_rule_or_the_reason(capsys: pytest.CaptureFixture[str]) -> None:
    text = say(capsys, "rules", "--coverage")
    assert "F-43   Depth of raised characters (703.2.1)\n       judged by raised/depth\n" in text
    assert "F-87   Clear floor of 18 by 18 in. (703.4.2)\n       needs site data." in text
    for name in profile_ids():
        rows = say_json(capsys, "rules", "--coverage", "--standard", name)["coverage"]
        assert all(row["rules"] or (row["needs"] and row["why"]) for row in rows)


def test_rules_alone_lists_them(capsys: pytest.CaptureFixture[str]) -> None:
    assert [line.split()[0] for line in say(capsys, "rules").splitlines()] == [rule.id for rule in RULES]


def test_catalog_is_written(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert f"{len(RULES) + 1} files" in say(capsys, "rules", "--catalog", str(tmp_path / "new"))
    assert len(list((tmp_path / "new" / "drawings").iterdir())) == len(RULES)


def test_explain_shows_every_standard_and_a_drawing_that_exists(capsys: pytest.CaptureFixture[str]) -> None:
    for rule in RULES:
        page = say_json(capsys, "explain", rule.id)
        assert set(page["limits"]) == set(profile_ids())
        assert Path(page["drawing"]).is_file()
        assert page["how"].endswith(".")
    assert "us-strict      the same as us-california" in say(capsys, "explain", "braille/dot-pitch")
    assert "us-california" not in say(capsys, "explain", "braille/dot-pitch", "--standard", "us-ada-2010")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["explain", "braille/dotpitch"], "Near it: braille/dot-pitch"),
        (["explain", "raised/depth", "--standard", "us-ada-1991"], "Known: au-ncc, de, us-ada-2010"),
        (["rules", "--standard", "x"], "no standard profile 'x'"),
        (["rules", "--catalog", "/dev/null/x"], "cannot be written"),
    ],
)
def test_bad_input_is_exit_2(arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments) == 2
    assert words in capsys.readouterr().err


# ---- waivers and margins -----------------------------------------------------------------------------------------


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "s.csv").write_text(SCHEDULE, encoding="utf-8")
    (tmp_path / "w.toml").write_text(WAIVER, encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


def build(job: Path, *more: str) -> tuple[dict[str, Any], str]:
    """The run's manifest and 00-READ-ME, without the drawings."""
    options = _parser().parse_args(["check", str(job.parent / "s.csv"), "--job", str(job), *more])
    made = build_job(options.schedules, settings_of(options))
    (read_me,) = ReadMe().render(made)
    return describe_job(made), read_me.data.decode("utf-8")


def test_a_waived_sign_is_released_and_the_waiver_printed(job: Path) -> None:
    manifest, read_me = build(job, "--waivers", str(job.parent / "w.toml"), "--today", "2026-12-31")
    assert {sign["id"]: sign["status"] for sign in manifest["signs"]} == {
        "WV-01-101-C": "released",
        "WV-01-102-C": "held",
    }
    assert [(waiver["sign"], waiver["state"]) for waiver in manifest["waivers"]] == [("WV-01-101-C", "used")]
    assert "WAIVERS: 1 used." in read_me
    assert "USED: rules/visual/finish/glare on WV-01-101-C, given by R. Osei on 2026-11-01, until" in read_me
    (flag,) = [flag for flag in manifest["flags"] if flag["sign_id"] == "WV-01-101-C" and "glare" in flag["code"]]
    assert flag["severity"] == "NOTE"
    assert flag["message"].startswith("Waived by R. Osei on 2026-11-01 until 2026-12-31 (the owner accepted")


def test_a_run_with_an_expired_waiver_is_exit_1(job: Path) -> None:
    job.write_text(JOB.replace("gloss", "matte"), "utf-8")
    arguments = ["check", str(job.parent / "s.csv"), "--job", str(job), "--quiet"]
    assert main(arguments) == 0
    assert main([*arguments, "--waivers", str(job.parent / "w.toml"), "--today", "2027-01-01"]) == 1


def test_an_expired_waiver_holds(job: Path) -> None:
    manifest, read_me = build(job, "--waivers", str(job.parent / "w.toml"), "--today", "2027-01-01")
    assert {sign["status"] for sign in manifest["signs"]} == {"held"}
    assert "WAIVERS: 1 expired." in read_me
    assert "rules/waiver-expired" in {flag["code"] for flag in manifest["flags"]}


def test_an_unused_waiver_holds(job: Path) -> None:
    job.write_text(JOB.replace("gloss", "matte") + '[checks]\nwaivers = "w.toml"\ndate = 2026-12-01\n', "utf-8")
    manifest, read_me = build(job)
    assert {sign["id"]: sign["status"] for sign in manifest["signs"]} == {
        "WV-01-101-C": "held",
        "WV-01-102-C": "released",
    }
    assert "WAIVERS: 1 unused." in read_me


def test_the_job_file_finds_its_waivers_beside_it_and_its_day(job: Path) -> None:
    job.write_text(JOB + '[checks]\nwaivers = "w.toml"\ndate = 2026-12-01\n', "utf-8")
    manifest, _ = build(job)
    assert manifest["waivers"][0]["state"] == "used"
    manifest, _ = build(job, "--today", "2030-01-01")
    assert manifest["waivers"][0]["state"] == "expired"


def test_without_waivers_nobody_looks_at_the_day(job: Path) -> None:
    manifest, read_me = build(job)
    assert manifest["waivers"] == []
    assert "WAIVERS: none." in read_me


def test_a_waiver_of_braille_is_refused(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = WAIVER.replace("visual/finish", "braille/grade").replace("glare", "other-code")
    (job.parent / "w.toml").write_text(text, encoding="utf-8")
    arguments = ["check", str(job.parent / "s.csv"), "--waivers", str(job.parent / "w.toml")]
    assert main(arguments) == 2
    assert "braille/grade takes no waiver" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ("[checks]\ndate = 2026-12-01T00:00:00\n", "checks.date must be a date"),
        ("[checks]\ntolerance = 2\n", "checks.tolerance must be text"),
        ("[checks]\ntolerances = '2 mm'\n", "[checks] has 'tolerances'"),
    ],
)
def test_a_faulty_checks_table_is_refused(job: Path, more: str, words: str, capsys: pytest.CaptureFixture[str]) -> None:
    job.write_text(JOB + more, "utf-8")
    assert main(["check", str(job.parent / "s.csv"), "--job", str(job)]) == 2
    assert words in capsys.readouterr().err


def test_a_day_that_is_none_is_refused(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(job.parent / "s.csv"), "--today", "tomorrow"]) == 2
    assert "--today 'tomorrow' is no date" in capsys.readouterr().err


def test_margins_go_by_the_job_own_tolerance(job: Path) -> None:
    """The middle of the line pitch window, 0.395 to 0.400 in., is 0.0025 in. from both ends."""
    for tolerance, noted in (("0.002 in", False), ("0.003 in", True)):
        job.write_text(JOB.replace("gloss", "matte") + f'[checks]\ntolerance = "{tolerance}"\n', "utf-8")
        manifest, _ = build(job)
        codes = {flag["code"] for flag in manifest["flags"] if flag["severity"] == "NOTE"}
        assert ("rules/braille/line-pitch/close-to-limit" in codes) is noted
        assert all(("braille/line-pitch" in sign["close_to_limit"]) is noted for sign in manifest["signs"])
        assert {sign["status"] for sign in manifest["signs"]} == {"released"}


def test_heights_and_distance_of_the_job_reach_the_rules(job: Path) -> None:
    more = '[checks]\nplate_top = "80 in"\nviewing_distance = "120 in"\n'
    job.write_text(JOB.replace("gloss", "matte") + more, "utf-8")
    manifest, _ = build(job)
    codes = {flag["code"] for flag in manifest["flags"]}
    assert {"rules/mounting/height/too-large", "rules/visual/height/too-small"} <= codes


def test_every_rule_on_every_sign_is_listed_with_its_margin(job: Path) -> None:
    job.write_text(JOB.replace("gloss", "matte"), "utf-8")
    out = job.parent / "out"
    assert main(["build", str(job.parent / "s.csv"), "--job", str(job), "-o", str(out), "--quiet"]) == 0
    manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    with (out / "checks.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for sign in manifest["signs"]:
        listed = {row["rule"]: row["verdict"] for row in rows if row["sign id"] == sign["id"]}
        assert listed == {rule: outcome for outcome, rules in sign["verdicts"].items() for rule in rules}
        assert set(listed) == {rule.id for rule in RULES}
    (pitch,) = [row for row in rows if row["sign id"] == "WV-01-101-C" and row["what"] == "dot_pitch"]
    assert (pitch["measured"], pitch["required"], pitch["margin"]) == ("0.09500", "0.090 to 0.100 in", "0.00500")
    assert (pitch["clause"], pitch["limit read how"]) == ("ADA Table 703.3.1", "standard")
    rules = {rule["id"]: rule for rule in manifest["rules"]}
    assert rules["plate/edge"]["limits"][0]["basis"] == "house"


def test_day_of_the_machine_is_used_only_for_waivers(
    job: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Bytes of a run without waivers cannot depend on the day."""

    def no_clock(text: str | None) -> date:
        raise AssertionError(text)

    monkeypatch.setattr(jobs, "_day", no_clock)
    assert main(["check", str(job.parent / "s.csv"), "--quiet"]) == 0
    capsys.readouterr()
    with pytest.raises(AssertionError):
        jobs.settings_of(jobs_options(job))


def jobs_options(job: Path) -> Any:
    return _parser().parse_args(["check", str(job.parent / "s.csv"), "--waivers", str(job.parent / "w.toml")])


# ---- fonts -------------------------------------------------------------------------------------------------------


def test_font_says_yes_with_numbers(capsys: pytest.CaptureFixture[str]) -> None:
    text = say(capsys, "font", "Inter-Regular.otf")
    assert "YES" in text
    for title in ("Stroke of I", "Width of O", "Bars on the capital I", "Slant", "Embedding", "Thinnest", "counter"):
        assert title in text
    assert "no cutter given" not in text


def test_font_says_no_with_the_reason(capsys: pytest.CaptureFixture[str]) -> None:
    text = say(capsys, "font", "Inter-Regular.otf", "--height", "5/8 in", "--cutter", "0.2 in", code=1)
    assert "Smallest counter at 0.625 in: 0.1448 in (A); 0.2000 in min." in text
    assert "NO" in text


def test_font_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    document = say_json(capsys, "font", "Inter-Regular.otf")
    assert document["accepted"] is True
    assert all(check["met"] for check in document["checks"])


def test_what_is_no_font_is_exit_2(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "x.ttf"
    path.write_text("no font", encoding="utf-8")
    assert main(["font", str(path)]) == 2
    assert "x.ttf" in capsys.readouterr().err
