"""Braille codes of a job: the profile's own, the job's, one for each line, two languages on a sign."""

from pathlib import Path

import pytest

from schedule2sign.errors import InputError
from schedule2sign.geometry.brailleascii import ascii_braille
from schedule2sign.model.flag import Severity
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.pipeline import build_job
from schedule2sign.settings import load_settings

JOB = '[job]\nid = "C1"\nnumbers = "final"\n'


def build(folder: Path, job_file: str, *names: str) -> Job:
    rows = "".join(f"10{place},10{place},{name}\n" for place, name in enumerate(names, start=1))
    (folder / "doors.csv").write_text(f"Door,Room No,Room Name\n{rows}", encoding="utf-8")
    (folder / "job.toml").write_text(JOB + job_file, encoding="utf-8")
    return build_job([folder / "doors.csv"], load_settings(folder / "job.toml"))


def drilled(sign: SignRecord) -> list[tuple[str, str, str]]:
    assert sign.layout is not None
    return [(line.text, ascii_braille(line.cells), line.code) for line in sign.layout.braille]


def codes(sign: SignRecord, prefix: str) -> dict[str, str]:
    return {flag.code: str(flag.severity) for flag in sign.flags if flag.code.startswith(prefix)}


def test_the_default_is_contracted_ueb(tmp_path: Path) -> None:
    (sign,) = build(tmp_path, "", "STAFF LOUNGE").signs
    assert drilled(sign)[1] == ("STAFF LOUNGE", "/AFF L\\NGE", "ueb-contracted")


def test_australia_is_uncontracted(tmp_path: Path) -> None:
    # NCC 2022 Specification 15: Grade 1 (uncontracted), read in a secondary source.
    (sign,) = build(tmp_path, '[standard]\nid = "au-ncc"\n', "STAFF LOUNGE").signs
    assert ("STAFF LOUNGE", "STAFF LOUNGE", "ueb-uncontracted") in [
        (line.text, ascii_braille(line.cells), line.code) for line in sign.braille
    ]


def test_uncontracted_braille_can_be_chosen_and_is_held_where_the_standard_wants_contracted(tmp_path: Path) -> None:
    (sign,) = build(tmp_path, '[standard]\nbraille_code = "ueb-uncontracted"\n', "STAFF LOUNGE").signs
    # ADA 703.3: braille shall be contracted (Grade 2).
    assert drilled(sign)[1] == ("STAFF LOUNGE", "STAFF LOUNGE", "ueb-uncontracted")
    assert codes(sign, "rules/braille/grade") == {"rules/braille/grade/other-code": "HOLD"}


def test_the_old_us_code_comes_with_a_note(tmp_path: Path) -> None:
    station, waiting = build(
        tmp_path, '[standard]\nbraille_code = "us-2016-and-before"\n', "STATION", "WAITING ROOM"
    ).signs
    assert drilled(station)[1] == ("STATION", "/,N", "us-2016-and-before")  # ation is dots 6, 1345 there (from memory)
    assert codes(station, "braille/") == {"braille/old-code": "NOTE"}
    assert waiting.status is Status.RELEASED


# The accented letters of each code, from memory; the English line above keeps its contractions.
@pytest.mark.parametrize(
    ("code", "wording", "expected"),
    [
        ("spanish", "Ba\u00f1o", "BA]O"),
        ("french", "Caf\u00e9", "CAF="),
        ("german", "Schule", ":ULE"),
        ("ueb-uncontracted", "Staff", "STAFF"),
    ],
)
def test_each_language_of_a_sign_is_in_its_own_code(tmp_path: Path, code: str, wording: str, expected: str) -> None:
    second = f'[second_language]\ncode = "{code}"\nnames = {{ "Staff Lounge" = "{wording}" }}\n'
    (sign,) = build(tmp_path, second, "STAFF LOUNGE").signs
    assert sign.request.template == "room-bilingual"
    assert drilled(sign) == [
        ("101", "#AJA", "ueb-contracted"),
        ("STAFF LOUNGE", "/AFF L\\NGE", "ueb-contracted"),
        (wording.upper(), expected, code),
    ]
    # The standard asks for contracted English braille, so the second code is asked, not held.
    assert codes(sign, "rules/braille/grade") == {"rules/braille/grade/job-code": "ASK"}


def test_a_line_can_have_a_code_of_its_own(tmp_path: Path) -> None:
    chosen = '[standard.line_codes]\n"Staff Lounge" = "ueb-uncontracted"\nnumber = "us-2016-and-before"\n'
    first, second = build(tmp_path, chosen, "STAFF LOUNGE", "WAITING ROOM").signs
    assert [(line.text, line.code) for line in first.braille] == [
        ("101", "us-2016-and-before"),
        ("STAFF LOUNGE", "ueb-uncontracted"),
    ]
    assert second.braille[1].code == "ueb-contracted"


def test_a_sign_left_in_one_language_is_asked(tmp_path: Path) -> None:
    second = '[second_language]\ncode = "spanish"\nnames = { MEN = "CABALLEROS" }\n'
    job = build(tmp_path, second, "STAFF LOUNGE", "MEN")
    asked = [flag for sign in job.signs for flag in sign.flags if flag.code == "braille/one-language"]
    assert [flag.severity for flag in asked] == [Severity.ASK, Severity.ASK]
    assert "has no spanish wording" in asked[0].message
    assert "no 'restroom' template for two" in asked[1].message


@pytest.mark.parametrize(
    "job_file",
    ['[standard.line_codes]\nnumber = "morse"\n', '[second_language]\ncode = "morse"\n', "[second_language]\n"],
)
def test_an_unknown_code_is_named(tmp_path: Path, job_file: str) -> None:
    if job_file.endswith("]\n"):
        assert build(tmp_path, job_file, "LOBBY").signs  # an empty table asks for nothing
        return
    with pytest.raises(InputError, match="no braille code 'morse'"):
        build(tmp_path, job_file, "LOBBY")
