"""Lists and records of a run, read back with programs that know nothing of ours."""

import csv
import importlib.util
import io
import json
import re
import tracemalloc
import zipfile
from dataclasses import replace
from pathlib import Path
from types import ModuleType, SimpleNamespace

import openpyxl
import pytest
import python_calamine

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job
from schedule2sign.model.rule import Outcome, Verdict
from schedule2sign.writers import chunks
from schedule2sign.writers.checks import Checks
from schedule2sign.writers.colors import find_colors, mix
from schedule2sign.writers.flagged import Flagged
from schedule2sign.writers.manifest import Manifest
from schedule2sign.writers.numbers import fixed, trimmed
from schedule2sign.writers.protocol import Writer
from schedule2sign.writers.read_me import ReadMe
from schedule2sign.writers.registry import SIGN_FILES, WRITERS
from schedule2sign.writers.sheet import render_csv, render_workbook
from schedule2sign.writers.sign_list import DECISIONS, SignListWriter
from schedule2sign.writers.table import Column, Sheet
from schedule2sign.writers.text import cell_text, clean_text, csv_text

# Words a shop tool must not use of its own output (common practice, no source), unless denied.
CLAIMS = re.compile(
    r"(?<!not a )(?<!no )\b(compliant|compliance|certified|guaranteed|code[- ]approved)\b", re.IGNORECASE
)
# What opens as a formula: the list of the OWASP page "CSV Injection", and its full-width twins.
FORMULAS = ["=1+1", "+1", "-2", "@SUM(A1)", "\t=1", "\r=1", "  =1", "=cmd|' /C calc'!A0", "＝1"]

VERDICTS = tuple(
    Verdict(rule=f"raised/rule-{number}", outcome=Outcome.NOT_APPLICABLE, why_not="no such part")
    for number in range(20)
)


def load_sample() -> ModuleType:
    path = Path(__file__).resolve().parents[1] / "golden" / "sample_job.py"
    spec = importlib.util.spec_from_file_location("sample_job", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


sample = load_sample()


@pytest.fixture(scope="module")
def job() -> Job:
    return sample.sample_job()


@pytest.fixture(scope="module")
def files(job: Job) -> dict[str, bytes]:
    writers = (Flagged(), SignListWriter(), Manifest(), ReadMe())
    return {file.path: file.data for writer in writers for file in writer.render(job)}


def read_sheet(data: bytes, title: str) -> list[dict[str, object]]:
    """Rows of a sheet as the Rust reader calamine sees them."""
    head, *rows = python_calamine.load_workbook(io.BytesIO(data)).get_sheet_by_name(title).to_python()
    return [dict(zip(head, row, strict=True)) for row in rows]


def read_csv(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8"), newline="")))


def test_the_flagged_list_is_worst_first_then_in_source_order(job: Job, files: dict[str, bytes]) -> None:
    for rows in (read_csv(files["flagged.csv"]), read_sheet(files["flagged.xlsx"], "Flagged")):
        assert [(row["severity"], row["code"]) for row in rows] == [
            ("STOP", "layout/too-wide"),
            ("HOLD", "raised/spacing-too-small"),
            ("ASK", "signlist/no-exit-rows"),
            ("ASK", "braille/language"),
            ("NOTE", "naming/spacing"),
        ]
        assert len(rows) == len(job.flags)


def test_a_flag_names_the_customers_own_cell_and_text(files: dict[str, bytes]) -> None:
    row = next(row for row in read_csv(files["flagged.csv"]) if row["code"] == "naming/spacing")
    assert row["source file"] == "harbor-hall-doors.xlsx"
    assert (row["sheet"], row["row"], row["cell"], row["door"]) == ("DOORS", "8", "C8", "101")
    assert row["text as given"] == "Lobby "
    assert row["sign id"] == "HH-01-101-C"
    assert "answer" not in row  # answers go into sign-list.xlsx


def test_a_flag_without_text_shows_its_cell_or_its_row(files: dict[str, bytes]) -> None:
    rows = {row["code"]: row for row in read_csv(files["flagged.csv"])}
    assert rows["layout/too-wide"]["text as given"] == "OTORHINOLARYNGOLOGY"  # the cell C11
    assert rows["raised/spacing-too-small"]["text as given"] == "103 | 103 | =CMD()|'A B'"  # the whole row 10
    assert rows["signlist/no-exit-rows"]["text as given"] == ""  # the whole file


def test_a_measured_flag_shows_value_limit_and_clause(files: dict[str, bytes]) -> None:
    row = next(row for row in read_csv(files["flagged.csv"]) if row["severity"] == "HOLD")
    assert (row["measured"], row["required"], row["clause"]) == ("0.1102 in", "0.125 in min.", "ADA 703.2.7")
    assert (row["what to do"], row["who decides"]) == ("Use a wider plate.", "shop")


def test_the_summary_counts_every_flag_once_per_view(job: Job, files: dict[str, bytes]) -> None:
    rows = read_sheet(files["flagged.xlsx"], "Summary")
    totals = {row["severity"]: row["count"] for row in rows if row["flags"] == "all"}
    assert totals == {"STOP": 1, "HOLD": 1, "ASK": 2, "NOTE": 1}
    by_who = sum(row["count"] for row in rows if str(row["flags"]).startswith("decided by "))
    by_code = sum(row["count"] for row in rows if "/" in str(row["flags"]))
    assert by_who == by_code == len(job.flags)


def test_the_sign_list_has_every_sign_with_its_words_and_cells(job: Job, files: dict[str, bytes]) -> None:
    rows = read_sheet(files["sign-list.xlsx"], "Sign list")
    assert [row["sign id"] for row in rows] == [sign.request.sign_id for sign in job.signs]
    first = rows[0]
    assert first["message lines"] == "101\nLOBBY"
    assert first["braille"] == "⠼⠁⠚⠁\n⠇⠕⠃⠃⠽"
    assert first["braille read back"] == "101\nlobby"
    assert first["side"] == "corridor side; latch side: check in the field"
    assert rows[1]["side"] == "corridor side; door hand as given: LH"
    assert (first["quantity"], first["plate"], first["status"]) == (2, "8 in x 4 in", "released")
    assert first["changes to the text"] == "name: Lobby  -> LOBBY (spacing)"
    assert job.signs[0].design.startswith(str(first["design"]))
    assert rows[3]["status"] == "held"
    assert rows[3]["plate"] == ""
    assert str(rows[3]["questions"]).startswith("STOP: OTORHINOLARYNGOLOGY")
    assert {row["decision"] for row in rows} == {""}


def test_every_row_that_is_not_signed_is_listed_with_its_reason(files: dict[str, bytes]) -> None:
    rows = read_sheet(files["sign-list.xlsx"], "Rows without a sign")
    assert [(row["row"], row["outcome"], row["reason"]) for row in rows] == [
        (10, "held", "letters too close"),
        (11, "held", "too wide"),
        (12, "unsigned", "A vestibule is passed through: no sign."),
        (13, "merged", "Same room as row 8."),
    ]
    assert rows[3]["its signs"] == "HH-01-101-C"


def test_the_row_account_adds_up_as_printed(files: dict[str, bytes]) -> None:
    rows = [(row["what"], row["count"]) for row in read_sheet(files["sign-list.xlsx"], "Row account")]
    # The account of trade practice: rows = their kinds; data rows = outcomes; signs = released + held.
    place = {what: index for index, (what, _) in enumerate(rows)}
    counts = dict(rows)
    kinds = rows[1 : place["data rows, of which"]]
    assert counts["rows read, of which"] == sum(count for _, count in kinds) == 10
    outcomes = [counts[f"    {name}"] for name in ("signed", "unsigned", "held", "merged")]
    assert counts["data rows, of which"] == 6
    assert rows[-1] == ("different designs among the released signs", 2)
    assert outcomes[0] == 2


def test_the_decision_column_offers_the_answers(files: dict[str, bytes]) -> None:
    book = openpyxl.load_workbook(io.BytesIO(files["sign-list.xlsx"]))
    for title in ("Sign list", "Rows without a sign"):
        page = book[title]
        (validation,) = page.data_validations.dataValidation
        assert validation.formula1 == f'"{",".join(DECISIONS)}"'
        column = next(cell.column_letter for cell in page[1] if cell.value == "decision")
        assert str(validation.sqref) == f"{column}2:{column}{page.max_row}"


def test_sheets_are_set_up_to_read_and_print(files: dict[str, bytes]) -> None:
    for path in ("sign-list.xlsx", "flagged.xlsx"):
        for page in openpyxl.load_workbook(io.BytesIO(files[path])):
            assert page.freeze_panes == "A2"
            assert page.auto_filter.ref.startswith("A1:")
            assert page.page_setup.orientation == "landscape"
            assert page.sheet_properties.pageSetUpPr.fitToPage
            wide = sum(column.width for column in page.column_dimensions.values())
            # 10.2 in between the margins hold 140 digits of 11 point type: never smaller than 6 point on paper
            assert wide / page.page_setup.fitToWidth <= 140 * 11 / 6
            assert (page.print_title_cols is not None) == (page.page_setup.fitToWidth > 1)
            assert page.print_title_rows == "$1:$1"


@pytest.mark.parametrize("text", FORMULAS)
def test_nothing_a_customer_writes_can_run(text: str) -> None:
    sheet = Sheet("T", (Column("a", 10), Column("b", 10)), ((text, 1),))
    book = render_workbook((sheet,), "t")
    cell = openpyxl.load_workbook(io.BytesIO(book))["T"]["A2"]
    assert cell.data_type == "s"
    assert cell.quotePrefix
    assert cell.value == clean_text(text)
    with zipfile.ZipFile(io.BytesIO(book)) as archive:
        assert b"<f>" not in archive.read("xl/worksheets/sheet1.xml")
    field = read_csv(b"".join(render_csv(sheet.columns, sheet.rows)))[0]["a"]
    assert field.lstrip()[0] not in "=+-@＝＋－＠"
    assert field == "'" + clean_text(text)


def test_control_characters_are_dropped_and_long_text_is_cut() -> None:
    assert clean_text("A\x00\x07B\x1b\x85C\ud800\ufffeD\r\nE\tF") == "ABCD\nE F"
    assert len(cell_text("x" * 40_000)) == 32_767
    assert cell_text("x" * 40_000).endswith(" (cut)")
    assert csv_text("plain") == "plain"


@pytest.mark.parametrize("path", ["sign-list.xlsx", "flagged.xlsx"])
def test_workbooks_carry_no_clock(files: dict[str, bytes], path: str) -> None:
    with zipfile.ZipFile(io.BytesIO(files[path])) as archive:
        assert archive.testzip() is None
        assert {info.date_time for info in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert {info.compress_type for info in archive.infolist()} == {zipfile.ZIP_STORED}
        core = archive.read("docProps/core.xml").decode()
    assert set(re.findall(r"\d{4}-\d\d-\d\dT[\d:]+Z", core)) == {"2000-01-01T00:00:00Z"}


def test_the_manifest_keeps_its_contract(job: Job, files: dict[str, bytes]) -> None:
    text = files["manifest.json"].decode("utf-8")
    assert text.endswith("}\n")
    document = json.loads(text)
    assert document["schema"] == 1
    assert document["tool"] == {"name": "schedule2sign", "version": "0.1.0"}
    assert document["inputs"] == [{"file": "harbor-hall-doors.xlsx", "sha256": "2" * 64, "size_bytes": 4321}]
    assert document["braille_engine"] == {
        "name": "liblouis",
        "version": "3.24.0",
        "tables": [{"name": "en-ueb-g2.ctb", "sha256": "1" * 64}],
    }
    assert document["standard"]["id"] == "us-ada-2010"
    assert document["standard"]["cell_size"]["cell_pitch_mm"] == 6.858
    account = document["accounting"]
    assert account["rows_read"] == sum(account["rows_by_kind"].values()) == len(job.schedule.rows)
    assert account["data_rows"] == sum(account["outcomes"].values())
    first, _, _, stopped = document["signs"]
    assert set(first) >= {
        "id",
        "source",
        "door",
        "room_number",
        "name_as_given",
        "lines",
        "braille",
        "template",
        "width_mm",
        "height_mm",
        "status",
        "flags",
        "files",
        "design",
    }
    assert first["source"] == {"file": "harbor-hall-doors.xlsx", "sheet": "DOORS", "row": 8}
    assert first["lines"] == ["101", "LOBBY"]
    assert first["braille"] == [
        {"text": "101", "cells": "⠼⠁⠚⠁", "back": "101"},
        {"text": "LOBBY", "cells": "⠇⠕⠃⠃⠽", "back": "lobby"},
    ]
    assert (first["width_mm"], first["height_mm"], first["status"]) == (203.2, 101.6, "released")
    assert first["files"] == ["signs/HH-01-101-C.dxf", "signs/HH-01-101-C.svg"]
    assert first["flags"] == [
        {"code": "naming/spacing", "severity": "NOTE", "message": "Spaces around the name were removed."}
    ]
    assert stopped["status"] == "held"
    assert (stopped["width_mm"], stopped["files"], stopped["design"]) == (None, [], "")
    assert [flag["severity"] for flag in stopped["flags"]] == ["HOLD"]  # STOP holds a sign
    assert [row["outcome"] for row in document["rows_without_a_sign"]] == ["held", "held", "unsigned", "merged"]
    assert len(document["flags"]) == len(job.flags)


def test_the_manifest_names_files_not_folders(job: Job) -> None:
    moved = replace(job, font=replace(job.font, file="/home/someone/fonts/Block.otf"))
    (file,) = Manifest().render(moved)
    assert json.loads(file.data)["font"]["file"] == "Block.otf"


def test_the_read_me_says_what_is_held_and_who_must_sign(job: Job, files: dict[str, bytes]) -> None:
    text = files["00-READ-ME.txt"].decode("utf-8")
    first_page = "\n".join(text.splitlines()[:60])
    for words in (
        "Harbor Hall",
        "revision B",
        "NOT A COMPLIANCE CERTIFICATE",
        "ROW ACCOUNT",
        "PROVISIONAL",
        "HELD SIGNS: 2",
        "HH-01-104-C",
        "layout/too-wide",
        "Braille read (credential) by",
        "PATH=EDGE",
        "inches",
    ):
        assert words in first_page
    assert "authority having" in text
    assert max(map(len, text.splitlines())) <= 120


def test_nothing_written_claims_what_a_program_cannot_know(files: dict[str, bytes]) -> None:
    for path, data in files.items():
        if path.endswith(".xlsx"):
            with zipfile.ZipFile(io.BytesIO(data)) as archive:
                data = b"".join(map(archive.read, archive.namelist()))
        found = CLAIMS.search(data.decode("utf-8"))
        assert found is None, (path, found)


def test_an_empty_job_still_writes_readable_lists(job: Job) -> None:
    bare = replace(job, signs=(), flags=(), decisions=())
    files = {file.path: file.data for writer in WRITERS for file in writer.render(bare)}
    assert read_sheet(files["sign-list.xlsx"], "Sign list") == []
    assert read_csv(files["flagged.csv"]) == []
    assert json.loads(files["manifest.json"])["standard"]["cell_size"] is None


def test_damaged_text_does_not_stop_the_writers(job: Job) -> None:
    # Half a surrogate pair, as a damaged cell can hold it, cannot be written as UTF-8.
    flag = Flag(code="intake/damaged", severity=Severity.HOLD, message="A cell is damaged.", given="A\ud800B\x0cC")
    files = {file.path: file.data for writer in WRITERS for file in writer.render(replace(job, flags=(flag,)))}
    assert read_csv(files["flagged.csv"])[0]["text as given"] == "ABC"
    assert json.loads(files["manifest.json"])["flags"][0]["given"] == "A?B\x0cC"


def test_the_registry_lists_each_writer_once() -> None:
    names = [writer.name for writer in WRITERS]
    assert len(set(names)) == len(names)
    assert SIGN_FILES == ("signs/{id}.dxf", "signs/{id}.svg")


@pytest.mark.parametrize(
    ("value", "places", "text", "short"),
    [
        (-0.0000001, 4, "0.0000", "0"),
        (-0.5, 1, "-0.5", "-0.5"),
        (1.0, 3, "1.000", "1"),
        (0.1 + 0.2, 6, "0.300000", "0.3"),
        (100, 0, "100", "100"),
    ],
)
def test_numbers_have_fixed_decimals_and_no_negative_zero(value: float, places: int, text: str, short: str) -> None:
    assert fixed(value, places) == text
    assert trimmed(value, places) == short


def test_colors_are_known_by_name_by_code_or_by_reflectance() -> None:
    build = replace(sample.BUILD, base_color="Dark-Blue", letter_color="#FFEE00")
    assert find_colors(build) == ("#16305a", "#ffee00", ())
    # sRGB level of 50 % luminance is 188 (IEC 61966-2-1, from memory).
    build = replace(build, base_color="Midnight Fog 7", base_reflectance=50.0)
    assert find_colors(build) == ("#bcbcbc", "#ffee00", ("Midnight Fog 7",))
    assert mix("#000000", "#ffffff", 0.5) == "#808080"


def test_a_cell_of_tables_side_by_side_is_found_in_its_own_row(tmp_path: Path) -> None:
    """Two tables beside each other share a row number; a flag's column says which of them it speaks of."""
    from schedule2sign.intake.reader import read_schedule
    from schedule2sign.writers.places import Places

    book = tmp_path / "two.csv"
    book.write_text(
        "ROOM NO,ROOM NAME,,ROOM NO,ROOM NAME\n101,LIBRARY,,201,STUDIO\n102,KITCHEN,,202,LOUNGE\n103,CAFE,,203,VAULT\n",
        encoding="utf-8",
    )
    schedule = read_schedule([book], columns={}, sheets=())
    job = SimpleNamespace(schedule=schedule, decisions=())
    places = Places(job)
    rows = [row for row in schedule.rows if "KITCHEN" in row.as_given or "LOUNGE" in row.as_given]
    assert len(rows) == 2
    for row in rows:
        name = next(cell for cell in row.cells if cell.field.value == "name")
        assert places.given(row.source_of(name.field)) == name.text
        assert places.raw(row.source) is row


@pytest.mark.parametrize("writer", [Checks(), Manifest(), SignListWriter()], ids=lambda writer: writer.name)
def test_a_long_job_takes_little_more_memory_than_a_short_one(
    job: Job, writer: Writer, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is held while a file is written, against the size of the file."""
    monkeypatch.setattr(chunks, "_CHUNK", 10_000)  # filled by both
    record = sample.with_layout(job.signs[0], job.signs[0].layout, VERDICTS)
    measure_writing(replace(job, signs=(record,)), writer)  # what is made once, whatever the job
    short, long = (measure_writing(replace(job, signs=(record,) * count), writer) for count in (150, 600))
    assert long[0] - short[0] > 200_000
    assert long[1] - short[1] < (long[0] - short[0]) / 10


def measure_writing(job: Job, writer: Writer) -> tuple[int, int]:
    """Bytes of the writer's one file, and the most memory in use while it is made."""
    (file,) = writer.render(job)
    tracemalloc.start()
    try:
        size = sum(len(chunk) for chunk in file.chunks())
        return size, tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("writer", WRITERS, ids=lambda writer: writer.name)
def test_a_file_that_is_made_while_it_is_written_can_be_made_again(job: Job, writer: Writer) -> None:
    for file in writer.render(job):
        assert b"".join(file.chunks()) == file.data
