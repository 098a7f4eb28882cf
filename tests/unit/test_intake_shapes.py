"""Shapes of sheets beyond one plain table: side by side, three header rows, legends, what a format cannot show.

Each is common practice of the trade, no source, unless a source is named.
"""

from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.formatting.rule import FormulaRule
from openpyxl.styles import Font, PatternFill

from schedule2sign.errors import InputError
from schedule2sign.intake.reader import read_schedule
from schedule2sign.intake.story import describe_tables
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Field, RawRow, RowKind, Schedule, TableShape

HEADER = ("DOOR NO", "ROOM NO", "ROOM NAME")


def read(folder: Path, rows, *, edit=None, **options) -> Schedule:
    book = Workbook()
    for row in rows:
        book.active.append([None if value == "" else value for value in row])
    if edit:
        edit(book)
    book.save(folder / "doors.xlsx")
    return read_schedule([folder / "doors.xlsx"], **options)


def data(schedule: Schedule) -> list[RawRow]:
    return [row for row in schedule.rows if row.kind is RowKind.DATA]


def found(schedule: Schedule, code: str) -> list[Flag]:
    return [
        flag for flag in (*schedule.flags, *(flag for row in schedule.rows for flag in row.flags)) if flag.code == code
    ]


def rooms(schedule: Schedule) -> list[tuple[str, str, str]]:
    return [(row.text(Field.ROOM_NUMBER), row.text(Field.ROOM_NAME), row.level) for row in data(schedule)]


SIDE_BY_SIDE = [
    ("SECOND FLOOR",),
    ("ROOM NO", "ROOM NAME", "", "ROOM NO", "ROOM NAME"),
    ("201", "LIBRARY", "", "204", "STUDIO"),
    ("202", "LAB", "", "205", "CHAPEL"),
    ("203", "STORAGE"),
    ("NOTES:",),
    ("1. VERIFY ALL NUMBERS.",),
]


def test_tables_side_by_side_are_all_read(tmp_path: Path) -> None:
    schedule = read(tmp_path, SIDE_BY_SIDE)
    assert rooms(schedule) == [
        ("201", "LIBRARY", "SECOND FLOOR"),
        ("202", "LAB", "SECOND FLOOR"),
        ("203", "STORAGE", "SECOND FLOOR"),
        ("204", "STUDIO", "SECOND FLOOR"),
        ("205", "CHAPEL", "SECOND FLOOR"),
    ]
    assert [str(row.source) for row in data(schedule)][2:4] == ["doors.xlsx [Sheet] row 5", "doors.xlsx [Sheet] D3"]
    # Seven rows of the sheet, and the header and two records that stand beside them.
    assert len(schedule.rows) == 7 + 3
    assert len({row.source for row in schedule.rows}) == 10
    assert "tables stand side by side, this one in columns D to E" in schedule.tables[1].evidence
    story = describe_tables(schedule)
    assert "3 records; the first:" in story
    assert "2 records; the first:" in story


def test_a_heading_merged_over_tables_side_by_side_counts_for_each(tmp_path: Path) -> None:
    rows = [SIDE_BY_SIDE[1], ("LEVEL 1",), *SIDE_BY_SIDE[2:4], ("LEVEL 2",), ("301", "GALLERY", "", "302", "MUSIC")]

    def merge(book: Workbook) -> None:
        book.active.merge_cells("A2:E2")
        book.active.merge_cells("A5:E5")

    schedule = read(tmp_path, rows, edit=merge)
    assert [level for _, _, level in rooms(schedule)] == ["LEVEL 1", "LEVEL 1", "LEVEL 2"] * 2


def test_a_level_over_each_of_the_tables_is_its_own(tmp_path: Path) -> None:
    rows = [
        ("FIRST FLOOR", "", "", "SECOND FLOOR"),
        SIDE_BY_SIDE[1],
        ("101", "LAB", "", "201", "STUDIO"),
        ("102", "GYM"),
    ]
    assert rooms(read(tmp_path, rows)) == [
        ("101", "LAB", "FIRST FLOOR"),
        ("102", "GYM", "FIRST FLOOR"),
        ("201", "STUDIO", "SECOND FLOOR"),
    ]


def test_a_header_word_that_comes_twice_is_no_second_table(tmp_path: Path) -> None:
    header = ("DOOR NO", "ROOM NO", "ROOM NAME", "MATERIAL", "FINISH", "MATERIAL", "FINISH", "DOOR NO")
    rows = [
        header,
        ("101", "101", "LAB", "WD", "P", "HM", "P", "101"),
        ("102", "102", "GYM", "WD", "P", "HM", "P", "102"),
    ]
    schedule = read(tmp_path, rows)
    assert len(schedule.tables) == 1
    assert [number for number, _, _ in rooms(schedule)] == ["101", "102"]


def test_a_column_told_by_its_letter_reads_one_of_the_tables(tmp_path: Path) -> None:
    told = {Field.ROOM_NUMBER: "D", Field.ROOM_NAME: "E"}
    schedule = read(tmp_path, SIDE_BY_SIDE[1:4], columns=told)
    assert [number for number, _, _ in rooms(schedule)] == ["204", "205"]


def test_an_empty_column_between_door_and_room_is_asked_about(tmp_path: Path) -> None:
    rows = [
        ("DOOR NO", "HDW", "", "ROOM NO", "ROOM NAME"),
        ("101", "3", "", "104", "LAB"),
        ("102", "3", "", "105", "GYM"),
    ]
    (asked,) = found(read(tmp_path, rows), "intake/empty-column")
    assert asked.severity is Severity.ASK
    assert "column C is empty within the table" in asked.message
    assert not found(read(tmp_path, [HEADER, ("101", "101", "LAB"), ("102", "102", "GYM")]), "intake/empty-column")


def test_three_header_rows_with_merged_groups_are_joined(tmp_path: Path) -> None:
    rows = [
        ("DOOR SCHEDULE", "", "", "", "", "", ""),
        ("DOOR", "", "", "", "ROOM", "", "FRAME"),
        ("", "SIZE", "", "", "", "", ""),
        ("NO.", "WIDTH", "HEIGHT", "THK", "NO.", "NAME", "MATERIAL"),
        ("101", "3-0", "7-0", "1 3/4", "101", "LAB", "HM"),
        ("102", "3-0", "7-0", "1 3/4", "102", "GYM", "HM"),
    ]

    def merge(book: Workbook) -> None:
        for area in ("A1:G1", "A2:D2", "B3:D3", "E2:F2"):
            book.active.merge_cells(area)

    schedule = read(tmp_path, rows, edit=merge)
    assert schedule.tables[0].header_rows == (2, 3, 4)
    assert [row.text(Field.DOOR) for row in data(schedule)] == ["101", "102"]
    assert rooms(schedule) == [("101", "LAB", ""), ("102", "GYM", "")]
    assert [match.header for match in schedule.tables[0].columns][1] == "DOOR / SIZE / WIDTH"


@pytest.mark.parametrize("name", ["list.tsv", "list.tab", "list.txt"])
def test_text_files_of_other_endings_are_read(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("ROOM NO\tROOM NAME\n101\tLAB\n102\tGYM\n", encoding="utf-8")
    assert len(data(read_schedule([tmp_path / name]))) == 2


def test_what_a_format_cannot_show_is_asked_once_for_the_job(tmp_path: Path) -> None:
    for level in (1, 2):
        text = f"ROOM NO,ROOM NAME\n{level}01,LAB\n{level}02,GYM\n"
        (tmp_path / f"level{level}.csv").write_text(text, encoding="utf-8")
    schedule = read_schedule([tmp_path / "level1.csv", tmp_path / "level2.csv"])
    (asked,) = found(schedule, "intake/values-only")
    assert asked.severity is Severity.ASK
    assert asked.message.startswith("level1.csv is plain text; level2.csv is plain text. Hidden and filtered rows,")
    assert not found(read(tmp_path, [HEADER, ("101", "101", "LAB"), ("102", "102", "GYM")]), "intake/values-only")


def test_a_format_that_strikes_on_a_condition_is_asked_and_other_conditions_are_not(tmp_path: Path) -> None:
    def strike(book: Workbook) -> None:
        rule = FormulaRule(formula=['$D2="DELETED"'], font=Font(strike=True))
        book.active.conditional_formatting.add("A2:D9", rule)

    def paint(book: Workbook) -> None:
        rule = FormulaRule(formula=['$D2="NEW"'], fill=PatternFill("solid", bgColor="FFFF00"))
        book.active.conditional_formatting.add("A2:D9", rule)

    rows = [HEADER, ("101", "101", "LAB"), ("102", "102", "GYM")]
    (asked,) = found(read(tmp_path, rows, edit=strike), "intake/conditional-strike")
    assert asked.severity is Severity.ASK
    assert "in A2:D9 where its condition holds" in asked.message
    assert not found(read(tmp_path, rows, edit=paint), "intake/conditional-strike")


def test_12000_among_numbers_of_three_digits_was_12e3(tmp_path: Path) -> None:
    rows = [HEADER[1:], ("101", "LAB"), (12000, "GYM"), ("103", "STUDIO")]
    (held,) = found(read(tmp_path, rows), "intake/scientific-number")
    assert (held.severity, held.source.row) == (Severity.HOLD, 3)
    usual = [HEADER[1:], (12000, "LAB"), (12010, "GYM"), (12100, "STUDIO")]
    assert not found(read(tmp_path, usual), "intake/scientific-number")


TYPED = [("ROOM NO", "ROOM NAME", "SIGN TYPE"), ("101", "LAB", "A"), ("102", "GYM", "b."), ("103", "STUDIO", "C")]


def test_sign_types_take_the_words_of_their_legend(tmp_path: Path) -> None:
    rows = [*TYPED, (), ("SIGN TYPE LEGEND",), ("A", "ROOM ID"), ("B", "NUMBER ONLY")]
    schedule = read(tmp_path, rows)
    assert [row.text(Field.SIGN_TYPE) for row in data(schedule)] == ["ROOM ID", "NUMBER ONLY", "C"]
    assert [row.as_given[-1] for row in data(schedule)] == ["A", "b.", "C"]
    told = found(schedule, "intake/sign-type-legend")
    assert [flag.source.row for flag in told] == [2, 3]
    assert told[1].message == "sign type 'b.' is 'NUMBER ONLY' by the legend at doors.xlsx [Sheet] row 8"


def test_a_letter_with_two_meanings_is_left_for_a_person(tmp_path: Path) -> None:
    rows = [*TYPED, (), ("SIGN TYPES",), ("A", "ROOM ID"), ("A", "RESTROOM"), ("B", "OFFICE")]
    assert [row.text(Field.SIGN_TYPE) for row in data(read(tmp_path, rows))] == ["A", "OFFICE", "C"]


def test_the_legend_of_something_else_is_not_taken(tmp_path: Path) -> None:
    rows = [*TYPED, (), ("DOOR TYPES",), ("A", "FLUSH"), ("B", "FULL GLASS")]
    schedule = read(tmp_path, rows)
    assert [row.text(Field.SIGN_TYPE) for row in data(schedule)] == ["A", "b.", "C"]
    assert [str(row.kind) for row in schedule.rows][-3:] == ["legend"] * 3


def test_a_sheet_that_is_a_legend_alone_makes_no_rooms(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="it explains sign types, one row each, and lists no doors or rooms"):
        read(tmp_path, [("SIGN TYPE", "DESCRIPTION"), ("A", "ROOM ID"), ("B", "NUMBER ONLY"), ("C", "RESTROOM")])


def test_doors_and_rooms_in_one_workbook_are_told_apart_with_evidence(tmp_path: Path) -> None:
    def add(book: Workbook) -> None:
        page = book.create_sheet("ROOMS")
        for row in [("ROOM NO", "ROOM NAME", "FLOOR FINISH"), ("101", "LAB", "VCT"), ("102", "GYM", "WD")]:
            page.append(row)

    schedule = read(tmp_path, [("DOOR", "SIZE", "HAND"), ("101A", "3-0", "LH"), ("102A", "3-0", "RH")], edit=add)
    assert [table.shape for table in schedule.tables] == [TableShape.DOORS, TableShape.ROOMS]
    assert "a door schedule, since column A is the door (header 'DOOR'" in schedule.tables[0].evidence
    assert "a room schedule, since it has no door column and column A is the number" in schedule.tables[1].evidence


@pytest.mark.parametrize(
    ("name", "level"),
    [
        ("level-2_doors.csv", "level 2"),
        ("Second Floor.csv", "Second Floor"),
        ("A-601 Level 3 rooms.csv", "Level 3"),
        ("Level 1-3 rooms.csv", ""),
        ("Levels 1 to 3.csv", ""),
        ("floor finishes.csv", ""),
        ("rooms.csv", ""),
    ],
)
def test_files_issued_level_by_level_take_it_from_their_name_and_say_so(tmp_path: Path, name: str, level: str) -> None:
    (tmp_path / name).write_text("ROOM NO,ROOM NAME\n101,LAB\n102,GYM\n", encoding="utf-8")
    schedule = read_schedule([tmp_path / name])
    assert [row.level for row in data(schedule)] == [level, level]
    told = [flag.message for flag in found(schedule, "intake/level-from-title")]
    assert told == ([f"level {level!r} of 2 records is taken from file name {name!r}"] if level else [])
    assert bool(found(schedule, "intake/no-level")) is not bool(level)


def test_records_above_the_first_heading_say_where_their_level_is_from(tmp_path: Path) -> None:
    rows = [("DOOR SCHEDULE - FIRST FLOOR",), HEADER, ("101", "101", "LAB"), ("LEVEL 2",), ("201", "201", "GYM")]
    schedule = read(tmp_path, rows)
    assert [row.level for row in data(schedule)] == ["FIRST FLOOR", "LEVEL 2"]
    (told,) = found(schedule, "intake/level-from-title")
    assert told.message == "level 'FIRST FLOOR' of 1 record is taken from title row 1"


def test_a_level_heading_with_a_count_beside_it_still_carries_down(tmp_path: Path) -> None:
    header = (*HEADER, "QTY")
    rows = [
        header,
        ("LEVEL 1", "", "", "1"),
        ("101", "101", "LAB", "1"),
        ("SECOND FLOOR", "12 DOORS"),
        ("201", "201", "GYM", "1"),
    ]
    schedule = read(tmp_path, rows)
    assert [row.level for row in data(schedule)] == ["LEVEL 1", "SECOND FLOOR"]
    assert [str(row.kind) for row in schedule.rows] == ["header", "level", "data", "level", "data"]


def test_a_room_that_is_called_like_a_level_keeps_its_number(tmp_path: Path) -> None:
    rows = [("ROOM NAME", "ROOM NO"), ("LAB", "101"), ("MEZZANINE", "201"), ("ROOF", "301"), ("GYM", "102")]
    assert [number for number, _, _ in rooms(read(tmp_path, rows))] == ["101", "201", "301", "102"]
    marks = [("DOOR NO", "ROOM NO"), ("101A", "101"), ("LEVEL 2", "201"), ("102A", "102")]
    assert [(str(row.kind), row.level) for row in read(tmp_path, marks).rows][3] == ("data", "")


@pytest.mark.parametrize("word", ["ROOM NAME", "Room Name", "SPACE NAME", "ROOM DESCRIPTION"])
def test_a_header_word_alone_among_records_starts_no_new_table(tmp_path: Path, word: str) -> None:
    rows = [HEADER, ("101", "101", "LAB"), ("", "", word), ("102", "102", "GYM")]
    schedule = read(tmp_path, rows)
    assert len(schedule.tables) == 1
    assert ("102", "GYM", "") in rooms(schedule)
    if word.upper() == HEADER[2]:
        assert [str(row.kind) for row in schedule.rows] == ["header", "data", "header", "data"]
    else:
        assert found(schedule, "intake/lone-name")


def test_a_point_in_a_number_cell_may_have_lost_a_zero_and_is_asked_once(tmp_path: Path) -> None:
    rows = [HEADER[1:], (101.1, "LAB"), (101.2, "GYM"), (102, "STUDIO")]
    (asked,) = found(read(tmp_path, rows), "intake/zero-after-point")
    assert asked.severity is Severity.ASK
    assert asked.message.startswith(
        "2 numbers of column A with a point are stored as numbers: 101.1 and 101.10 are two"
    )
    as_text = [HEADER[1:], ("101.1", "LAB"), ("101.10", "GYM"), ("102", "STUDIO")]
    assert not found(read(tmp_path, as_text), "intake/zero-after-point")
