"""COBie workbooks: sheet and column names of the public COBie spreadsheet (version 2.4)."""

from collections import Counter
from pathlib import Path

from openpyxl import Workbook

from schedule2sign.intake.reader import read_schedule
from schedule2sign.intake.story import describe_tables
from schedule2sign.model.schedule import Field, RawRow, RowKind, Schedule, TableShape

WHO = ("a@example.com", "2026-01-05T08:00:00")
FLOORS = [("Name", "CreatedBy", "CreatedOn", "Category"), ("L01", *WHO, "Floor"), ("L02", *WHO, "Floor")]
SPACES = [
    ("Name", "CreatedBy", "CreatedOn", "Category", "FloorName", "Description", "RoomTag"),
    ("1A01", *WHO, "13-41", "L01", "Lobby", "100"),
    ("1A02", *WHO, "13-41", "L01", "Office", "n/a"),
    ("2A01", *WHO, "13-41", "L03", "n/a", "n/a"),
]
COMPONENTS = [
    ("Name", "CreatedBy", "CreatedOn", "TypeName", "Space", "Description"),
    ("Door 1A01-1", *WHO, "Single Door", "1A01", "wood"),
    ("Door 1A02-1", *WHO, "Single Door", "1A02,1A01", "wood"),
    ("Door 9-1", *WHO, "Single Door", "9A99", "wood"),
    ("Pump-1", *WHO, "Pump", "1A02", "pump"),
    ("Cabinet-1", *WHO, "Double Door Cabinet", "1A02", "n/a"),
]


def save(folder: Path, **sheets: list[tuple]) -> Path:
    book = Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    path = folder / "model.xlsx"
    book.save(path)
    return path


def read(folder: Path, **sheets: list[tuple]) -> Schedule:
    facility = [("Name", "CreatedBy", "CreatedOn"), ("Annex", *WHO)]
    return read_schedule([save(folder, Facility=facility, Floor=FLOORS, Space=SPACES, **sheets)])


def data(schedule: Schedule, sheet: str) -> list[RawRow]:
    return [row for row in schedule.rows if row.kind is RowKind.DATA and row.source.sheet == sheet]


def test_spaces_are_rooms(tmp_path: Path) -> None:
    schedule = read(tmp_path)
    rows = data(schedule, "Space")
    assert [
        tuple(row.text(field) for field in (Field.ROOM_NUMBER, Field.ROOM_NAME, Field.FINAL_NUMBER, Field.LEVEL))
        for row in rows
    ] == [("1A01", "Lobby", "100", "L01"), ("1A02", "Office", "", "L01"), ("2A01", "", "", "L03")]
    assert [flag.code for flag in rows[2].flags] == ["intake/unknown-floor"]
    assert schedule.tables[0].shape is TableShape.ROOMS
    assert schedule.tables[0].columns[0].evidence == "column of the COBie standard"


def test_doors_are_found_among_the_components_and_take_the_level_of_their_space(tmp_path: Path) -> None:
    schedule = read(tmp_path, Component=COMPONENTS)
    doors = data(schedule, "Component")
    assert [(row.text(Field.DOOR), row.text(Field.ADJACENT), row.level) for row in doors] == [
        ("Door 1A01-1", "1A01", "L01"),
        ("Door 1A02-1", "1A02,1A01", "L01"),
        ("Door 9-1", "9A99", ""),
    ]
    assert [flag.code for flag in doors[2].flags] == ["intake/unknown-space"]
    counts = Counter(str(row.kind) for row in schedule.rows)
    assert counts == {"header": 2, "data": 6, "other": 2}
    assert "3 doors by the word DOOR" in schedule.tables[1].evidence


def test_sheets_the_standard_gives_no_rooms_are_named_once(tmp_path: Path) -> None:
    schedule = read(tmp_path, Contact=[("Email", "CreatedBy"), ("a@example.com", "x")])
    told = [flag.message for flag in schedule.flags if flag.code == "intake/sheet-not-read"]
    assert len(told) == 1
    assert "'Facility' (2 filled rows), 'Floor' (3 filled rows), 'Contact' (2 filled rows)" in told[0]


def test_a_space_sheet_saved_as_text_is_known_by_its_columns(tmp_path: Path) -> None:
    path = tmp_path / "spaces.csv"
    path.write_text("\n".join(",".join(row) for row in SPACES), encoding="utf-8")
    rows = data(read_schedule([path]), "")
    assert [(row.text(Field.ROOM_NUMBER), row.text(Field.ROOM_NAME)) for row in rows] == [
        ("1A01", "Lobby"),
        ("1A02", "Office"),
        ("2A01", ""),
    ]


def test_the_story_tells_tables_columns_account_and_flags(tmp_path: Path) -> None:
    story = describe_tables(read(tmp_path, Component=COMPONENTS))
    assert "Table on sheet 'Space', taken for rooms:\n    header in row 1\n" in story
    assert "A  'Name'                       is the number  (column of the COBie standard)" in story
    assert "row    2  [L01]  number='1A01'  level='L01'  name='Lobby'  final-number='100'" in story
    assert "10 rows read = 6 data + 2 header + 2 other" in story
    assert "ASK  intake/unknown-floor  model.xlsx [Space] E4: floor 'L03' is not on the Floor sheet" in story
