"""What many rows ask alike is one question; tables print whole; the proof book has an outline."""

import io
import re
import shutil
import subprocess
import zipfile
from dataclasses import replace
from importlib import util
from pathlib import Path
from types import ModuleType

import openpyxl
import pytest

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job
from schedule2sign.model.source import Source
from schedule2sign.resources import demo_folder
from schedule2sign.writers.flagged import Flagged
from schedule2sign.writers.markedcopy import mark_workbook
from schedule2sign.writers.pdf import PageSetup, render_pdf
from schedule2sign.writers.pdfblocks import Break, bookmark, paragraph
from schedule2sign.writers.questions import ask_questions, label_flags, tally
from schedule2sign.writers.read_me import ReadMe
from schedule2sign.writers.report import Report
from schedule2sign.writers.sheet import render_workbook
from schedule2sign.writers.sheetprint import pages_across, row_height_pt
from schedule2sign.writers.table import Column, Sheet


def load_sample() -> ModuleType:
    path = Path(__file__).resolve().parents[1] / "golden" / "sample_job.py"
    spec = util.spec_from_file_location("sample_job", path)
    assert spec is not None
    assert spec.loader is not None
    module = util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


sample = load_sample()
ROWS = 60


def glass(row: int, severity: Severity = Severity.ASK, fix: str = "Say whether it goes on glass.") -> Flag:
    return Flag(
        code="signlist/glass",
        severity=severity,
        message=f"Door {row} has glass where its sign would hang",
        source=Source(file="a.xlsx", sheet="S", row=row),
        fix=fix,
        who="architect",
    )


@pytest.fixture
def job() -> Job:
    said = (
        Flag(code="naming/janitor-wording", severity=Severity.NOTE, message="Told."),
        *(glass(row) for row in range(1, ROWS + 1)),
        glass(71, fix="Say whether the word KILN stays."),
        Flag(code="naming/person-name", severity=Severity.HOLD, message="A person's name.", who="owner", fix="Rename."),
        glass(72, Severity.HOLD),
    )
    made: Job = sample.sample_job()
    return replace(made, flags=said)


def test_sixty_rows_that_ask_the_same_are_one_question(job: Job) -> None:
    questions = ask_questions(job)
    assert [(one.label, one.who, one.first.severity.value, len(one.flags)) for one in questions] == [
        ("Q1", "architect", "HOLD", 1),
        ("Q2", "architect", "ASK", ROWS),
        ("Q3", "architect", "ASK", 1),
        ("Q4", "owner", "HOLD", 1),
    ]
    assert tally(questions) == f"4 questions from {ROWS + 3} open flags, of which 2 hold signs or rows until answered"
    assert questions[1].what == "Such as: Door 1 has glass where its sign would hang."
    assert len(questions[1].places) == ROWS, "every row is named"
    assert questions[1].where.endswith("and 20 more")
    assert questions[3].where == "the whole job"


def test_every_open_flag_belongs_to_one_question_and_a_note_to_none(job: Job) -> None:
    labels = label_flags(ask_questions(job))
    for flag in job.flags:
        assert (flag in labels) == (flag.severity is not Severity.NOTE), flag


def test_the_flagged_list_leads_from_a_question_to_its_rows(job: Job) -> None:
    (file,) = [file for file in Flagged().render(job) if file.path == "flagged.xlsx"]
    book = openpyxl.load_workbook(io.BytesIO(file.data))
    head, *rows = book["Questions"].iter_rows(values_only=True)
    asked = [dict(zip(head, row, strict=True)) for row in rows]
    assert [(row["question"], row["asked of"], row["code"]) for row in asked][1] == ("Q2", ROWS, "signlist/glass")
    head, *rows = book["Flagged"].iter_rows(values_only=True)
    labels = [dict(zip(head, row, strict=True))["question"] for row in rows]
    for row in asked:
        assert labels.count(row["question"]) == row["asked of"]
    assert labels.count(None) == 1, "a note asks nothing"


def test_the_first_page_and_the_report_say_each_question_once(job: Job) -> None:
    text = next(iter(ReadMe().render(job))).data.decode()
    assert f"ASK ({ROWS} times): Such as: Door 1 has glass where its sign would hang. Say" in text
    assert text.count("has glass where its sign") == 3
    assert text.index("To answer: architect") < text.index("To answer: owner")
    page = next(iter(Report().render(job))).data.decode()
    table = page[page.index("Table of questions") : page.index('id="flags-head"')]
    assert table.count("<tr>") == 1 + 4
    assert f"<td>{ROWS}</td>" in table


def test_many_signs_held_for_one_reason_share_lines_and_each_is_named() -> None:
    job = sample.sample_job()
    held = next(sign for sign in job.signs if sign.status.value == "held")
    many = tuple(
        replace(held, request=replace(held.request, sign_id=f"HH-01-{number}-C")) for number in range(200, 240)
    )
    text = next(iter(ReadMe().render(replace(job, signs=many)))).data.decode()
    part = text[text.index("HELD SIGNS: 40") : text.index("WAIVERS")]
    assert part.count("\n") < 12
    for sign in many:
        assert sign.request.sign_id in part, "no sign id is dropped or broken at a line end"


@pytest.mark.parametrize(
    ("text", "lines"),
    [("", 1), ("short", 1), ("one\ntwo\nthree", 3), ("word " * 40, 12), ("WORD " * 40, 13), (7, 1)],
)
def test_a_row_is_high_enough_for_its_wrapped_text(text: object, lines: int) -> None:
    # 15 points a line of 11 point type (common practice, no source); 20 characters a line, less what words leave.
    assert row_height_pt((text,), (20,)) >= 15 * lines
    assert row_height_pt((text,), (20,)) <= 15 * (lines + 2)


def test_a_row_is_never_higher_than_a_spreadsheet_allows() -> None:
    assert row_height_pt(("word " * 9000,), (20,)) <= 409.5  # the limit of spreadsheet programs (from memory)


def test_a_wide_table_prints_over_several_pages_with_its_first_columns_on_each() -> None:
    columns = tuple(Column(f"c{number}", 40) for number in range(12))
    sheet = Sheet("T", columns, (("x",) * 12,), repeat=2)
    assert pages_across(sheet.widths) == 2
    for unit, paper in (("in", 1), ("mm", 9)):  # ECMA-376 part 1, 18.3.1.63: 1 letter, 9 A4
        page = openpyxl.load_workbook(io.BytesIO(render_workbook((sheet,), "t", unit)))["T"]
        assert (page.page_setup.paperSize, page.page_setup.fitToWidth) == (paper, 2)
        assert (page.print_title_cols, page.print_title_rows) == ("$A:$B", "$1:$1")
        marked = b"".join(
            mark_workbook((demo_folder() / "alder-point-doors.xlsx").read_bytes(), (), (sheet,), unit).chunks()
        )
        page = openpyxl.load_workbook(io.BytesIO(marked))["T"]
        assert (page.page_setup.paperSize, page.page_setup.fitToWidth) == (paper, 2)
        assert (page.print_title_cols, page.print_title_rows) == ("$A:$B", "$1:$1")


def test_names_the_customer_gave_stay_beside_the_repeated_headers() -> None:
    book = openpyxl.Workbook()
    book.active["A1"] = "x"
    book.defined_names["THEIRS"] = openpyxl.workbook.defined_name.DefinedName("THEIRS", attr_text="Sheet!$A$1")
    stream = io.BytesIO()
    book.save(stream)
    marked = b"".join(mark_workbook(stream.getvalue(), (), (Sheet("It's", (Column("a", 5),), (("1",),)),)).chunks())
    after = openpyxl.load_workbook(io.BytesIO(marked))
    assert after.defined_names["THEIRS"].attr_text == "Sheet!$A$1"
    assert after["It's"].print_title_rows == "$1:$1"
    with zipfile.ZipFile(io.BytesIO(marked)) as archive:
        text = archive.read("xl/workbook.xml").decode()
    assert text.index("</sheets>") < text.index("<definedNames") < text.index("<calcPr")  # the order of 18.2.27


@pytest.mark.skipif(shutil.which("pdftohtml") is None, reason="poppler is not installed")
def test_an_outline_entry_leads_to_the_page_it_stands_on(tmp_path: Path) -> None:
    parts = [bookmark("One"), paragraph("a"), Break(), paragraph("b"), bookmark("Two & <three>"), bookmark("x", 1)]
    (tmp_path / "a.pdf").write_bytes(b"".join(render_pdf(PageSetup(title="T & T"), parts)))
    command = ["pdftohtml", "-xml", "-stdout", "-i", "a.pdf"]
    text = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=True, timeout=60).stdout
    found = re.findall(r'<item page="(\d+)">(.*?)</item>', text)
    assert found == [("1", "One"), ("2", "Two &amp; &lt;three&gt;"), ("2", "x")]


def test_a_paper_says_its_language_and_shows_its_title() -> None:
    data = b"".join(render_pdf(PageSetup(title="Proof"), [paragraph("a")]))
    assert b"/Lang (en-US)" in data  # ISO 32000-1, 14.9.2.1
    assert b"/DisplayDocTitle true" in data  # ISO 32000-1, table 150
    assert b"/UseOutlines" not in data, "there is none to show"
