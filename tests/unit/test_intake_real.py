"""Real schedules nobody here wrote: each is read or refused, and counted by an unrelated reader.

The files are open data kept beside the checkout; without them these tests skip.
"""

import csv
from collections import Counter
from pathlib import Path

import openpyxl
import pytest

from schedule2sign.errors import InputError
from schedule2sign.intake.reader import read_schedule
from schedule2sign.model.schedule import Field, RawRow, RowKind, Schedule, TableShape

DATA = Path(__file__).resolve().parents[3] / "shared" / "data"
pytestmark = pytest.mark.skipif(not DATA.is_dir(), reason="the open schedules are not here")


def data(schedule: Schedule) -> list[RawRow]:
    return [row for row in schedule.rows if row.kind is RowKind.DATA]


def csv_records(name: str) -> list[list[str]]:
    with (DATA / name).open(newline="", encoding="utf-8") as file:
        return list(csv.reader(file))


def sheet_rows(name: str, sheet: str | None = None) -> list[tuple]:
    book = openpyxl.load_workbook(DATA / name, read_only=True)
    return list((book[sheet] if sheet else book.worksheets[0]).iter_rows(values_only=True))


@pytest.mark.parametrize("name", ["office_a_rooms.csv", "office_a_doors.csv"])
def test_tables_of_the_office(name: str) -> None:
    records = csv_records(name)
    schedule = read_schedule([DATA / name])
    assert len(schedule.rows) == len(records)
    assert len(data(schedule)) == len(records) - 1
    header = records[0]
    key, field = ("SpaceName", Field.ROOM_NUMBER) if "SpaceName" in header else ("Mark", Field.DOOR)
    assert [row.text(field) for row in data(schedule)] == [record[header.index(key)] for record in records[1:]]
    assert [row.level for row in data(schedule)] == [record[header.index("Storey")] for record in records[1:]]
    if key == "SpaceName":
        names = [record[header.index("LongName")] for record in records[1:]]
        assert [row.text(Field.ROOM_NAME) for row in data(schedule)] == names


def test_doors_of_a_model_export() -> None:
    records = csv_records("bim_paracore_doors.csv")
    schedule = read_schedule([DATA / "bim_paracore_doors.csv"])
    assert len(schedule.rows) == len(records)
    # Counted independently: below the three header rows and the blank one, every row has a mark.
    expected = [record for record in records[5:] if record and record[0]]
    assert [row.text(Field.DOOR) for row in data(schedule)] == [record[0] for record in expected]
    assert [row.text(Field.FROM_ROOM) for row in data(schedule)] == [record[15] for record in expected]
    assert schedule.tables[0].header_rows == (2, 3, 4)
    assert schedule.tables[0].shape is TableShape.DOORS


def test_rooms_of_a_model_export() -> None:
    records = csv_records("bim_paracore_rooms.csv")
    schedule = read_schedule([DATA / "bim_paracore_rooms.csv"])
    assert Counter(str(row.kind) for row in schedule.rows) == {
        "data": 22,
        "title": 1,
        "header": 1,
        "blank": 1,
        "subtotal": 1,
    }
    expected = [record for record in records if record and record[0].startswith("Level ")]
    assert [(row.level, row.text(Field.ROOM_NAME), row.text(Field.ROOM_NUMBER)) for row in data(schedule)] == [
        tuple(record[:3]) for record in expected
    ]
    # "Grand total: 22" agrees with what was read.
    assert "intake/total-differs" not in {flag.code for flag in schedule.flags}


def test_three_storeys_in_three_files() -> None:
    files = [f"bim_packt_{storey}F_rooms.xlsx" for storey in (1, 2, 3)]
    schedule = read_schedule([DATA / name for name in files])
    expected = [(row[4], row[1]) for name in files for row in sheet_rows(name)[1:] if row[1]]
    assert [(row.level, row.text(Field.ROOM_NAME)) for row in data(schedule)] == expected
    assert len(expected) == 31 + 33 + 27
    # They have no room number, only an element id: told, not taken for one.
    assert sum(flag.code == "intake/no-number-column" for flag in schedule.flags) == 3
    assert not any(row.text(Field.ROOM_NUMBER) for row in data(schedule))


def test_a_cobie_workbook() -> None:
    """Column names of the public COBie spreadsheet: Space.Name, Space.Description, Component.Space."""
    name = "cobie_duplex_design.xlsx"
    schedule = read_schedule([DATA / name])
    header, *spaces = sheet_rows(name, "Space")
    assert header[:6] == ("Name", "CreatedBy", "CreatedOn", "Category", "FloorName", "Description")
    rooms = [row for row in data(schedule) if row.source.sheet == "Space"]
    assert [(row.text(Field.ROOM_NUMBER), row.text(Field.ROOM_NAME), row.level) for row in rooms] == [
        (space[0], space[5], space[4]) for space in spaces if space[0]
    ]
    assert not any(row.text(Field.FINAL_NUMBER) for row in rooms)  # RoomTag is "n/a" throughout.
    _, *components = sheet_rows(name, "Component")
    doors = [component for component in components if component[7] == "IfcDoor"]
    found = [row for row in data(schedule) if row.source.sheet == "Component"]
    assert [(row.text(Field.DOOR), row.text(Field.ADJACENT)) for row in found] == [(door[0], door[4]) for door in doors]
    assert len(doors) == 14
    level_of = {space[0]: space[4] for space in spaces}
    assert [row.level for row in found] == [level_of[door[4].split(",")[0]] for door in doors]
    # Cabinets with doors are components, not doors; they are counted all the same.
    others = [row for row in schedule.rows if row.kind is RowKind.OTHER]
    assert len(others) == len([component for component in components if component[0]]) - len(doors)
    assert len(schedule.rows) == len(sheet_rows(name, "Space")) + len(sheet_rows(name, "Component"))


@pytest.mark.parametrize("name", ["hospital_room_names.txt", "room_tokens.csv", "abbreviations.csv"])
def test_lists_that_are_no_schedules_stop_with_the_way_out(name: str) -> None:
    with pytest.raises(InputError) as stop:
        read_schedule([DATA / name])
    assert "The first rows are:" in str(stop.value)
    assert "--column name=" in str(stop.value)


def test_a_list_of_names_is_read_when_told() -> None:
    schedule = read_schedule([DATA / "hospital_room_names.txt"], columns={Field.ROOM_NAME: "A"})
    lines = (DATA / "hospital_room_names.txt").read_text(encoding="utf-8").splitlines()
    assert [row.text(Field.ROOM_NAME) for row in data(schedule)] == [line for line in lines if line.strip()]
    assert len(schedule.rows) == len(lines)


def test_a_model_gives_the_same_rooms_and_doors_as_its_tables() -> None:
    """office_a.ifc against the tables drawn from it by others."""
    pytest.importorskip("ifcopenshell")
    schedule = read_schedule([DATA / "office_a.ifc"])
    rooms, doors = csv_records("office_a_rooms.csv"), csv_records("office_a_doors.csv")
    found = [row for row in data(schedule) if row.source.sheet == "IfcSpace"]
    assert sorted((row.level, row.text(Field.ROOM_NUMBER), row.text(Field.ROOM_NAME)) for row in found) == sorted(
        (room[0], room[2], room[3]) for room in rooms[1:]
    )
    found = [row for row in data(schedule) if row.source.sheet == "IfcDoor"]
    assert sorted((row.level, row.text(Field.DOOR), row.text(Field.ADJACENT)) for row in found) == sorted(
        (door[0], door[1], door[6]) for door in doors[1:]
    )
    assert len(schedule.rows) == len(rooms) - 1 + len(doors) - 1
