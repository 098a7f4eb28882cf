"""Tables in the wild: header rows, headings, sums, notes, merges, hidden and struck rows.

Each kind of mess is common practice of the trade, no source, unless a source is named.
"""

from collections import Counter
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.comments import Comment
from openpyxl.styles import Font

from schedule2sign.errors import InputError
from schedule2sign.intake.reader import read_schedule
from schedule2sign.model.flag import Severity
from schedule2sign.model.schedule import Field, RawRow, RowKind, Schedule, TableShape

HEADER = ("DOOR NO.", "ROOM NO.", "ROOM NAME", "HAND", "REMARKS")
ROWS = (
    ("101", "101", "LOBBY", "LH", ""),
    ("102", "102", "OFFICE", "RH", ""),
    ("103A", "103", "CONFERENCE", "LH", "PAIR"),
    ("104", "104", "STORAGE", "RH", ""),
)


def save(folder: Path, rows: list[tuple], *, title: str = "DOORS", edit=None) -> Path:
    book = Workbook()
    sheet = book.active
    sheet.title = title
    for row in rows:
        sheet.append([None if value == "" else value for value in row])
    if edit:
        edit(sheet)
    path = folder / "doors.xlsx"
    book.save(path)
    return path


def read(folder: Path, rows: list[tuple], *, edit=None, title: str = "DOORS", **options) -> Schedule:
    return read_schedule([save(folder, rows, edit=edit, title=title)], **options)


def data(schedule: Schedule) -> list[RawRow]:
    return [row for row in schedule.rows if row.kind is RowKind.DATA]


def kinds(schedule: Schedule) -> list[str]:
    return [str(row.kind) for row in schedule.rows]


def codes(flags) -> Counter:
    return Counter((flag.code, str(flag.severity)) for flag in flags)


def numbers(schedule: Schedule) -> list[str]:
    return [row.text(Field.ROOM_NUMBER) for row in data(schedule)]


def test_a_clean_table_comes_back_with_its_cells_and_places(tmp_path: Path) -> None:
    schedule = read(tmp_path, [HEADER, *ROWS])
    assert schedule.tables[0].shape is TableShape.DOORS
    assert [row.source.row for row in data(schedule)] == [2, 3, 4, 5]
    row = data(schedule)[2]
    assert [(cell.field, cell.text, cell.column) for cell in row.cells] == [
        (Field.DOOR, "103A", "A"),
        (Field.ROOM_NUMBER, "103", "B"),
        (Field.ROOM_NAME, "CONFERENCE", "C"),
        (Field.HAND, "LH", "D"),
        (Field.REMARKS, "PAIR", "E"),
    ]
    assert str(row.source_of(Field.ROOM_NAME)) == "doors.xlsx [DOORS] C4"
    assert row.as_given == ("103A", "103", "CONFERENCE", "LH", "PAIR")


def test_the_header_is_found_under_a_logo_and_a_title(tmp_path: Path) -> None:
    schedule = read(tmp_path, [(), ("NORTH PIER LIBRARY",), ("DOOR SCHEDULE",), (), ("REV B",), (), HEADER, *ROWS])
    assert kinds(schedule)[:7] == ["blank", "title", "title", "blank", "title", "blank", "header"]
    assert schedule.tables[0].header_rows == (7,)
    assert "row 7" in schedule.tables[0].evidence
    assert len(data(schedule)) == 4


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        # Synonyms of the trade.
        (("OPNG", "RM #", "SPACE NAME"), (Field.DOOR, Field.ROOM_NUMBER, Field.ROOM_NAME)),
        (("MARK", "NO.", "DESCRIPTION"), (Field.DOOR, Field.ROOM_NUMBER, Field.ROOM_NAME)),
        (("DOOR #", "TO ROOM NO", "TO ROOM NAME"), (Field.DOOR, Field.ROOM_NUMBER, Field.ROOM_NAME)),
        (("Dr. No.", "Room", "Name"), (Field.DOOR, Field.ROOM_NUMBER, Field.ROOM_NAME)),
        (("Opening\nMark", "Room\nNumber", "Room\nName"), (Field.DOOR, Field.ROOM_NUMBER, Field.ROOM_NAME)),
        (("DoorNumber", "SpaceName", "LongName"), (Field.DOOR, Field.ROOM_NUMBER, Field.ROOM_NAME)),
    ],
)
def test_synonyms_of_headers(tmp_path: Path, header: tuple[str, ...], expected: tuple[Field, ...]) -> None:
    rows = [(f"{number}A", str(number), "OFFICE") for number in range(101, 108)]
    schedule = read(tmp_path, [header, *rows])
    assert tuple(match.field for match in schedule.tables[0].columns) == expected
    assert len(data(schedule)) == 7


def test_one_header_word_means_what_its_column_holds(tmp_path: Path) -> None:
    named = read(tmp_path, [("DOOR", "ROOM", "HAND"), ("1", "LOBBY", "LH"), ("2", "OFFICE", "RH")])
    numbered = read(tmp_path, [("DOOR", "ROOM", "HAND"), ("1", "101", "LH"), ("2", "102", "RH")])
    assert named.tables[0].columns[1].field is Field.ROOM_NAME
    assert numbered.tables[0].columns[1].field is Field.ROOM_NUMBER


def test_two_columns_headed_floor_are_the_level_and_a_finish(tmp_path: Path) -> None:
    header = ("ROOM NO.", "ROOM NAME", "FLOOR", "FLOOR", "BASE")
    schedule = read(tmp_path, [header, ("101", "LOBBY", "TERRAZZO", "1", "RB"), ("201", "OFFICE", "CARPET", "2", "RB")])
    assert [match.field for match in schedule.tables[0].columns][2:] == [None, Field.LEVEL, None]
    assert [row.level for row in data(schedule)] == ["1", "2"]


def test_a_finish_group_over_floor_is_no_level(tmp_path: Path) -> None:
    def merge(sheet) -> None:
        sheet.merge_cells("C1:D1")

    rows = [
        ("ROOM", "", "FINISHES", ""),
        ("NO.", "NAME", "FLOOR", "WALLS"),
        ("101", "LOBBY", "F1", "P1"),
        ("102", "OFFICE", "F2", "P1"),
    ]
    schedule = read(tmp_path, rows, edit=merge)
    assert Field.LEVEL not in [match.field for match in schedule.tables[0].columns]


def test_two_header_rows_with_merged_groups_are_joined(tmp_path: Path) -> None:
    def merge(sheet) -> None:
        sheet.merge_cells("B1:C1")
        sheet.merge_cells("A1:A2")
        sheet.merge_cells("D1:F1")

    rows = [
        ("DOOR", "ROOM", "", "FRAME", "", ""),
        ("", "NO.", "NAME", "TYPE", "NO.", "MATERIAL"),
        ("101A", "101", "LOBBY", "F1", "17", "HM"),
        ("102A", "102", "OFFICE", "F1", "18", "HM"),
    ]
    schedule = read(tmp_path, rows, edit=merge)
    columns = {match.column: (match.header, match.field) for match in schedule.tables[0].columns}
    assert schedule.tables[0].header_rows == (1, 2)
    assert columns["A"] == ("DOOR", Field.DOOR)
    assert columns["B"] == ("ROOM / NO.", Field.ROOM_NUMBER)
    assert columns["C"] == ("ROOM / NAME", Field.ROOM_NAME)
    assert columns["E"] == ("FRAME / NO.", None)
    assert numbers(schedule) == ["101", "102"]


def test_repeated_page_headers_and_titles_are_no_records(tmp_path: Path) -> None:
    rows = [("DOOR SCHEDULE",), HEADER, *ROWS[:2], ("Page 1 of 2",), ("DOOR SCHEDULE",), HEADER, *ROWS[2:]]
    schedule = read(tmp_path, rows)
    assert kinds(schedule) == ["title", "header", "data", "data", "title", "title", "header", "data", "data"]


def test_level_headings_are_carried_down(tmp_path: Path) -> None:
    rows = [HEADER, ("FIRST FLOOR",), *ROWS[:2], (), ("LEVEL: 2",), ROWS[2], ("3RD FLR",), ("BASEMENT",), ROWS[3]]
    schedule = read(tmp_path, rows)
    assert [row.level for row in data(schedule)] == ["FIRST FLOOR", "FIRST FLOOR", "LEVEL: 2", "BASEMENT"]
    assert kinds(schedule).count("level") == 4
    assert "intake/no-level" not in {flag.code for flag in schedule.flags}


def test_a_level_column_is_not_filled_down_but_a_merge_is(tmp_path: Path) -> None:
    header = ("LEVEL", "ROOM NO.", "ROOM NAME")
    rows = [header, ("LEVEL 1", "101", "LOBBY"), ("", "102", "OFFICE"), ("LEVEL 2", "201", "LAB"), ("", "202", "STAIR")]
    plain = read(tmp_path, rows)
    assert [row.level for row in data(plain)] == ["LEVEL 1", "", "LEVEL 2", ""]
    assert codes(plain.flags)[("intake/no-level", "ASK")] == 1
    merged = read(tmp_path, rows, edit=lambda sheet: (sheet.merge_cells("A2:A3"), sheet.merge_cells("A4:A5")))
    assert [row.level for row in data(merged)] == ["LEVEL 1", "LEVEL 1", "LEVEL 2", "LEVEL 2"]


def test_merged_numbers_fill_down_and_blanks_do_not(tmp_path: Path) -> None:
    rows = [
        HEADER,
        ("101A", "101", "LOBBY", "LH", ""),
        ("101B", "", "", "RH", ""),
        ("102A", "102", "OFFICE", "LH", ""),
        ("102B", "", "", "RH", ""),
    ]
    schedule = read(tmp_path, rows, edit=lambda sheet: (sheet.merge_cells("B2:B3"), sheet.merge_cells("C2:C3")))
    assert numbers(schedule) == ["101", "101", "102", ""]
    assert codes(data(schedule)[1].flags) == {("intake/merged-cell", "NOTE"): 2}
    assert data(schedule)[1].as_given == ("101B", "RH")
    assert data(schedule)[3].text(Field.ROOM_NAME) == ""


def test_the_level_of_a_title_or_sheet_name_is_used_and_told(tmp_path: Path) -> None:
    titled = read(tmp_path, [("ROOM SCHEDULE - SECOND FLOOR",), HEADER, *ROWS])
    assert {row.level for row in data(titled)} == {"SECOND FLOOR"}
    named = read(tmp_path, [HEADER, *ROWS], title="LEVEL 3")
    assert {row.level for row in data(named)} == {"LEVEL 3"}
    assert codes(named.flags)[("intake/level-from-title", "NOTE")] == 1


def test_sums_are_skipped_and_compared(tmp_path: Path) -> None:
    rows = [
        HEADER,
        ("LEVEL 1",),
        *ROWS[:2],
        ("SUBTOTAL", "", "2"),
        ("LEVEL 2",),
        *ROWS[2:],
        ("LEVEL 2 TOTAL: 2",),
        ("TOTAL DOORS 5",),
    ]
    schedule = read(tmp_path, rows)
    assert kinds(schedule).count("subtotal") == 3
    wrong = [flag for flag in schedule.flags if flag.code == "intake/total-differs"]
    assert len(wrong) == 1
    assert wrong[0].source.row == 10
    assert "the sheet counts 5" in wrong[0].message
    assert "4 in the table" in wrong[0].message


def test_a_room_called_total_is_no_sum(tmp_path: Path) -> None:
    schedule = read(
        tmp_path, [("ROOM NAME", "ROOM NO.", "HAND"), ("TOTAL BODY SCAN", "105", "LH"), ("LOBBY", "101", "LH")]
    )
    assert len(data(schedule)) == 2


def test_notes_legends_and_revision_boxes_under_the_table_are_no_records(tmp_path: Path) -> None:
    rows = [
        HEADER,
        *ROWS,
        (),
        ("NOTES:",),
        ("1. ALL HARDWARE BY DIVISION 8.",),
        ("1", "SEE DETAIL 4"),
        ("LEGEND", "", "", "", ""),
        ("LH", "LEFT HAND"),
        ("REV", "DATE", "DESCRIPTION"),
        ("1", "2026-01-05", "ISSUED FOR BID"),
    ]
    schedule = read(tmp_path, rows)
    assert len(data(schedule)) == 4
    assert Counter(kinds(schedule)) == {"header": 1, "data": 4, "blank": 1, "legend": 7}


def test_a_record_under_the_notes_is_still_a_record(tmp_path: Path) -> None:
    schedule = read(
        tmp_path, [HEADER, *ROWS, ("NOTES",), ("1. VERIFY.",), ("106", "SEE NOTE"), ("105", "105", "LAB", "LH", "")]
    )
    assert numbers(schedule)[-1] == "105"
    assert schedule.rows[-2].kind is RowKind.UNPLACED
    assert schedule.rows[-2].flags[0].severity is Severity.HOLD


def test_a_legend_without_heading_is_not_made_a_door(tmp_path: Path) -> None:
    schedule = read(tmp_path, [HEADER, *ROWS, (), ("FG", "FULL GLASS"), ("HG", "HALF GLASS")])
    assert kinds(schedule)[-2:] == ["unplaced", "unplaced"]
    assert codes(schedule.flags)[("intake/unplaced-row", "ASK")] == 2


def test_what_cannot_be_placed_is_flagged_and_counted(tmp_path: Path) -> None:
    schedule = read(tmp_path, [HEADER, ("NORTH WING",), *ROWS, ("", "", "", "LH", "3-0 x 7-0")])
    assert kinds(schedule)[1] == "unplaced"
    assert kinds(schedule)[-1] == "unplaced"
    held = [flag for flag in schedule.flags if flag.code == "intake/no-identity"]
    assert held[0].severity is Severity.HOLD
    assert held[0].source.row == 7
    assert "no door, room number or room name" in held[0].message


def test_a_record_with_a_door_and_nothing_else_is_kept(tmp_path: Path) -> None:
    schedule = read(tmp_path, [HEADER, *ROWS, ("105",)])
    assert data(schedule)[-1].text(Field.DOOR) == "105"


def test_a_lone_name_is_kept_and_asked(tmp_path: Path) -> None:
    schedule = read(tmp_path, [HEADER, *ROWS, ("", "", "ROOF TERRACE", "", "")])
    assert codes(data(schedule)[-1].flags) == {("intake/lone-name", "ASK"): 1}


@pytest.mark.parametrize("void", ["n/a", "N/A", "-", "--", "\u2014", " ", "\u00a0", "\u200b"])
def test_words_for_nothing_are_empty_and_never_names(tmp_path: Path, void: str) -> None:
    schedule = read(tmp_path, [HEADER, *ROWS, ("105", "105", void, "LH", "")])
    assert data(schedule)[-1].text(Field.ROOM_NAME) == ""
    assert data(schedule)[-1].text(Field.ROOM_NUMBER) == "105"


def test_hidden_rows_are_counted_and_listed_never_live(tmp_path: Path) -> None:
    def hide(sheet) -> None:
        sheet.row_dimensions[3].hidden = True

    schedule = read(tmp_path, [HEADER, *ROWS], edit=hide)
    assert kinds(schedule)[2] == "hidden"
    assert numbers(schedule) == ["101", "103", "104"]
    flag = next(flag for flag in schedule.flags if flag.code == "intake/hidden-row")
    assert (flag.severity, flag.source.row, flag.given) == (Severity.ASK, 3, "102 | 102 | OFFICE | RH")
    assert schedule.rows[2].text(Field.ROOM_NAME) == "OFFICE"


def test_a_hidden_level_heading_still_tells_the_level(tmp_path: Path) -> None:
    def hide(sheet) -> None:
        sheet.row_dimensions[4].hidden = True

    schedule = read(tmp_path, [HEADER, ("LEVEL 1",), ROWS[0], ("LEVEL 2",), ROWS[1]], edit=hide)
    assert [row.level for row in data(schedule)] == ["LEVEL 1", "LEVEL 2"]


def test_hidden_columns_are_listed_and_not_used(tmp_path: Path) -> None:
    rows = [
        ("DOOR NO.", "ROOM NO.", "FINAL NO.", "ROOM NAME"),
        ("101", "101", "A-101", "LOBBY"),
        ("102", "102", "A-102", "OFFICE"),
    ]

    def hide(sheet) -> None:
        sheet.column_dimensions["C"].hidden = True

    schedule = read(tmp_path, rows, edit=hide)
    assert data(schedule)[0].text(Field.FINAL_NUMBER) == ""
    assert data(schedule)[0].as_given == ("101", "101", "A-101", "LOBBY")
    flag = next(flag for flag in schedule.flags if flag.code == "intake/hidden-column")
    assert "C 'FINAL NO.' is hidden; its 2 cells" in flag.message
    told = read(tmp_path, rows, edit=hide, columns={Field.FINAL_NUMBER: "FINAL NO."})
    assert data(told)[0].text(Field.FINAL_NUMBER) == "A-101"


def test_a_filtered_sheet_hides_what_the_filter_hides(tmp_path: Path) -> None:
    def filter_rows(sheet) -> None:
        sheet.auto_filter.ref = "A1:E5"
        sheet.auto_filter.add_filter_column(3, ["LH"])
        for number in (3, 5):
            sheet.row_dimensions[number].hidden = True

    schedule = read(tmp_path, [HEADER, *ROWS], edit=filter_rows)
    assert Counter(kinds(schedule)) == {"header": 1, "data": 2, "hidden": 2}


def test_struck_rows_are_counted_and_listed_never_live(tmp_path: Path) -> None:
    def strike(sheet) -> None:
        for cell in sheet[4]:
            cell.font = Font(strike=True)

    schedule = read(tmp_path, [HEADER, *ROWS], edit=strike)
    assert kinds(schedule)[3] == "struck"
    assert numbers(schedule) == ["101", "102", "104"]
    assert codes(schedule.flags)[("intake/struck-row", "ASK")] == 1


def test_one_struck_cell_holds_its_row_and_is_not_used(tmp_path: Path) -> None:
    def strike(sheet) -> None:
        sheet["C3"].font = Font(strike=True)

    schedule = read(tmp_path, [HEADER, *ROWS], edit=strike)
    row = data(schedule)[1]
    assert row.text(Field.ROOM_NAME) == ""
    assert "OFFICE" in row.as_given
    assert codes(row.flags) == {("intake/struck-cell", "HOLD"): 1}


def test_partly_struck_text_holds_and_shows_both(tmp_path: Path) -> None:
    def strike(sheet) -> None:
        sheet["C3"] = CellRichText(TextBlock(InlineFont(strike=True), "OFFICE"), " STORAGE")

    row = data(read(tmp_path, [HEADER, *ROWS], edit=strike))[1]
    assert row.text(Field.ROOM_NAME).strip() == "STORAGE"
    assert codes(row.flags) == {("intake/struck-text", "HOLD"): 1}
    assert row.flags[0].given == "OFFICE STORAGE"


def test_notes_hung_on_cells_are_told(tmp_path: Path) -> None:
    def note(sheet) -> None:
        sheet["C2"].comment = Comment("rename to ATRIUM?", "reviewer")

    row = data(read(tmp_path, [HEADER, *ROWS], edit=note))[0]
    assert codes(row.flags) == {("intake/cell-comment", "NOTE"): 1}
    assert "rename to ATRIUM?" in row.flags[0].message


def test_text_is_kept_as_it_stands(tmp_path: Path) -> None:
    odd = "BREAK\u00a0RM\n\u201cSTAFF\u201d \uff11\uff12 [60, 61]"
    row = data(read(tmp_path, [HEADER, *ROWS, ("105", "105", odd, "LH", "")]))[-1]
    assert row.text(Field.ROOM_NAME) == odd
    assert odd in row.as_given


def test_swapped_number_and_name_are_turned_and_asked(tmp_path: Path) -> None:
    schedule = read(tmp_path, [HEADER, *ROWS, ("105", "KITCHEN", "105", "LH", "")])
    row = data(schedule)[-1]
    assert (row.text(Field.ROOM_NUMBER), row.text(Field.ROOM_NAME)) == ("105", "KITCHEN")
    assert codes(row.flags) == {("intake/number-name-swapped", "ASK"): 1}
    assert row.source_of(Field.ROOM_NAME).column == "B"


def test_two_tables_on_one_sheet_are_both_read(tmp_path: Path) -> None:
    rooms = [("ROOM NO.", "ROOM NAME", "AREA"), ("101", "LOBBY", "40"), ("102", "OFFICE", "12")]
    schedule = read(tmp_path, [("DOORS",), HEADER, *ROWS, (), ("ROOMS",), *rooms])
    assert [table.shape for table in schedule.tables] == [TableShape.DOORS, TableShape.ROOMS]
    assert len(data(schedule)) == 6
    assert [row.text(Field.DOOR) for row in data(schedule)][-2:] == ["", ""]
    assert kinds(schedule)[6:9] == ["blank", "title", "header"]


def test_the_level_of_one_table_does_not_run_into_the_next(tmp_path: Path) -> None:
    rooms = [("ROOM NO.", "ROOM NAME", "AREA"), ("101", "LOBBY", "40"), ("102", "OFFICE", "12")]
    open_end = read(tmp_path, [HEADER, ("LEVEL 2",), *ROWS, (), *rooms])
    assert [row.level for row in data(open_end)] == ["LEVEL 2"] * 4 + [""] * 2
    assert codes(open_end.flags)[("intake/no-level", "ASK")] == 1
    titled = read(tmp_path, [HEADER, ("LEVEL 2",), *ROWS, ("ROOMS OF LEVEL 1",), *rooms])
    assert [row.level for row in data(titled)] == ["LEVEL 2"] * 4 + ["LEVEL 1"] * 2


def test_a_message_list_is_told_by_its_wording_column(tmp_path: Path) -> None:
    schedule = read(
        tmp_path,
        [("SIGN TYPE", "ROOM NO.", "SIGN TEXT", "QTY"), ("A", "101", "LOBBY", "1"), ("B", "102", "STAIR A", "2")],
    )
    assert schedule.tables[0].shape is TableShape.MESSAGES
    assert "sign wording" in schedule.tables[0].evidence
    assert data(schedule)[1].text(Field.QUANTITY) == "2"


def test_a_room_schedule_is_told_with_its_evidence(tmp_path: Path) -> None:
    schedule = read(tmp_path, [("NUMBER", "NAME", "AREA"), ("101", "LOBBY", "40"), ("102", "OFFICE", "12")])
    assert schedule.tables[0].shape is TableShape.ROOMS
    assert "no door column" in schedule.tables[0].evidence


def test_a_count_of_door_types_is_refused_with_the_reason(tmp_path: Path) -> None:
    rows = [
        ("MARK", "WIDTH", "HEIGHT", "QTY"),
        ("A", "900", "2100", "12"),
        ("B", "1000", "2100", "7"),
        ("C", "800", "2100", "1"),
    ]
    with pytest.raises(InputError, match=r"counts doors by type: column D .* \(20 doors in 3 rows\)"):
        read(tmp_path, rows)


def test_a_mark_that_is_a_type_letter_is_no_door(tmp_path: Path) -> None:
    letters = "ABABABAB"
    rows = [("MARK", "ROOM NO.", "ROOM NAME"), *((letter, str(101 + i), "OFFICE") for i, letter in enumerate(letters))]
    schedule = read(tmp_path, rows)
    assert schedule.tables[0].shape is TableShape.ROOMS
    assert data(schedule)[0].text(Field.DOOR) == ""


def test_a_list_with_neither_door_nor_room_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="none of it is a door, a room number or a room name"):
        read(
            tmp_path,
            [("TYPE", "WIDTH", "HEIGHT", "MATERIAL"), ("F1", "900", "2100", "HM"), ("F2", "900", "2100", "WD")],
        )


def test_no_header_stops_with_the_first_rows_and_the_line_that_fixes_it(tmp_path: Path) -> None:
    rows = [("101", "LOBBY"), ("102", "OFFICE"), *((str(number), "LAB") for number in range(103, 130))]
    with pytest.raises(InputError) as stop:
        read(tmp_path, rows)
    message = str(stop.value)
    assert "  1  A: 101 | B: LOBBY" in message
    assert " 15  A: 115 | B: LAB" in message
    assert "116" not in message
    assert message.endswith("--column number=A --column name=B")
    fixed = read(tmp_path, rows, columns={Field.ROOM_NUMBER: "A", Field.ROOM_NAME: "B"})
    assert len(data(fixed)) == 29
    assert fixed.tables[0].header_rows == ()


def test_columns_can_be_told_by_header_text(tmp_path: Path) -> None:
    rows = [("KEY", "LVL", "WHAT"), ("101", "1", "LOBBY"), ("102", "1", "OFFICE")]
    schedule = read(tmp_path, rows, columns={Field.ROOM_NUMBER: "key", Field.ROOM_NAME: "What"})
    assert [(row.text(Field.ROOM_NUMBER), row.text(Field.ROOM_NAME)) for row in data(schedule)] == [
        ("101", "LOBBY"),
        ("102", "OFFICE"),
    ]
    assert schedule.tables[0].columns[0].evidence == "given as --column number=key"


def test_a_told_column_wins_over_the_found_one(tmp_path: Path) -> None:
    header = ("ROOM NO.", "ROOM NAME", "NAME ON SIGN")
    schedule = read(
        tmp_path, [header, ("101", "RM A", "LOBBY"), ("102", "RM B", "LAB")], columns={Field.ROOM_NAME: "NAME ON SIGN"}
    )
    assert [row.text(Field.ROOM_NAME) for row in data(schedule)] == ["LOBBY", "LAB"]


def test_a_told_column_that_does_not_exist_is_a_mistake_worth_a_stop(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"--column name=TITLE matches no column. Headers found: DOOR NO\., ROOM NO\."):
        read(tmp_path, [HEADER, *ROWS], columns={Field.ROOM_NAME: "TITLE"})


def test_equal_claims_on_a_field_are_asked(tmp_path: Path) -> None:
    schedule = read(
        tmp_path,
        [("ROOM NO.", "ROOM NAME", "ROOM DESCRIPTION"), ("101", "LOBBY", "MAIN LOBBY"), ("102", "LAB", "WET LAB")],
    )
    flag = next(flag for flag in schedule.flags if flag.code == "intake/two-columns")
    assert "columns B 'ROOM NAME' and C 'ROOM DESCRIPTION' may both be the name; B is taken" in flag.message


def test_unmapped_columns_stay_in_as_given(tmp_path: Path) -> None:
    schedule = read(tmp_path, [("ROOM NO.", "ROOM NAME", "STC"), ("101", "LOBBY", "52")])
    assert data(schedule)[0].as_given == ("101", "LOBBY", "52")
    assert len(data(schedule)[0].cells) == 2


def test_a_name_that_is_also_a_level_is_a_record_where_names_stand(tmp_path: Path) -> None:
    rows = [
        ("ROOM NO.", "ROOM NAME", "HAND"),
        ("101", "LOBBY", "LH"),
        ("102", "LAB", "LH"),
        ("", "ROOF", ""),
        ("BASEMENT",),
    ]
    schedule = read(tmp_path, rows)
    assert kinds(schedule)[-2:] == ["data", "level"]
    assert codes(data(schedule)[-1].flags) == {("intake/lone-name", "ASK"): 1}


def test_a_level_in_a_list_of_one_column_is_asked(tmp_path: Path) -> None:
    schedule = read(tmp_path, [("ROOM NAME",), ("LOBBY",), ("MEZZANINE",), ("LAB",)])
    assert kinds(schedule) == ["header", "data", "level", "data"]
    assert codes(schedule.flags)[("intake/lone-level", "ASK")] == 1


def test_a_header_repeated_in_other_words_keeps_the_level(tmp_path: Path) -> None:
    again = ("DOOR NO", "ROOM NUMBER", "ROOM NAME", "HAND", "REMARKS")
    schedule = read(tmp_path, [HEADER, ("LEVEL 1",), *ROWS[:2], again, *ROWS[2:]])
    assert [row.level for row in data(schedule)] == ["LEVEL 1"] * 4
