"""flagged.xlsx as a user gets it, read back by programs that know nothing of ours."""

import io
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import openpyxl
import pytest

from schedule2sign.resources import demo_folder

COMMAND = [sys.executable, "-P", "-m", "schedule2sign"]
SCHEDULES = Path(__file__).resolve().parents[2] / "fixtures" / "schedules"
ORIGINAL = demo_folder() / "alder-point-doors.xlsx"


def build(folder: Path, *schedules: Path) -> Path:
    result = subprocess.run(
        [*COMMAND, "build", *map(str, schedules), "-o", str(folder / "out"), "--quiet"],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert result.returncode in (0, 1), result.stderr
    return folder / "out"


@pytest.fixture(scope="module")
def one(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build(tmp_path_factory.mktemp("one"), ORIGINAL) / "flagged.xlsx"


@pytest.fixture(scope="module")
def several(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build(
        tmp_path_factory.mktemp("several"),
        ORIGINAL,
        shutil.copy(SCHEDULES / "annex-rooms.xlsx", tmp_path_factory.mktemp("copy") / "Annex.XLSX"),
        SCHEDULES / "annex-rooms.csv",
    )


def notes(path: Path) -> dict[str, str]:
    book = openpyxl.load_workbook(path)
    return {
        f"{page.title}!{cell.coordinate}": cell.comment.text
        for page in book
        for row in page.iter_rows()
        for cell in row
        if cell.comment
    }


def cells(path: Path, sheet: str) -> list[tuple[object, ...]]:
    return list(openpyxl.load_workbook(path)[sheet].iter_rows(values_only=True))


def test_one_workbook_comes_back_as_it_was_with_marks_and_the_list(one: Path) -> None:
    theirs = openpyxl.load_workbook(ORIGINAL).sheetnames
    assert openpyxl.load_workbook(one).sheetnames == [*theirs, "Questions", "Flagged", "Summary"]
    for sheet in theirs:
        assert cells(one, sheet) == cells(ORIGINAL, sheet)
    with zipfile.ZipFile(ORIGINAL) as old, zipfile.ZipFile(one) as new:
        for name in ("xl/theme/theme1.xml", "docProps/core.xml", "docProps/app.xml"):
            assert new.read(name) == old.read(name)


def test_every_flag_that_names_a_cell_is_in_a_note(one: Path) -> None:
    text = "\n".join(notes(one).values())
    head, *rows = cells(one, "Flagged")
    listed = [dict(zip(head, row, strict=True)) for row in rows]
    placed = [row for row in listed if row["row"] and row["sheet"]]
    assert len(placed) > 50
    for row in placed:
        assert f"{row['severity']}: {row['what']}" in text
        assert f"({row['code']})" in text


def test_several_schedules_give_one_list_and_a_marked_copy_of_each_workbook(several: Path) -> None:
    assert {path.name for path in (several / "marked").iterdir()} == {"alder-point-doors.xlsx", "Annex.xlsx"}
    assert openpyxl.load_workbook(several / "flagged.xlsx").sheetnames == [
        "Questions",
        "Flagged",
        "Summary",
        "annex-rooms.csv",
    ]
    annex = openpyxl.load_workbook(several / "marked" / "Annex.xlsx")
    assert annex.sheetnames == [*openpyxl.load_workbook(SCHEDULES / "annex-rooms.xlsx").sheetnames, "Flagged"]
    assert notes(several / "marked" / "Annex.xlsx")
    said = [row[3] for row in cells(several / "flagged.xlsx", "Summary") if row[1] == "about the marked cells"]
    assert said[0] == "alder-point-doors.xlsx: its flagged cells are marked in marked/alder-point-doors.xlsx."


def test_rows_of_a_text_file_are_shown_as_text_with_the_flagged_ones_filled(several: Path) -> None:
    page = openpyxl.load_workbook(several / "flagged.xlsx")["annex-rooms.csv"]
    lines = (SCHEDULES / "annex-rooms.csv").read_bytes().splitlines()
    assert [row[0].value for row in page.iter_rows(min_row=2)] == list(range(1, len(lines) + 1))
    said = {row[0].value for row in page.iter_rows(min_row=2) if row[-1].value}
    filled = {row[0].value for row in page.iter_rows(min_row=2) if any(cell.fill.fill_type for cell in row)}
    assert said == filled
    assert said


@pytest.mark.skipif(shutil.which("soffice") is None, reason="the office program is not installed")
def test_an_office_program_opens_it_and_sees_the_same_notes(one: Path, tmp_path: Path) -> None:
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    target = tmp_path / "again"
    subprocess.run(
        ["soffice", profile, "--headless", "--convert-to", "xlsx", "--outdir", str(target), str(one)],
        check=True,
        capture_output=True,
        timeout=180,
    )
    again = notes(target / "flagged.xlsx")
    assert {place: " ".join(text.split()) for place, text in again.items()} == {
        place: " ".join(text.split()) for place, text in notes(one).items()
    }
    book, ours = openpyxl.load_workbook(target / "flagged.xlsx"), openpyxl.load_workbook(one)
    for place in again:
        sheet, cell = place.split("!")
        assert book[sheet][cell].fill.fgColor.rgb == ours[sheet][cell].fill.fgColor.rgb


def test_the_same_schedule_gives_the_same_bytes(one: Path, tmp_path: Path) -> None:
    assert build(tmp_path, ORIGINAL).joinpath("flagged.xlsx").read_bytes() == one.read_bytes()
    assert zipfile.is_zipfile(io.BytesIO(one.read_bytes()))
