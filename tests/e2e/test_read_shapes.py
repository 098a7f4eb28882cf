"""Shapes of schedules from file to sign: whatever the format, the same signs come out."""

from pathlib import Path

import pytest
from openpyxl import Workbook

from schedule2sign.cli.main import main
from schedule2sign.model.job import Job, Status
from schedule2sign.model.settings import Finality, Settings
from schedule2sign.pipeline import build_job

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures" / "schedules"
FINAL = Settings(finality=Finality.FINAL)


def book(path: Path, **sheets: list[tuple]) -> Path:
    workbook = Workbook()
    workbook.remove(workbook.active)
    for name, rows in sheets.items():
        page = workbook.create_sheet(name)
        for row in rows:
            page.append(row)
    workbook.save(path)
    return path


def raised(job: Job) -> dict[str, list[str]]:
    return {sign.request.sign_id: [message.text for message in sign.request.messages] for sign in job.signs}


@pytest.mark.parametrize("suffix", ["xls", "ods", "csv"])
def test_one_schedule_in_other_formats_makes_the_same_signs(suffix: str) -> None:
    same = build_job([FIXTURES / f"annex-rooms.{suffix}"], FINAL)
    job = build_job([FIXTURES / "annex-rooms.xlsx"], FINAL)
    assert raised(same) == raised(job)
    assert [sign.design for sign in same.signs] == [sign.design for sign in job.signs]
    asked = [flag for flag in same.flags if flag.code == "intake/values-only"]
    assert len(asked) == 1


def test_a_message_list_is_raised_as_it_says(tmp_path: Path) -> None:
    rows = [("ROOM NO", "SIGN TEXT", "QTY"), ("101", "MEDIA CENTER", "1"), ("102", "STAFF RESTROOM", "1")]
    job = build_job([book(tmp_path / "list.xlsx", Signs=rows)], FINAL)
    first, second = raised(job).values()
    assert first == ["101", "MEDIA CENTER"]
    assert "STAFF RESTROOM" in second


WHO = ("a@example.com", "2026-02-05T09:00:00")
COBIE = {
    "Facility": [("Name", "CreatedBy", "CreatedOn"), ("Pier", *WHO)],
    "Floor": [("Name", "CreatedBy", "CreatedOn"), ("Level 1", *WHO)],
    "Space": [
        ("Name", "CreatedBy", "CreatedOn", "Category", "FloorName", "Description", "RoomTag"),
        ("101", *WHO, "13", "Level 1", "Library", "n/a"),
        ("102", *WHO, "13", "Level 1", "Corridor", "n/a"),
        ("103", *WHO, "13", "Level 1", "Studio", "A103"),
    ],
    "Component": [
        ("Name", "CreatedBy", "CreatedOn", "TypeName", "Space", "Description"),
        ("Door Type A-1", *WHO, "Single Door", "101,102", "wood"),
        ("Door Type A-2", *WHO, "Single Door", "", "wood"),
        ("Cabinet 1", *WHO, "Double Door Cabinet", "101", "base"),
    ],
}


def test_a_cobie_workbook_signs_its_spaces_and_never_raises_the_name_of_a_door_type(tmp_path: Path) -> None:
    """Column names of the public COBie spreadsheet; a door's Name there is often its type and a counter."""
    job = build_job([book(tmp_path / "model.xlsx", **COBIE)], FINAL)
    released = [sign for sign in job.signs if sign.status is Status.RELEASED]
    texts = [[message.text for message in sign.request.messages] for sign in released]
    assert ["101", "LIBRARY"] in texts
    assert ["A103", "STUDIO"] in texts  # RoomTag is what is posted
    assert not [text for sign in texts for text in sign if "TYPE" in text or "A-1" in text or "A-2" in text]
    by_door = {sign.request.door: sign.status for sign in job.signs if sign.request.door}
    assert by_door.get("DOOR TYPE A-2") is Status.HELD


def test_both_tables_of_a_sheet_are_traced_by_their_cells(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [
        ("ROOM NO", "ROOM NAME", None, "ROOM NO", "ROOM NAME"),
        ("101", "LIBRARY", None, "201", "STUDIO"),
        ("102", "LAB", None, "202", "CHAPEL"),
    ]
    path = book(tmp_path / "two.xlsx", Rooms=rows)
    assert sorted(list(message) for message in raised(build_job([path], FINAL)).values()) == [
        ["101", "LIBRARY"],
        ["102", "LAB"],
        ["201", "STUDIO"],
        ["202", "CHAPEL"],
    ]
    for cell, name in (("A3", "LAB"), ("B3", "LAB"), ("3", "LAB"), ("D3", "CHAPEL"), ("E3", "CHAPEL")):
        main(["read", str(path), "--trace", cell])
        out, _ = capsys.readouterr()
        assert f"name     '{name}'" in out, cell
