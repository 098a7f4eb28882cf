"""From the sheet a transcriber signs to the next run, which asks nothing signed again."""

import io
import re
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook

from schedule2sign.cli.main import main
from schedule2sign.errors import InputError
from schedule2sign.geometry.brailleascii import ascii_braille
from schedule2sign.model.job import Job
from schedule2sign.pipeline import build_job
from schedule2sign.settings import load_settings
from schedule2sign.writers.manifest import describe_job
from schedule2sign.writers.risk_sheet import RiskSheet
from schedule2sign.writers.sign_list import SignListWriter

SCHEDULE = """Door,Room No,Room Name
101,101,ZORBLAX ROOM
102,102,BAKER ROOM
103,103,COPY OR MAIL
104,104,PENTHOUSE
105,105,DR. VALE LIBRARY
106,106,BAKER STUDIO
107,107,STAFF LOUNGE
"""
JOB = '[job]\nid = "T1"\nnumbers = "final"\n'


def build(folder: Path, job_file: str) -> Job:
    (folder / "doors.csv").write_text(SCHEDULE)
    (folder / "job.toml").write_text(job_file)
    return build_job([folder / "doors.csv"], load_settings(folder / "job.toml"))


def put_sheet(job: Job, path: Path) -> Path:
    """The check sheet of the job alone, without the rest of its folder."""
    (file,) = RiskSheet().render(job)
    path.write_bytes(file.data)
    return path


def asked(job: Job) -> set[str]:
    """Codes of the braille questions somebody must answer, also those another stage asks for braille too."""
    said = [(flag.code, flag.message) for flag in job.flags if flag.severity != "NOTE"]
    return {
        code
        for own, message in said
        for code in (own, *re.findall(r"braille/[a-z-]+", message))
        if code.startswith("braille/")
    }


def columns(page: Any) -> dict[str, int]:
    return {cell.value: cell.column for cell in page[1]}


def sign_sheet(path: Path, **answers: dict[str, str]) -> None:
    """Initials and date into every row of the sheet, and the answers into the row of their term."""
    book = load_workbook(path)
    page = book["To check"]
    place = columns(page)
    for row in range(2, page.max_row + 1):
        said = {"initials": "M. O.", "date": datetime(2026, 3, 4)}  # noqa: DTZ001 - a cell's date has no zone
        said |= answers.get(str(page.cell(row, 1).value), {})
        for header, value in said.items():
            page.cell(row, place[header]).value = value
    book.save(path)


def rows(path: Path, title: str) -> dict[str, dict[str, Any]]:
    page = load_workbook(path)[title]
    headers = [cell.value for cell in page[1]]
    return {str(row[0]): dict(zip(headers, row, strict=True)) for row in page.iter_rows(min_row=2, values_only=True)}


def test_a_signed_term_is_not_asked_again(tmp_path: Path) -> None:
    first = build(tmp_path, JOB)
    assert {"braille/unknown-word", "braille/name-or-word", "braille/acronym-or-word", "braille/name-extent"} <= asked(
        first
    )
    signed = put_sheet(first, tmp_path / "signed.xlsx")
    sheet = rows(signed, "To check")
    assert set(sheet) == {"ZORBLAX", "BAKER", "COPY OR MAIL", "PENTHOUSE", "DR. VALE LIBRARY"}
    assert sheet["BAKER"]["signs"] == 2  # on the lines BAKER ROOM and BAKER STUDIO
    assert sheet["DR. VALE LIBRARY"]["written as"] == "Dr. Vale Library"
    assert (sheet["PENTHOUSE"]["ASCII braille"], sheet["PENTHOUSE"]["reads back as"]) == ("P5TH\\SE", "penthouse")
    assert (sheet["ZORBLAX"]["take as"], sheet["ZORBLAX"]["ASCII braille"]) == (None, None)

    sign_sheet(signed, ZORBLAX={"take as": "names", "ASCII braille": ",zorblax"})
    second = build(tmp_path, JOB + '[lexicon]\nsigned = ["signed.xlsx"]\n')
    assert asked(second) == set()
    assert second.risks == ()
    # Nor does the cleaning of names ask whether a signed word is one.
    assert [flag for flag in second.flags if "ZORBLAX" in flag.message and flag.severity != "NOTE"] == []
    cells = {line.text: ascii_braille(line.cells) for line in second.braille_lines}
    assert cells["ZORBLAX ROOM"] == ",ZORBLAX ROOM"
    assert cells["BAKER ROOM"] == "BAK] ROOM"
    # Who and when stay on record, in a form the next run can read.
    before = rows(put_sheet(second, signed), "Signed before")
    assert (before["BAKER"]["initials"], before["BAKER"]["date"]) == ("M. O.", "2026-03-04")
    signers = describe_job(second)["braille_check"]["signed"]
    assert {(term["by"], term["on"]) for term in signers} == {("M. O.", "2026-03-04")}
    third = build(tmp_path, JOB + '[lexicon]\nsigned = ["signed.xlsx"]\n')
    assert (asked(third), third.risks) == (set(), ())
    assert [sign.design for sign in third.signs] == [sign.design for sign in second.signs]


def test_a_row_nobody_signed_stays_open(tmp_path: Path) -> None:
    first = build(tmp_path, JOB)
    put_sheet(first, tmp_path / "signed.xlsx")
    again = build(tmp_path, JOB + '[lexicon]\nsigned = ["signed.xlsx"]\n')
    assert (again.risks, asked(again)) == (first.risks, asked(first))


def test_what_is_signed_is_drilled_and_told(tmp_path: Path) -> None:
    job = build(
        tmp_path,
        JOB
        + """
[[lexicon.checked]]
term = "PENTHOUSE"
take_as = "words"
braille = "penth\\\\se"
by = "M. O."
on = 2026-03-04

[[lexicon.checked]]
term = "COPY OR MAIL"
take_as = "line"
braille = "copy ,,or mail"
by = "M. O."
on = "2026-03-04"
""",
    )
    lines = {line.text: line for line in job.braille_lines}
    assert ascii_braille(lines["PENTHOUSE"].cells) == "PENTH\\SE"
    assert [(flag.code, flag.severity) for flag in lines["PENTHOUSE"].flags] == [("braille/signed-differs", "NOTE")]
    assert (lines["COPY OR MAIL"].back, lines["COPY OR MAIL"].cells[5:8]) == ("copy OR mail", "\u2820\u2820\u2815")
    assert [flag.code for flag in lines["COPY OR MAIL"].flags] == ["braille/signed-line"]
    drilled = next(sign for sign in job.signs if sign.request.messages[-1].text == "PENTHOUSE")
    assert drilled.layout is not None
    assert drilled.layout.braille[-1].cells == lines["PENTHOUSE"].cells


def test_signed_cells_that_read_otherwise_hold_the_sign(tmp_path: Path) -> None:
    job = build(tmp_path, JOB + CHECKED.format(term="PENTHOUSE", take_as="words", braille="men"))
    (line,) = [line for line in job.braille_lines if line.text == "PENTHOUSE"]
    assert [(flag.code, flag.severity) for flag in line.flags] == [
        ("braille/signed-differs", "NOTE"),
        ("braille/signed-reads", "HOLD"),
    ]
    assert {sign.status for sign in job.signs if any(one.text == "PENTHOUSE" for one in sign.braille)} == {"held"}


def test_a_person_may_accept_signed_cells_the_engine_misreads(tmp_path: Path) -> None:
    """The engine may be what is wrong: a sign held for nothing else is released by an accept in the sign list."""
    signed = JOB + CHECKED.format(term="PENTHOUSE", take_as="words", braille="men")
    first = build(tmp_path, signed)
    (held,) = [sign for sign in first.signs if any(one.text == "PENTHOUSE" for one in sign.braille)]
    (file,) = SignListWriter().render(first)
    book = load_workbook(io.BytesIO(file.data))
    page = book["Sign list"]
    at = columns(page)
    row = next(row[0].row for row in page.iter_rows(min_row=2) if row[0].value == held.request.sign_id)
    page.cell(row, at["decision"]).value = "accept"
    page.cell(row, at["answered by"]).value = "M. O."
    book.save(tmp_path / "answers.xlsx")
    second = build_job(
        [tmp_path / "doors.csv"], load_settings(tmp_path / "job.toml"), decisions=[tmp_path / "answers.xlsx"]
    )
    (released,) = [sign for sign in second.signs if sign.request.sign_id == held.request.sign_id]
    assert released.status == "released"
    assert any(flag.code == "braille/signed-reads" and flag.severity == "NOTE" for flag in released.flags)


CHECKED = '[[lexicon.checked]]\nterm = "{term}"\ntake_as = "{take_as}"\nbraille = "{braille}"\nby = "M. O."\non = "x"\n'


@pytest.mark.parametrize(
    ("job_file", "said"),
    [
        ('[[lexicon.checked]]\nterm = "BAKER"\ntake_as = "words"\nbraille = "bak]"\n', "lacks by, on"),
        (CHECKED.format(term="BAKER", take_as="maybe", braille="bak]"), "must be one of names, spelled, spoken, words"),
        (CHECKED.format(term="BAKER", take_as="words", braille="b\u00e9"), "is no ASCII braille"),
        (CHECKED.format(term="BAKER", take_as="words", braille="bak ]"), "one group of cells for each word"),
        (
            CHECKED.format(term="BAKER", take_as="words", braille="bak]")
            + CHECKED.format(term="BAKER", take_as="names", braille=",bak]"),
            "signed twice and not alike",
        ),
        ("[lexicon]\nchecked = 1\n", "must be a list of tables"),
        ('[lexicon]\nsigned = ["no-such.xlsx"]\n', "cannot be read"),
        ('[lexicon]\nsigned = ["job.toml"]\n', "cannot be read as an xlsx workbook"),
    ],
)
def test_a_sign_off_that_makes_no_sense_is_refused(tmp_path: Path, job_file: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        build(tmp_path, JOB + job_file)


def test_a_half_signed_row_names_itself(tmp_path: Path) -> None:
    signed = put_sheet(build(tmp_path, JOB), tmp_path / "signed.xlsx")
    sign_sheet(signed, ZORBLAX={"take as": "names"})
    with pytest.raises(
        InputError, match=r"signed.xlsx \[To check\] row 2: 'ZORBLAX' is signed but lacks ASCII braille"
    ):
        build(tmp_path, JOB + '[lexicon]\nsigned = ["signed.xlsx"]\n')


def test_another_workbook_is_no_signed_sheet(tmp_path: Path) -> None:
    Workbook().save(tmp_path / "other.xlsx")
    with pytest.raises(InputError, match=r"give a signed braille-check\.xlsx"):
        build(tmp_path, JOB + '[lexicon]\nsigned = ["other.xlsx"]\n')


def test_the_braille_command_knows_what_was_signed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "job.toml").write_text(CHECKED.format(term="ZORBLAX", take_as="names", braille=",zorblax"))
    assert main(["braille", "ZORBLAX ROOM", "--job", str(tmp_path / "job.toml")]) == 0
    assert "Zorblax room" in capsys.readouterr().out
