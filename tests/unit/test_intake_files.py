"""Files as they come: encodings, formats, spoilt cells, several at once, and what is refused."""

import contextlib
import hashlib
import io
import random
import struct
import sys
import zipfile
from datetime import datetime
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.styles import Font

from schedule2sign.errors import InputError
from schedule2sign.intake.reader import read_schedule
from schedule2sign.model.schedule import Field, RawRow, RowKind, Schedule

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures" / "schedules"
TABLE = "DOOR NO.,ROOM NO.,ROOM NAME\n101A,101,LOBBY\n102A,102,CAFÉ\n103A,103,“STAFF” ROOM\n"


def data(schedule: Schedule) -> list[RawRow]:
    return [row for row in schedule.rows if row.kind is RowKind.DATA]


def names(schedule: Schedule) -> list[str]:
    return [row.text(Field.ROOM_NAME) for row in data(schedule)]


def codes(flags) -> dict[str, str]:
    return {flag.code: str(flag.severity) for flag in flags}


def put(folder: Path, content: bytes | str, name: str = "doors.csv") -> Path:
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def save(folder: Path, rows, *, edit=None, name: str = "doors.xlsx") -> Path:
    book = Workbook()
    for row in rows:
        book.active.append(row)
    if edit:
        edit(book)
    path = folder / name
    book.save(path)
    return path


# Text files


@pytest.mark.parametrize(
    ("codec", "told", "guessed"),
    [
        ("utf-8", "UTF-8,", False),
        ("utf-8-sig", "UTF-8 with byte-order mark", False),
        ("utf-16", "UTF-16", False),
        ("utf-16-le", "UTF-16 without byte-order mark", True),
        ("utf-16-be", "UTF-16 without byte-order mark", True),
        ("cp1252", "Windows-1252", True),
    ],
)
def test_encodings_are_found_and_told(tmp_path: Path, codec: str, told: str, guessed: bool) -> None:
    schedule = read_schedule([put(tmp_path, TABLE.encode(codec))])
    assert names(schedule) == ["LOBBY", "CAFÉ", "“STAFF” ROOM"]
    assert told in schedule.tables[0].evidence
    assert (codes(schedule.flags).get("intake/encoding-guessed") == "ASK") is guessed


@pytest.mark.parametrize(("mark", "told"), [(",", "comma"), (";", "semicolon"), ("\t", "tab"), ("|", "bar")])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_delimiters_and_line_ends_are_found_and_told(tmp_path: Path, mark: str, told: str, end: str) -> None:
    content = TABLE.replace(",", mark).replace("\n", end)
    schedule = read_schedule([put(tmp_path, content, "doors.txt")])
    assert names(schedule) == ["LOBBY", "CAFÉ", "“STAFF” ROOM"]
    assert f"{told} between cells" in schedule.tables[0].evidence
    assert [row.source.row for row in data(schedule)] == [2, 3, 4]


def test_a_stated_separator_is_obeyed(tmp_path: Path) -> None:
    schedule = read_schedule([put(tmp_path, "sep=;\n" + TABLE.replace(",", ";"))])
    assert len(data(schedule)) == 3
    assert [row.source.row for row in data(schedule)] == [3, 4, 5]


def test_line_breaks_inside_quotes_make_no_new_row(tmp_path: Path) -> None:
    schedule = read_schedule([put(tmp_path, 'ROOM NO.,ROOM NAME\n101,"WORK\nRM"\n102,"A ""B"" LAB"\n')])
    assert names(schedule) == ["WORK\nRM", 'A "B" LAB']
    assert len(schedule.rows) == 3


def test_inch_marks_are_no_quotes(tmp_path: Path) -> None:
    rows = [f"{number},3' - 0\",7' - 0\",OFFICE" for number in range(101, 106)]
    schedule = read_schedule([put(tmp_path, "\n".join(["DOOR NO,WIDTH,HEIGHT,ROOM NAME", *rows]))])
    assert len(data(schedule)) == 5
    assert data(schedule)[0].as_given == ("101", "3' - 0\"", "7' - 0\"", "OFFICE")


def test_a_quotation_mark_that_is_never_closed_swallows_no_rows(tmp_path: Path) -> None:
    rows = [
        "DOOR NO,ROOM NO,ROOM NAME",
        "101,101,LOBBY",
        '102,102,"OFFICE',
        "103,103,LAB",
        "104,104,STAIR",
        "105,105,EXIT",
    ]
    schedule = read_schedule([put(tmp_path, "\n".join(rows))])
    assert len(data(schedule)) == 5
    assert codes(schedule.flags)["intake/unbalanced-quote"] == "ASK"


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (TABLE.replace("É", "\ufffd").encode(), r"doors\.csv line 3 holds the replacement character"),
        (
            TABLE.encode("cp1252").replace(b"\xc9", b"\x81"),
            r"cannot be read as UTF-8 or Windows-1252: byte 0x81 in line 3",
        ),
        (b"DOOR NO,ROOM NAME\x00\x01\x02\x03\x00\x00", r"is no text: it holds 3 zero bytes"),
        (b"", r"doors\.csv is empty \(0 bytes\)"),
        (b"\n\n\n", r"no filled cell"),
        (b"Lobby\n", r"1 filled row: too little"),
        (b"ROOM NO,ROOM NAME\n", r"a header was found in row 1, but no record under it"),
        (b"%PDF-1.7 ...", r"is a PDF"),
        (b"<html><table><tr><td>101", r"is a web page"),
    ],
)
def test_text_that_cannot_be_read_safely_stops(tmp_path: Path, content: bytes, message: str) -> None:
    with pytest.raises(InputError, match=message):
        read_schedule([put(tmp_path, content)])


def test_a_plain_list_of_names_stops_until_the_column_is_told(tmp_path: Path) -> None:
    path = put(tmp_path, "Exam Room, Eye Clinic\nStaff Toilet\nOffice, Chief\nX-Ray\nCorridor, West\n", "names.txt")
    with pytest.raises(InputError, match=r"--column name=A$"):
        read_schedule([path])
    schedule = read_schedule([path], columns={Field.ROOM_NAME: "A"})
    assert names(schedule) == ["Exam Room, Eye Clinic", "Staff Toilet", "Office, Chief", "X-Ray", "Corridor, West"]


def test_too_many_rows_or_columns_stop_with_the_limit(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"60001 rows .* at most 50000 rows and 500 columns"):
        read_schedule([put(tmp_path, "ROOM NO,ROOM NAME\n" + "101,LOBBY\n" * 60_000)])
    with pytest.raises(InputError, match=r"up to 600 columns"):
        read_schedule([put(tmp_path, ",".join(["ROOM NO"] * 600) + "\n")])
    wide = ["ROOM NO", "ROOM NAME", *(f"X{i}" for i in range(298))]
    schedule = read_schedule([put(tmp_path, ",".join(wide) + "\n101,LOBBY\n102,LAB\n", "wide.csv")])
    assert len(data(schedule)) == 2


# Numbers that a spreadsheet program has spoilt


def test_decimals_of_text_become_the_number_with_a_note(tmp_path: Path) -> None:
    schedule = read_schedule([put(tmp_path, "ROOM NO,ROOM NAME\n101.0,LOBBY\n102.0,LAB\n103,STAIR\n")])
    assert [row.text(Field.ROOM_NUMBER) for row in data(schedule)] == ["101", "102", "103"]
    assert codes(data(schedule)[0].flags) == {"intake/number-as-decimal": "NOTE"}
    assert data(schedule)[0].as_given == ("101.0", "LOBBY")


def test_numbers_with_a_point_of_their_own_stay(tmp_path: Path) -> None:
    schedule = read_schedule([put(tmp_path, "ROOM NO,ROOM NAME\n101.0,LOBBY\n101.1,LAB\n101.2,STAIR\n")])
    assert [row.text(Field.ROOM_NUMBER) for row in data(schedule)] == ["101.0", "101.1", "101.2"]


@pytest.mark.parametrize("text", ["5-Feb", "Mar-01", "2/5/2026", "2026-02-05", "1.00E+10", "1E+10"])
def test_dates_and_powers_of_ten_in_number_columns_hold(tmp_path: Path, text: str) -> None:
    schedule = read_schedule([put(tmp_path, f"ROOM NO,ROOM NAME\n101,LOBBY\n{text},LAB\n103,STAIR\n")])
    flag = data(schedule)[1].flags[0]
    assert (flag.code, str(flag.severity)) in {("intake/date-value", "HOLD"), ("intake/scientific-number", "HOLD")}
    assert flag.given == text
    assert "re-saved" in flag.message


@pytest.mark.parametrize("text", ["1E10", "100-1", "1-2", "A/V", "MAR1", "0101", "P-01"])
def test_intact_numbers_are_left_alone(tmp_path: Path, text: str) -> None:
    schedule = read_schedule([put(tmp_path, f"ROOM NO,ROOM NAME\n101,LOBBY\n{text},LAB\n103,STAIR\n")])
    assert data(schedule)[1].text(Field.ROOM_NUMBER) == text
    assert data(schedule)[1].flags == ()


def test_values_of_a_workbook(tmp_path: Path) -> None:
    def edit(book: Workbook) -> None:
        sheet = book.active
        sheet["A3"].number_format = "000"
        sheet["A4"].number_format = "d-mmm"
        sheet["A6"].number_format = "0.00"

    rows = [
        ("ROOM NO.", "ROOM NAME"),
        ("0101", "LOBBY"),
        (7, "OFFICE"),
        (datetime(2026, 2, 5), "LAB"),  # noqa: DTZ001
        (1e10, "STAIR"),
        (105.0, "EXIT"),
        (106.5, "COPY"),
        ("A107", "MAIL"),
        ("A108", "REST"),
        ("A109", "STORAGE"),
        ("A110", "STORAGE"),
        ("A111", True),
    ]
    found = data(read_schedule([save(tmp_path, rows, edit=edit)]))
    assert [row.text(Field.ROOM_NUMBER) for row in found][:6] == [
        "0101",
        "007",
        "2026-02-05",
        "10000000000",
        "105",
        "106.5",
    ]
    assert [codes(row.flags) for row in found[2:5]] == [
        {"intake/date-value": "HOLD"},
        {"intake/scientific-number": "HOLD"},
        {"intake/decimals-dropped": "ASK"},
    ]
    assert codes(found[-1].flags) == {"intake/true-or-false": "HOLD"}


def test_lost_leading_zeros_hold(tmp_path: Path) -> None:
    rows = [("ROOM NO.", "ROOM NAME"), ("007", "LOBBY"), ("008", "LAB"), ("010", "STAIR"), (9, "EXIT")]
    found = data(read_schedule([save(tmp_path, rows)]))
    assert codes(found[-1].flags) == {"intake/zeros-lost": "HOLD"}
    assert "9 or 009" in found[-1].flags[0].fix


def test_a_column_of_numbers_is_told_once(tmp_path: Path) -> None:
    rows = [("ROOM NO.", "ROOM NAME"), *((number, "OFFICE") for number in range(101, 121))]
    schedule = read_schedule([save(tmp_path, rows)])
    assert all(row.flags == () for row in data(schedule))
    assert [flag.message[:30] for flag in schedule.flags if flag.code == "intake/numbers-without-text"] == [
        "20 cells of column A are store"
    ]


@pytest.mark.parametrize("error", ["#N/A", "#REF!", "#VALUE!"])
def test_error_values_hold_and_are_never_names(tmp_path: Path, error: str) -> None:
    rows = [("ROOM NO.", "ROOM NAME"), ("101", "LOBBY"), ("102", error), (error, "LAB")]
    for path in (save(tmp_path, rows), put(tmp_path, "\n".join(",".join(row) for row in rows))):
        found = data(read_schedule([path]))
        assert len(found) == 3
        assert found[1].text(Field.ROOM_NAME) == ""
        assert found[2].text(Field.ROOM_NUMBER) == ""
        assert codes(found[1].flags) == codes(found[2].flags) == {"intake/error-value": "HOLD"}
        assert found[1].flags[0].given == error


def test_formulas_without_a_stored_result_hold(tmp_path: Path) -> None:
    # openpyxl writes formulas and never results, as many export programs do.
    rows = [("ROOM NO.", "ROOM NAME"), ("101", "LOBBY"), ("102", "=VLOOKUP(A3,Names!A:B,2,0)"), ('="1"&"03"', "LAB")]
    found = data(read_schedule([save(tmp_path, rows)]))
    assert len(found) == 3
    assert found[1].text(Field.ROOM_NAME) == ""
    assert found[2].text(Field.ROOM_NUMBER) == ""
    assert codes(found[1].flags) == codes(found[2].flags) == {"intake/formula-without-value": "HOLD"}


def test_stored_results_of_formulas_are_used_with_a_note(tmp_path: Path) -> None:
    path = save(tmp_path, [("ROOM NO.", "ROOM NAME"), ("101", "LOBBY"), ("102", '=UPPER("lab")')])
    _rewrite(
        path,
        "xl/worksheets/sheet1.xml",
        lambda text: (
            text.replace("<v></v>", "<v>LAB</v>")
            .replace("<v />", "<v>LAB</v>")
            .replace("<v/>", "<v>LAB</v>")
            .replace('<c r="B3"', '<c t="str" r="B3"')
        ),
    )
    schedule = read_schedule([path])
    assert names(schedule) == ["LOBBY", "LAB"]
    assert codes(schedule.flags)["intake/formula-value"] == "NOTE"


def test_text_that_looks_like_a_formula_stays_text(tmp_path: Path) -> None:
    def edit(book: Workbook) -> None:
        book.active["B2"].data_type = "s"

    rows = [("ROOM NO.", "ROOM NAME"), ("101", "=cmd"), ("102", "+1"), ("103", "@x"), ("104", "OFFICE")]
    assert names(read_schedule([save(tmp_path, rows, edit=edit)])) == ["=cmd", "+1", "@x", "OFFICE"]


# Workbooks

ROWS = [("ROOM NO.", "ROOM NAME"), ("101", "LOBBY"), ("102", "LAB")]


def _rewrite(path: Path, entry: str, change) -> None:
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    before = parts[entry]
    parts[entry] = change(before.decode()).encode()
    assert parts[entry] != before
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


def test_a_workbook_the_full_reader_refuses_is_read_another_way_and_asked(tmp_path: Path) -> None:
    path = save(tmp_path, ROWS, edit=lambda book: setattr(book.active.auto_filter, "ref", "A1:B3"))
    bad = '<filterColumn colId="0"><customFilters><customFilter operator="nonsense" val="1"/></customFilters></filterColumn></autoFilter>'
    _rewrite(
        path,
        "xl/worksheets/sheet1.xml",
        lambda text: text.replace('<autoFilter ref="A1:B3" />', f'<autoFilter ref="A1:B3">{bad}').replace(
            '<autoFilter ref="A1:B3"/>', f'<autoFilter ref="A1:B3">{bad}'
        ),
    )
    schedule = read_schedule([path])
    assert names(schedule) == ["LOBBY", "LAB"]
    flag = next(flag for flag in schedule.flags if flag.code == "intake/values-only")
    assert str(flag.severity) == "ASK"
    assert "is refused by the full reader" in flag.message
    assert "struck-through text" in flag.message
    assert "read as live" in flag.message


def test_several_sheets_are_read_level_by_level(tmp_path: Path) -> None:
    def edit(book: Workbook) -> None:
        book.active.title = "LEVEL 1"
        second = book.create_sheet("LEVEL 2")
        for row in (ROWS[0], ("201", "OFFICE")):
            second.append(row)
        book.create_sheet("COVER")["A1"] = "issued for bid"
        book.create_sheet("EMPTY")

    schedule = read_schedule([save(tmp_path, ROWS, edit=edit)])
    assert [(row.source.sheet, row.level, row.text(Field.ROOM_NUMBER)) for row in data(schedule)] == [
        ("LEVEL 1", "LEVEL 1", "101"),
        ("LEVEL 1", "LEVEL 1", "102"),
        ("LEVEL 2", "LEVEL 2", "201"),
    ]
    unread = [flag.message for flag in schedule.flags if flag.code == "intake/sheet-not-read"]
    assert unread == ["doors.xlsx: not read: 'COVER' (1 filled rows); no table of doors or rooms was found on it"]
    one = read_schedule([tmp_path / "doors.xlsx"], sheets=["LEVEL 2"])
    assert [row.text(Field.ROOM_NUMBER) for row in data(one)] == ["201"]
    with pytest.raises(InputError, match=r"no sheet 'LEVEL 3'. Sheets found: 'LEVEL 1', 'LEVEL 2'"):
        read_schedule([tmp_path / "doors.xlsx"], sheets=["LEVEL 3"])


def test_hidden_and_old_sheets_are_asked_about(tmp_path: Path) -> None:
    def edit(book: Workbook) -> None:
        for title, state in (("HID", "hidden"), ("ROOMS OLD", "visible")):
            sheet = book.create_sheet(title)
            sheet.sheet_state = state
            for row in (ROWS[0], ("901", "ATTIC")):
                sheet.append(row)

    path = save(tmp_path, ROWS, edit=edit)
    schedule = read_schedule([path])
    assert {row.source.sheet for row in data(schedule)} == {"Sheet", "ROOMS OLD"}
    assert codes(schedule.flags)["intake/hidden-sheet"] == "ASK"
    assert codes(schedule.flags)["intake/old-sheet"] == "ASK"
    assert len(data(read_schedule([path], sheets=["HID"]))) == 1


def test_several_files_are_one_schedule(tmp_path: Path) -> None:
    first = save(tmp_path, ROWS)
    second = put(tmp_path, "DOOR NO,TO ROOM\n101A,101\n102A,102\n")
    schedule = read_schedule([first, second])
    assert [record.name for record in schedule.inputs] == ["doors.xlsx", "doors.csv"]
    assert [record.sha256 for record in schedule.inputs] == [
        hashlib.sha256(path.read_bytes()).hexdigest() for path in (first, second)
    ]
    assert [str(table.shape) for table in schedule.tables] == ["rooms", "doors"]
    assert len(data(schedule)) == 4


def test_the_same_file_or_name_twice_stops(tmp_path: Path) -> None:
    first = save(tmp_path, ROWS)
    (tmp_path / "b").mkdir()
    copy = put(tmp_path / "b", first.read_bytes(), "copy.xlsx")
    with pytest.raises(InputError, match="are the same file"):
        read_schedule([first, copy])
    other = put(tmp_path / "b", first.read_bytes(), "doors.xlsx")
    with pytest.raises(InputError, match=r"Two files are named doors\.xlsx"):
        read_schedule([first, other])


def test_no_file_a_folder_and_a_missing_file_stop(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="No schedule was given"):
        read_schedule([])
    with pytest.raises(InputError, match="is a folder"):
        read_schedule([tmp_path])
    with pytest.raises(InputError, match=r"gone\.xlsx cannot be read: No such file"):
        read_schedule([tmp_path / "gone.xlsx"])


def test_wrong_endings_and_foreign_files_stop(tmp_path: Path) -> None:
    book = save(tmp_path, ROWS).read_bytes()
    for content, name, message in (
        (book, "doors.csv", "holds an xlsx workbook. Rename it to end in .xlsx"),
        (book, "doors.xls", "holds an xlsx workbook"),
        (TABLE, "text.xlsx", "holds plain text. Rename it to end in .csv"),
        (book[: len(book) // 2], "cut.xlsx", "damaged or cut off"),
        (b"PK\x03\x04 nonsense", "broken.xlsx", "damaged or cut off"),
        (b"\x89PNG....", "scan.xlsx", "is a picture"),
        (TABLE, "doors.numbers", r"ends in .numbers; xlsx, xlsm, xls, ods"),
        (TABLE, "doors", "ends in nothing"),
    ):
        with pytest.raises(InputError, match=message.replace(".", r"\.")):
            read_schedule([put(tmp_path, content, name)])


def test_archives_without_a_workbook_and_huge_ones_stop(tmp_path: Path) -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("word/document.xml", "<x/>")
    with pytest.raises(InputError, match="is a text document"):
        read_schedule([put(tmp_path, buffer.getvalue(), "doors.xlsx")])
    bomb = bytearray(save(tmp_path, ROWS, name="bomb.xlsx").read_bytes())
    # The directory entry claims 3 GB for the first part.
    at = bomb.index(b"PK\x01\x02")
    bomb[at + 24 : at + 28] = struct.pack("<I", 3_000_000_000)
    with pytest.raises(InputError, match=r"unpacks to 2861 MB; at most 256 MB"):
        read_schedule([put(tmp_path, bytes(bomb), "bomb.xlsx")])


def test_an_encrypted_workbook_says_so(tmp_path: Path) -> None:
    # Container and stream name of an encrypted workbook: MS-OFFCRYPTO 2.3, MS-CFB 2.2.
    content = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504) + "EncryptedPackage".encode("utf-16-le")
    with pytest.raises(InputError, match="protected by a password"):
        read_schedule([put(tmp_path, content, "doors.xlsx")])


@pytest.mark.parametrize("name", ["annex-rooms.xls", "annex-rooms.ods", "annex-rooms.xlsx", "annex-rooms.csv"])
def test_one_table_in_four_formats_reads_the_same(name: str) -> None:
    schedule = read_schedule([FIXTURES / name])
    assert [
        (row.source.row, row.text(Field.ROOM_NUMBER), row.text(Field.ROOM_NAME), row.level) for row in data(schedule)
    ] == [
        (5, "101", "LOBBY", "GROUND FLOOR"),
        (6, "102", "OFFICE", "GROUND FLOOR"),
        (7, "103A", "STORAGE", "GROUND FLOOR"),
        (9, "201", "LAB", "SECOND FLOOR"),
        (10, "202", "CAFÉ", "SECOND FLOOR"),
    ]
    assert len(schedule.rows) == 11
    blind = not name.endswith(".xlsx")
    assert ("intake/values-only" in codes(schedule.flags)) is blind


def test_bytes_at_random_never_crash(tmp_path: Path) -> None:
    dice = random.Random(7)  # noqa: S311
    book = save(tmp_path, ROWS).read_bytes()
    for turn in range(120):
        damaged = bytearray(book)
        for _ in range(dice.randint(1, 40)):
            damaged[dice.randrange(len(damaged))] = dice.randrange(256)
        path = put(tmp_path, bytes(damaged), f"damaged-{turn}.xlsx")
        with contextlib.suppress(InputError):
            assert read_schedule([path]).rows


def test_the_input_is_never_changed(tmp_path: Path) -> None:
    path = save(tmp_path, ROWS)
    before = path.read_bytes()
    read_schedule([path])
    assert path.read_bytes() == before
    assert [item.name for item in tmp_path.iterdir()] == ["doors.xlsx"]


@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
@pytest.mark.parametrize("name", ["annex-rooms.xls", "annex-rooms.ods"])
def test_a_cut_off_old_workbook_stops_with_words(tmp_path: Path, name: str, share: float) -> None:
    whole = (FIXTURES / name).read_bytes()
    path = put(tmp_path, whole[: int(len(whole) * share)], name)
    with pytest.raises(InputError, match="damaged or cut off"):
        read_schedule([path])


def test_a_model_without_its_reader_names_the_extra(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ifcopenshell", None)
    with pytest.raises(InputError, match="extra 'ifc'"):
        read_schedule([put(tmp_path, b"ISO-10303-21;\nHEADER;\nEND-ISO-10303-21;\n", "office.ifc")])
    with pytest.raises(InputError, match="is cut off"):
        read_schedule([put(tmp_path, b"ISO-10303-21;\nHEADER;\n", "office.ifc")])
    with pytest.raises(InputError, match="is no IFC file"):
        read_schedule([put(tmp_path, b"something else", "office.ifc")])


def test_text_kept_by_a_formula_sign_loses_it(tmp_path: Path) -> None:
    schedule = read_schedule([put(tmp_path, 'ROOM NO,ROOM NAME\n="007",LOBBY\n="010",LAB\n')])
    assert [row.text(Field.ROOM_NUMBER) for row in data(schedule)] == ["007", "010"]


def test_a_number_whose_format_adds_letters_holds(tmp_path: Path) -> None:
    def edit(book: Workbook) -> None:
        book.active["A2"].number_format = '"A-"000'

    found = data(read_schedule([save(tmp_path, [("ROOM NO.", "ROOM NAME"), (7, "LOBBY"), (8, "LAB")], edit=edit)]))
    assert codes(found[0].flags) == {"intake/number-format": "HOLD"}
    assert found[1].flags == ()


def test_rows_that_are_only_formatted_are_no_rows(tmp_path: Path) -> None:
    def edit(book: Workbook) -> None:
        book.active.cell(70_000, 3).font = Font(bold=True)

    schedule = read_schedule([save(tmp_path, ROWS, edit=edit)])
    assert len(schedule.rows) == 3


def test_a_macro_workbook_is_read_for_its_cells(tmp_path: Path) -> None:
    path = save(tmp_path, ROWS, name="doors.xlsm")
    plain, macro = "openxmlformats-officedocument.spreadsheetml.sheet.main", "ms-excel.sheet.macroEnabled.main"
    _rewrite(path, "[Content_Types].xml", lambda text: text.replace(plain, macro))
    assert names(read_schedule([path])) == ["LOBBY", "LAB"]


def test_a_file_without_the_sheets_asked_for_is_told(tmp_path: Path) -> None:
    first = save(tmp_path, ROWS, edit=lambda book: setattr(book.active, "title", "ROOMS"))
    second = save(tmp_path, [*ROWS, ("103", "STAIR")], name="other.xlsx")
    schedule = read_schedule([first, second], sheets=["ROOMS"])
    assert len(data(schedule)) == 2
    assert codes(schedule.flags)["intake/file-not-read"] == "ASK"


def test_a_workbook_of_the_strict_variant_is_not_taken_for_empty(tmp_path: Path) -> None:
    # Namespaces of ISO/IEC 29500 strict.
    path = save(tmp_path, ROWS)
    old, new = "http://schemas.openxmlformats.org/", "http://purl.oclc.org/ooxml/"
    with zipfile.ZipFile(path) as archive:
        entries = [name for name in archive.namelist() if old.encode() + b"spreadsheetml" in archive.read(name)]
    assert "xl/workbook.xml" in entries
    for entry in entries:
        _rewrite(
            path,
            entry,
            lambda text: text.replace(f"{old}spreadsheetml/2006/main", f"{new}spreadsheetml/main").replace(
                f"{old}officeDocument/2006/relationships", f"{new}officeDocument/relationships"
            ),
        )
    schedule = read_schedule([path])
    assert names(schedule) == ["LOBBY", "LAB"]
    assert codes(schedule.flags)["intake/values-only"] == "ASK"
