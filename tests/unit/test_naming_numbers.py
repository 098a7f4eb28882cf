"""Room numbers and levels. What a spreadsheet does to a number, and what a clerk does about it: common practice, no source."""

import pytest

from schedule2sign.model.flag import Severity
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind
from schedule2sign.model.settings import Settings
from schedule2sign.model.source import Source
from schedule2sign.naming.level import clean_level
from schedule2sign.naming.rename import name_rows
from schedule2sign.naming.vocabulary import load_vocabulary

SETTINGS = Settings()
VOCABULARY = load_vocabulary(SETTINGS)


def name_numbers(*numbers: str, level: str = "1", field: Field = Field.ROOM_NUMBER) -> tuple[NamedRow, ...]:
    rows = [
        RawRow(
            source=Source(file="rooms.csv", sheet="", row=index),
            kind=RowKind.DATA,
            level=level,
            cells=(Cell(field=field, text=number, column="A"), Cell(field=Field.ROOM_NAME, text="OFFICE", column="B")),
        )
        for index, number in enumerate(numbers, start=2)
    ]
    return name_rows(rows, VOCABULARY, SETTINGS)


def codes(row: NamedRow) -> dict[str, Severity]:
    return {flag.code.removeprefix("naming/"): flag.severity for flag in row.flags}


@pytest.mark.parametrize(
    ("given", "number"),
    [
        ("007", "007"),
        ("101A", "101A"),
        (" 101 ", "101"),
        ("S102", "S102"),
        ("P01", "P01"),
        ("R100A", "R100A"),
        ("101.10", "101.10"),
        ("143AA", "143AA"),
        ("1-101", "1-101"),
    ],
)
def test_a_sound_number_stays_as_written(given: str, number: str) -> None:
    row = name_numbers(given)[0]
    assert row.room_number == number
    assert Severity.HOLD not in codes(row).values()


@pytest.mark.parametrize(
    ("given", "number"),
    [
        ("101 A", "101A"),
        ("101.A", "101A"),
        ("RM 101", "101"),
        ("ROOM 101", "101"),
        ("#101", "101"),
        ("NO. 101", "101"),
        ("RM.101", "101"),
    ],
)
def test_a_change_of_form_is_told(given: str, number: str) -> None:
    row = name_numbers(given)[0]
    assert row.room_number == number
    assert codes(row) == {"number-form": Severity.NOTE}


def test_a_lower_case_suffix_is_raised() -> None:
    row = name_numbers("101a")[0]
    assert (row.room_number, [change.rule for change in row.changes]) == ("101A", ["N03"])


def test_the_dash_stays_where_most_of_the_sheet_writes_one() -> None:
    rows = name_numbers("101-A", "102-B", "103C")
    assert [row.room_number for row in rows] == ["101-A", "102-B", "103C"]


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ("1/2", "number-fraction"),
        ("3/4", "number-fraction"),
        ("\u00bd", "number-fraction"),
        ("1-2", "number-date"),
        ("10-12", "number-date"),
        ("MAR1", "number-date"),
        ("1-Mar", "number-date"),
        ("5-Feb", "number-date"),
        ("2026-02-05", "number-date"),
        ("2026-02-05 00:00:00", "number-date"),
        ("45692", "number-date"),
        ("1E+10", "number-exponent"),
        ("1.00E+10", "number-exponent"),
        ("101/102", "number-range"),
        ("101-105", "number-range"),
        ("101 & 103", "number-range"),
        ("101, 103", "number-range"),
        ("101 AND 102", "number-range"),
        ("1O1", "look-alike"),
        ("l01", "look-alike"),
        ("\u0410101", "look-alike"),
        ("\uff11\uff10\uff11", "look-alike"),
        ("10\ufffd", "damaged-text"),
        ("101%", "number-character"),
    ],
)
def test_a_mangled_number_is_held_and_not_guessed(given: str, code: str) -> None:
    row = name_numbers(given)[0]
    assert codes(row)[code] is Severity.HOLD
    assert row.room_number == given.upper()


def test_a_job_that_numbers_by_floor_and_room_has_no_dates() -> None:
    rows = name_numbers("1-1", "1-2", "1-10", "2-12")
    assert all("number-date" not in codes(row) for row in rows)


@pytest.mark.parametrize("suffix", ["I", "O", "Q", "S", "Z", "L"])
def test_a_suffix_that_reads_as_a_digit_is_asked(suffix: str) -> None:
    assert codes(name_numbers(f"101{suffix}")[0])["number-suffix"] is Severity.ASK


def test_a_small_l_at_the_end_is_asked() -> None:
    assert codes(name_numbers("10l")[0])["number-suffix"] is Severity.ASK


def test_a_dash_before_the_suffix_goes_where_the_sheet_writes_none() -> None:
    rows = name_numbers("101-A", "102B", "103C")
    assert [row.room_number for row in rows] == ["101A", "102B", "103C"]
    assert codes(rows[0]) == {"number-form": Severity.NOTE}


def test_an_ordinary_suffix_is_no_question() -> None:
    assert codes(name_numbers("101B")[0]) == {}


def test_lost_zeros_are_asked_on_their_own_level_only() -> None:
    rows = name_numbers("001", "002", "7", "110")
    assert [codes(row).get("number-zeros") for row in rows] == [None, None, Severity.ASK, None]
    assert rows[2].room_number == "7"
    assert codes(name_numbers("7", "8", "199")[0]) == {}


def test_a_number_column_saved_as_text() -> None:
    rows = name_numbers("3000.0", "3001.0", "3002.0")
    assert [row.room_number for row in rows] == ["3000", "3001", "3002"]
    assert all(codes(row) == {"number-form": Severity.NOTE} for row in rows)
    mixed = name_numbers("101.0", "101.1", "101.2")
    assert [row.room_number for row in mixed] == ["101.0", "101.1", "101.2"]


def test_a_lost_zero_after_the_point_is_asked() -> None:
    rows = name_numbers("101.1", "101.9", "101.11")
    assert codes(rows[0])["number-decimal"] is Severity.ASK
    assert "number-decimal" not in codes(name_numbers("101.1", "101.10", "101.11")[0])


def test_a_thousands_comma_is_asked() -> None:
    row = name_numbers("1,204")[0]
    assert (row.room_number, codes(row)["number-grouping"]) == ("1204", Severity.ASK)


def test_a_level_prefix_is_asked_once_a_sheet() -> None:
    rows = name_numbers("2-104", "2-105", "2-106")
    assert [codes(row).get("number-level-prefix") for row in rows] == [Severity.ASK, None, None]
    assert [row.room_number for row in rows] == ["2-104", "2-105", "2-106"]


@pytest.mark.parametrize("empty", ["-", "N/A", "n/a", "--"])
def test_no_number_is_no_number(empty: str) -> None:
    assert name_numbers(empty)[0].room_number == ""


def test_a_door_mark_beside_a_number_keeps_its_form() -> None:
    row = name_rows(
        [
            RawRow(
                source=Source(file="doors.csv", sheet="", row=2),
                kind=RowKind.DATA,
                cells=(
                    Cell(field=Field.DOOR, text="101-a ", column="A"),
                    Cell(field=Field.ROOM_NUMBER, text="101", column="B"),
                ),
            )
        ],
        VOCABULARY,
        SETTINGS,
    )[0]
    assert (row.door, row.room_number, row.name) == ("101-A", "101", "")


def test_a_door_mark_alone_follows_the_rules_of_numbers() -> None:
    row = name_numbers("101 A", field=Field.DOOR)[0]
    assert (row.door, row.room_number) == ("101A", "")


def test_swapped_cells_are_exchanged_and_asked() -> None:
    row = name_rows(
        [
            RawRow(
                source=Source(file="rooms.csv", sheet="", row=2),
                kind=RowKind.DATA,
                cells=(
                    Cell(field=Field.ROOM_NUMBER, text="STORAGE", column="A"),
                    Cell(field=Field.ROOM_NAME, text="118", column="B"),
                ),
            )
        ],
        VOCABULARY,
        SETTINGS,
    )[0]
    assert (row.room_number, row.name, row.name_as_given) == ("118", "STORAGE", "118")
    assert codes(row)["swapped-cells"] is Severity.ASK


def test_number_and_name_in_one_cell_are_parted_and_asked() -> None:
    row = name_rows(
        [
            RawRow(
                source=Source(file="rooms.csv", sheet="", row=2),
                kind=RowKind.DATA,
                cells=(Cell(field=Field.ROOM_NUMBER, text="101 - Main Lobby", column="A"),),
            )
        ],
        VOCABULARY,
        SETTINGS,
    )[0]
    assert (row.room_number, row.name, row.name_as_given) == ("101", "MAIN LOBBY", "")
    assert codes(row)["split-cell"] is Severity.ASK
    assert codes(name_numbers("101 MAIN LOBBY")[0])["number-character"] is Severity.HOLD


@pytest.mark.parametrize(
    ("given", "level"),
    [
        ("Level 2", "LEVEL 2"),
        ("LVL 02", "LEVEL 2"),
        ("L2", "LEVEL 2"),
        ("2ND FLOOR", "LEVEL 2"),
        ("SECOND FLOOR", "LEVEL 2"),
        ("Second Flr.", "LEVEL 2"),
        ("2", "LEVEL 2"),
        ("FLOOR 12", "LEVEL 12"),
        ("02 - Floor", "LEVEL 2"),
        ("01 - Entry Level", "LEVEL 1"),
        ("BSMT", "BASEMENT"),
        ("B1", "BASEMENT 1"),
        ("Mezz.", "MEZZANINE"),
        ("GROUND FLOOR", "GROUND"),
        ("P1", "LEVEL P1"),
        ("Roof", "ROOF"),
        ("T/FDN", "T/FDN"),
        ("EAST WING", "EAST WING"),
        ("", ""),
    ],
)
def test_levels_take_a_plain_form(given: str, level: str) -> None:
    assert clean_level(given) == level
    assert clean_level(level) == level


def test_a_space_between_digits_is_asked() -> None:
    row = name_numbers("1 01", "102", "A 103")[0]
    assert row.room_number == "1 01"
    assert {flag.code: flag.severity for flag in row.flags}["naming/number-space"] is Severity.ASK
