"""The nasty inputs every detailer has met, through the whole pipeline: what comes out, and which question is asked.

The inputs are known in the trade; common practice, no source. The numbers in brackets count them.
"""

import csv
import datetime
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.styles import Font

from schedule2sign.errors import InputError
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.schedule import RowKind
from schedule2sign.model.settings import Finality, Lexicon, Settings, SuffixMeaning
from schedule2sign.model.sign import Decision, RowOutcome
from schedule2sign.pipeline import build_job, write_job

Row = Sequence[object]
HEADER = ("DOOR NO", "ROOM NO", "ROOM NAME", "REMARKS")
PLAIN = (("101", "101", "LIBRARY"), ("102", "102", "CLASSROOM"), ("103", "103", "STORAGE"))
FINAL = Settings(finality=Finality.FINAL)
ASK, HOLD, NOTE = Severity.ASK, Severity.HOLD, Severity.NOTE


class Bench:
    """Writes small schedules and runs them."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._count = 0

    def xlsx(self, rows: Sequence[Row], edit: Callable[[Workbook], None] | None = None) -> Path:
        self._count += 1
        book = Workbook()
        for row in rows:
            book.active.append(list(row))
        if edit:
            edit(book)
        path = self.folder / f"schedule{self._count}.xlsx"
        book.save(path)
        return path

    def csv(self, rows: Sequence[Row], *, delimiter: str = ",", codec: str = "utf-8") -> Path:
        self._count += 1
        path = self.folder / f"schedule{self._count}.csv"
        with path.open("w", newline="", encoding=codec) as file:
            csv.writer(file, delimiter=delimiter).writerows(rows)
        return path

    def run(
        self, rows: Sequence[Row], settings: Settings = FINAL, edit: Callable[[Workbook], None] | None = None
    ) -> Job:
        return build_job([self.xlsx(rows, edit)], settings)

    def names(self, *names: str, settings: Settings = FINAL) -> Job:
        """A door schedule of these names, doors and rooms numbered from 101."""
        return self.run([HEADER, *((str(101 + at), str(101 + at), name) for at, name in enumerate(names))], settings)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path)


def decision(job: Job, row: int, sheet: str = "") -> Decision:
    (found,) = [
        one
        for one in job.decisions
        if one.row.raw.source.row == row and (not sheet or one.row.raw.source.sheet == sheet)
    ]
    return found


def signs(job: Job, row: int) -> list[SignRecord]:
    ids = decision(job, row).sign_ids
    return [sign for sign in job.signs if sign.request.sign_id in ids]


def texts(job: Job, row: int) -> list[str]:
    return [message.text for sign in signs(job, row) for message in sign.request.messages]


def flags(job: Job, code: str) -> list[Flag]:
    return [flag for flag in job.flags if flag.code == code]


def flag(job: Job, code: str, row: int | None = None) -> Flag:
    found = [one for one in flags(job, code) if row is None or (one.source and one.source.row == row)]
    assert found, f"{code} is not among {sorted({one.code for one in job.flags})}"
    return found[0]


def is_released(job: Job, row: int) -> bool:
    found = signs(job, row)
    return bool(found) and all(sign.status is Status.RELEASED for sign in found)


def is_held(job: Job, row: int) -> bool:
    return decision(job, row).outcome is RowOutcome.HELD and all(
        sign.status is Status.HELD and not sign.files for sign in signs(job, row)
    )


# ------------------------------------------------------------------ reading


def test_a_header_on_row_7_under_a_logo_and_a_title_is_found_and_its_row_told(bench: Bench) -> None:  # [1]
    job = bench.run([("LOGO",), (), ("PIER SIX ANNEX",), ("DOOR SCHEDULE", "", "REV B"), (), (), HEADER, *PLAIN])
    assert job.schedule.tables[0].header_rows == (7,)
    assert job.schedule.tables[0].evidence.startswith("header in row 7, 6 other rows above")
    assert texts(job, 8) == ["101", "LIBRARY"]


def test_two_header_rows_with_merged_groups_are_joined(bench: Bench) -> None:  # [2]
    rows = [("DOOR", "", "ROOM", ""), ("NO.", "TYPE", "NO.", "NAME"), *((d, "A", n, name) for d, n, name in PLAIN)]

    def merge(book: Workbook) -> None:
        book.active.merge_cells("A1:B1")
        book.active.merge_cells("C1:D1")

    job = bench.run(rows, edit=merge)
    assert job.schedule.tables[0].header_rows == (1, 2)
    assert texts(job, 3) == ["101", "LIBRARY"]


def test_two_columns_that_may_both_be_the_number_are_asked_about(bench: Bench) -> None:  # [2]
    rows = [("DOOR NO", "ROOM NO", "ROOM NUMBER", "ROOM NAME"), *((d, n, f"2{n[1:]}", name) for d, n, name in PLAIN)]
    job = bench.run(rows)
    asked = flag(job, "intake/two-columns")
    assert asked.severity is ASK
    held = flags(job, "intake/two-columns-differ")
    assert {one.severity for one in held} == {HOLD}
    assert len(held) == len(PLAIN), "every row where the two columns differ"
    assert job.accounting.signs_released == 0
    assert "'ROOM NO' and C 'ROOM NUMBER' may both be the number" in asked.message
    assert asked.fix == "If it is the other one, add --column number=C."


def test_page_headers_and_totals_are_skipped_and_the_sheets_own_total_compared(bench: Bench) -> None:  # [3]
    header = HEADER[:3]
    job = bench.run([header, *PLAIN, header, ("104", "104", "LAB"), ("TOTAL DOORS 214",)])
    assert dict(job.accounting.rows_by_kind)["header"] == 2
    assert job.accounting.signs_listed == 4
    differs = flag(job, "intake/total-differs", 7)
    assert differs.severity is ASK
    assert "the sheet counts 214; 4 records" in differs.message
    assert not flags(bench.run([header, *PLAIN, ("TOTAL DOORS 3",)]), "intake/total-differs")


def test_a_level_heading_is_carried_down_and_a_missing_one_is_asked(bench: Bench) -> None:  # [4]
    job = bench.run([HEADER, PLAIN[0], ("SECOND FLOOR",), *PLAIN[1:]])
    assert [one.row.level for one in job.decisions] == ["", "LEVEL 2", "LEVEL 2"]
    asked = flag(job, "intake/no-level")
    assert (asked.severity, asked.message[:20]) == (ASK, "1 of 3 records have ")


def test_a_merged_number_fills_its_doors_and_a_blank_one_is_not_filled(bench: Bench) -> None:  # [5]
    rows = [HEADER, ("101A", "101", "GYM"), ("101B", None, "GYM"), ("101C", None, "GYM"), ("102", None, "STORAGE")]
    job = bench.run(rows, edit=lambda book: book.active.merge_cells("B2:B4"))
    assert [one.row.room_number for one in job.decisions] == ["101", "101", "101", ""]
    assert flag(job, "intake/merged-cell", 3).severity is NOTE
    assert flag(job, "signlist/door-mark-as-number", 5).severity is ASK
    ids = [sign.request.sign_id for sign in job.signs]
    assert len(set(ids)) == 4
    assert len({sign.design for sign in job.signs[:3]}) == 1


def test_a_number_stored_as_101_point_0_comes_back_as_text(bench: Bench) -> None:  # [6]
    job = bench.run([HEADER[1:3], (101.0, "LIBRARY"), (102.0, "LAB"), (103.0, "STORAGE")])
    assert [texts(job, row)[0] for row in (2, 3, 4)] == ["101", "102", "103"]
    assert flag(job, "intake/numbers-without-text").severity is NOTE
    text = build_job([bench.csv([HEADER[1:3], ("101.0", "LIBRARY"), ("102.0", "LAB")])], FINAL)
    assert texts(text, 2)[0] == "101"
    assert flag(text, "intake/number-as-decimal", 2).severity is NOTE


def test_a_7_among_numbers_with_leading_zeros_is_held(bench: Bench) -> None:  # [6]
    job = bench.run([HEADER[1:3], ("006", "LIBRARY"), (7, "LAB"), ("008", "STORAGE")])
    assert is_released(job, 2)
    assert texts(job, 2)[0] == "006"
    assert is_held(job, 3)
    assert flag(job, "intake/zeros-lost", 3).fix == "Ask whether it is 7 or 007."


@pytest.mark.parametrize(
    "value",
    [
        pytest.param(datetime.date(2026, 2, 1), id="1-2 became a date"),
        pytest.param(1e10, id="1E10 became a power of ten"),
        pytest.param(12000.0, id="12E3 became 12000"),
        pytest.param("1.2E+04", id="12E3 saved as text"),
        pytest.param("2-Jan", id="1-2 saved as text"),
        pytest.param("MAR1", id="MAR1, still whole or not"),
        pytest.param("3/4", id="3/4: a fraction, a date, or two rooms"),
    ],
)
def test_a_number_a_spreadsheet_program_has_mangled_is_held(bench: Bench, value: object) -> None:  # [7]
    job = bench.run([HEADER[1:3], (value, "STUDIO"), *((number, name) for _, number, name in PLAIN)])
    assert is_held(job, 2)
    assert is_released(job, 3)
    holds = [one for one in job.flags if one.severity is HOLD and one.source and one.source.row == 2]
    assert {one.code for one in holds} & {
        "intake/date-value",
        "intake/scientific-number",
        "naming/number-date",
        "naming/number-fraction",
        "naming/number-exponent",
    }
    assert any("spreadsheet" in one.message + one.fix for one in holds)


@pytest.mark.parametrize(
    ("value", "code"),
    [
        pytest.param("#REF!", "intake/error-value", id="an error value"),
        pytest.param("#N/A", "intake/error-value", id="an error that reads like no answer"),
        pytest.param("=VLOOKUP(A2,X!A:B,2)", "intake/formula-without-value", id="a formula never calculated"),
    ],
)
def test_an_error_or_a_formula_without_result_is_no_name(bench: Bench, value: str, code: str) -> None:  # [8]
    job = bench.run([HEADER, ("104", "104", value), *PLAIN])
    assert is_held(job, 2)
    assert flag(job, code, 2).severity is HOLD
    assert not any("N/A" in text or "REF" in text or "VLOOKUP" in text for text in texts(job, 2))


def test_a_struck_row_is_listed_and_not_live(bench: Bench) -> None:  # [9]
    def strike(book: Workbook) -> None:
        for cell in book.active[3]:
            cell.font = Font(strike=True)

    job = bench.run([HEADER, *PLAIN], edit=strike)
    assert [one.row.raw.source.row for one in job.decisions] == [2, 4]
    assert dict(job.accounting.rows_by_kind)["struck"] == 1
    asked = flag(job, "intake/struck-row", 3)
    assert (asked.severity, asked.given) == (ASK, "102 | 102 | CLASSROOM")


def test_hidden_rows_columns_and_sheets_are_counted_listed_and_asked_about(bench: Bench) -> None:  # [10]
    def hide(book: Workbook) -> None:
        book.active.row_dimensions[3].hidden = True
        book.active.column_dimensions["D"].hidden = True
        old = book.create_sheet("OLD")
        for row in [HEADER, ("901", "901", "ATTIC")]:
            old.append(row)
        old.sheet_state = "hidden"

    job = bench.run([HEADER, *((*row, "BY OWNER") for row in PLAIN)], edit=hide)
    assert [one.outcome for one in job.decisions] == [RowOutcome.SIGNED, RowOutcome.SIGNED]
    assert flag(job, "intake/hidden-row", 3).severity is ASK
    assert "its 3 cells are listed, not used" in flag(job, "intake/hidden-column").message
    assert "sheet 'OLD' is hidden; its 2 filled rows are not read" in flag(job, "intake/hidden-sheet").message


def test_a_visible_sheet_called_old_is_asked_about_and_its_contradictions_held(bench: Bench) -> None:  # [10]
    def add(book: Workbook) -> None:
        old = book.create_sheet("OLD")
        for row in [HEADER, ("101", "101", "CHAPEL")]:
            old.append(row)

    job = bench.run([HEADER, *PLAIN], edit=add)
    assert flag(job, "intake/old-sheet").fix == "Name the sheets that count with --sheet NAME."
    assert decision(job, 2, "OLD").outcome is RowOutcome.HELD
    assert decision(job, 2, "Sheet").outcome is RowOutcome.HELD
    assert decision(job, 3, "Sheet").outcome is RowOutcome.SIGNED


def test_odd_spaces_and_line_breaks_are_one_space_and_equal_rows_one_sign(bench: Bench) -> None:  # [11]
    job = bench.run(
        [HEADER, ("101", "101", "BREAK\u00a0ROOM "), ("101 ", "101\t", "BREAK\nROOM"), ("102", "102", "L\u200bAB")]
    )
    assert texts(job, 2) + texts(job, 3) == ["101", "BREAK ROOM"]
    assert {decision(job, 2).outcome, decision(job, 3).outcome} == {RowOutcome.SIGNED, RowOutcome.MERGED}
    assert flags(job, "signlist/duplicate")[0].severity is NOTE
    assert texts(job, 4) == ["102", "LAB"]


@pytest.mark.parametrize(
    ("number", "name", "proposed"),
    [
        pytest.param("1O1", "LIBRARY", "'101'", id="letter O in a number"),
        pytest.param("l01", "LIBRARY", "'101'", id="small l in a number"),
        pytest.param("\uff11\uff10\uff11", "LIBRARY", "'101'", id="full-width digits"),
        pytest.param("101", "L\u0410B", "'LAB'", id="Cyrillic A"),
        pytest.param("101", "L\u039fBBY DESK", "'LOBBY DESK'", id="Greek omicron"),
    ],
)
def test_a_look_alike_is_held_with_a_proposal(bench: Bench, number: str, name: str, proposed: str) -> None:  # [12]
    job = bench.run([HEADER, ("D1", number, name), ("D2", "102", "CLASSROOM")])
    assert is_held(job, 2)
    assert proposed in flag(job, "naming/look-alike", 2).message


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_any_delimiter_and_encoding_reads_the_same(bench: Bench, delimiter: str, codec: str) -> None:  # [13]
    rows = [HEADER, ("101", "101", "CAFÉ 3,5"), *PLAIN[1:]]
    schedule = build_job([bench.csv(rows, delimiter=delimiter, codec=codec)], FINAL).schedule
    assert [row.as_given for row in schedule.rows][1] == ("101", "101", "CAFÉ 3,5")
    told = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}[delimiter]
    assert f"{told} between cells" in schedule.tables[0].evidence
    guessed = [one for one in schedule.flags if one.code == "intake/encoding-guessed"]
    assert bool(guessed) is (codec == "cp1252")


def test_lost_letters_stop_the_file(bench: Bench) -> None:  # [13]
    path = bench.csv([HEADER, ("101", "101", "CAF\ufffd")])
    with pytest.raises(InputError, match="line 2 holds the replacement character"):
        build_job([path], FINAL)


@pytest.mark.parametrize(
    ("given", "raised"),
    [
        pytest.param("CHILDREN\u2019S LIBRARY", "CHILDREN'S LIBRARY", id="typographic apostrophe"),
        pytest.param("MEN\u2032S LOCKER ROOM", "MEN'S LOCKER ROOM", id="prime"),
        pytest.param("X\u2013RAY", "X-RAY", id="en dash"),
        pytest.param("STA\ufb00 LOUNGE", "STAFF LOUNGE", id="ligature"),
    ],
)
def test_typographic_signs_become_plain_ones(bench: Bench, given: str, raised: str) -> None:  # [14]
    assert set(texts(bench.names(given), 2)) == {"101", raised}


@pytest.mark.parametrize(
    ("content", "said"),
    [
        pytest.param(b"", "is empty (0 bytes)", id="no byte"),
        pytest.param(b"\n\n", "has no filled cell", id="blank lines"),
        pytest.param(
            b"DOOR NO,ROOM NO,ROOM NAME\n", "a header was found in row 1, but no record under it", id="one row"
        ),
        pytest.param(b"A,B\n" * 60_000, "at most 50000 rows", id="60,000 rows"),
        pytest.param(b",".join([b"x"] * 600) + b"\n", "at most 50000 rows and 500 columns", id="600 columns"),
    ],
)
def test_an_empty_or_a_huge_file_stops_with_a_clear_message(tmp_path: Path, content: bytes, said: str) -> None:  # [15]
    path = tmp_path / "schedule.csv"
    path.write_bytes(content)
    with pytest.raises(InputError) as stop:
        build_job([path], FINAL)
    assert said in str(stop.value)


def test_300_columns_are_read(bench: Bench) -> None:  # [15]
    wide = [(*HEADER[:3], *(f"EXTRA {at}" for at in range(300)))]
    assert build_job([bench.csv([*wide, *PLAIN])], FINAL).accounting.signs_released == 3


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        pytest.param("a.xlsx", b"%PDF-1.7 ...", "is a PDF", id="a PDF export"),
        pytest.param("a.xlsx", b"\x89PNG....", "is a picture", id="a picture of a table"),
        pytest.param("a.xlsx", b"PK\x03\x04 cut off", "is damaged or cut off", id="a damaged workbook"),
        pytest.param(
            "a.xlsx",
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(64) + "EncryptedPackage".encode("utf-16-le"),
            "is protected by a password",
            id="a password",
        ),
        pytest.param("a.doc", b"anything", "ends in .doc; xlsx, xlsm, xls, ods, csv", id="another kind of file"),
    ],
)
def test_what_is_no_table_stops_and_says_what_is_needed(
    tmp_path: Path, name: str, content: bytes, said: str
) -> None:  # [16]
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(InputError) as stop:
        build_job([path], FINAL)
    assert said in str(stop.value)


def test_a_macro_workbook_is_read_for_its_cells_alone(bench: Bench) -> None:  # [16]
    path = bench.xlsx([HEADER, *PLAIN])
    renamed = path.with_suffix(".xlsm")
    path.rename(renamed)
    with zipfile.ZipFile(renamed, "a") as archive:
        archive.writestr("xl/vbaProject.bin", b"a macro that must never run")
    assert build_job([renamed], FINAL).accounting.signs_released == 3


# ------------------------------------------------------------------ identity


def test_one_door_mark_with_two_names_holds_both(bench: Bench) -> None:  # [17]
    job = bench.run([HEADER, ("101", "101", "LIBRARY"), ("101", "101", "CLASSROOM"), PLAIN[1]])
    assert is_held(job, 2)
    assert is_held(job, 3)
    assert is_released(job, 4)
    message = flag(job, "signlist/conflict", 2).message
    assert "CLASSROOM" in message
    assert "LIBRARY" in message


def test_doors_join_rooms_by_the_longest_known_number_and_final_numbers_are_posted(bench: Bench) -> None:
    doors = bench.csv([("DOOR NO", "HAND"), ("121A", "LH"), ("121AA", "LH"), ("122-1", "RH"), ("300", "LH")])
    rooms = bench.csv(
        [
            ("ROOM NO", "ROOM NAME", "FINAL ROOM NO"),
            ("121", "CLASSROOM", "1121"),
            ("121A", "STUDIO", "1122"),
            ("122", "LAB", ""),
        ]
    )
    job = build_job([doors, rooms], Settings())
    by_door = {
        sign.request.door: [message.text for message in sign.request.messages]
        for sign in job.signs
        if sign.request.door
    }
    assert by_door == {
        "121A": ["1122", "STUDIO"],  # not 121 CLASSROOM: the letter is part of a known number
        "121AA": ["1122", "STUDIO"],
        "122-1": ["122", "LAB"],
        "300": ["300"],
    }
    assert "Posted as 1122; 121A is the construction number." in {one.message for one in job.flags}
    assert flag(job, "signlist/no-final-number").severity is ASK
    assert flag(job, "signlist/door-mark-as-number").severity is HOLD
    assert flag(job, "signlist/numbers-provisional").severity is ASK


def test_unknown_finality_marks_the_documents_provisional(bench: Bench) -> None:
    for settings, expected in ((Settings(), True), (FINAL, False)):
        out = bench.folder / f"out-{expected}"
        write_job(build_job([bench.xlsx([HEADER, *PLAIN])], settings), out)
        assert ("PROVISIONAL" in (out / "00-READ-ME.txt").read_text(encoding="utf-8").upper()) is expected


def test_one_room_twice_in_two_spellings_is_one_sign_and_in_two_names_is_held(bench: Bench) -> None:  # [18]
    header = HEADER[1:3]
    same = bench.run([header, ("101", "CONF RM"), ("101", "CONFERENCE ROOM"), ("102", "LAB")])
    assert same.accounting.signs_listed == 2
    assert dict(same.accounting.outcomes)["merged"] == 1
    assert flags(same, "signlist/duplicate")[0].severity is NOTE
    differ = bench.run([header, ("101", "CONF RM"), ("101", "LIBRARY"), ("102", "LAB")])
    assert is_held(differ, 2)
    assert is_held(differ, 3)


def test_what_121a_means_is_asked_once(bench: Bench) -> None:  # [19]
    rows = [
        ("DOOR NO", "ROOM NAME"),
        ("121", "CLASSROOM"),
        ("121A", "CLASSROOM"),
        ("121B", "CLASSROOM"),
        ("130", "LAB"),
    ]
    asked = [one for one in bench.run(rows).flags if "suffix" in one.code]
    assert [one.severity for one in asked] == [ASK]
    told = Settings(finality=Finality.FINAL, suffix=SuffixMeaning.DOOR)
    assert not [one for one in bench.run(rows, told).flags if "suffix" in one.code]


def test_number_and_name_swapped_in_some_rows_are_turned_and_asked(bench: Bench) -> None:  # [20]
    good = [
        (str(100 + at), name) for at, name in enumerate(("LIBRARY", "LAB", "STUDIO", "CHAPEL", "KITCHEN", "GALLERY"))
    ]
    job = bench.run([HEADER[1:3], *good, ("STORAGE", "110"), ("WORKROOM", "111")])
    assert texts(job, 8) == ["110", "STORAGE"]
    assert flag(job, "intake/number-name-swapped", 8).severity is ASK


# ------------------------------------------------------------------ names


def test_existing_mens_room_gets_no_new_sign_and_a_question(bench: Bench) -> None:  # [21]
    job = bench.names("MENS RR #1 (E)", "LIBRARY")
    assert decision(job, 2).row.name == "MEN"
    assert decision(job, 2).outcome is RowOutcome.UNSIGNED
    assert flag(job, "signlist/existing", 2).severity is ASK
    assert texts(bench.names("MENS RR #1"), 2) == ["MEN", "101"]


@pytest.mark.parametrize("name", ["MEN / WOMEN", "MEN/WOMEN"])
def test_one_door_for_men_and_women_is_asked(bench: Bench, name: str) -> None:  # [22]
    job = bench.names(name)
    assert texts(job, 2) == ["RESTROOM", "101"]
    asked = flag(job, "naming/restroom-wording", 2)
    assert asked.severity is ASK
    assert "it is law in some places" in asked.fix


@pytest.mark.parametrize("name", ["HANDICAP TOILET", "HANDICAPPED TOILET", "H/C RR", "HC TOILET"])
def test_a_dated_word_is_held_and_the_access_symbol_asked(bench: Bench, name: str) -> None:  # [23]
    job = bench.names(name)
    assert is_held(job, 2)
    assert "Proposed: ACCESSIBLE" in flag(job, "naming/dated-term", 2).message
    assert flag(job, "naming/access-symbol", 2).severity is ASK
    assert "HANDICAP" not in " ".join(texts(job, 2))


@pytest.mark.parametrize(
    ("name", "outcome", "code", "severity"),
    [
        ("N.I.C.", RowOutcome.UNSIGNED, "signlist/not-in-contract", ASK),
        ("BY OWNER", RowOutcome.UNSIGNED, "signlist/not-in-contract", ASK),
        ("VACANT", RowOutcome.HELD, "signlist/no-name-yet", HOLD),
        ("TBD", RowOutcome.HELD, "signlist/no-name-yet", HOLD),
        ("FUTURE OFFICE", RowOutcome.HELD, "signlist/no-name-yet", HOLD),
        ("EXISTING", RowOutcome.UNSIGNED, "signlist/existing", ASK),
        ("ALT 1", RowOutcome.HELD, "signlist/alternate", HOLD),
        ("SIM TO 999", RowOutcome.HELD, "signlist/same-as", HOLD),
        ("RELOCATED", RowOutcome.UNSIGNED, "signlist/relocated", ASK),
    ],
)
def test_a_status_word_is_never_cut(
    bench: Bench, name: str, outcome: RowOutcome, code: str, severity: Severity
) -> None:  # [24]
    job = bench.names(name, "LIBRARY")
    assert decision(job, 2).outcome is outcome
    assert flag(job, code, 2).severity is severity
    assert texts(job, 2) in ([], ["101"])


def test_not_used_is_counted_with_its_reason(bench: Bench) -> None:  # [24]
    job = bench.names("NOT USED", "LIBRARY")
    assert decision(job, 2).outcome is RowOutcome.UNSIGNED
    assert dict(job.accounting.unsigned_reasons) == {"not used": 1}


def test_a_stair_by_others_is_held_since_it_blocks_the_inspection(bench: Bench) -> None:  # [24]
    job = bench.run([HEADER, ("101", "101", "EXIT STAIR", "BY OTHERS"), PLAIN[1]])
    assert is_held(job, 2)


def test_a_file_without_exits_stairs_and_refuges_says_so(bench: Bench) -> None:  # [25]
    said = flag(bench.names("LIBRARY", "LAB"), "signlist/no-egress-rows")
    assert said.severity is ASK
    assert said.message.startswith("The file makes no EXIT and no stair-level and no area-of-refuge sign")


def test_letters_after_stair_and_lab_get_a_letter_indicator(bench: Bench) -> None:  # [26]
    job = bench.run(
        [("ROOM NO", "ROOM NAME", "LEVEL"), ("1", "STAIR B", "P1"), ("2", "LAB C", "MEZZ"), ("3", "LIBRARY", "2")]
    )
    assert texts(job, 2) == ["STAIR B", "LEVEL P1"]
    assert [one.row.level for one in job.decisions] == ["LEVEL P1", "MEZZANINE", "LEVEL 2"]
    cells = {line.text: line.cells for sign in job.signs for line in sign.braille}
    # A single capital letter that is no word takes the grade 1 indicator (dots 56) and the capital sign (dot 6),
    # UEB 2013, 5.2 and 8.3.
    assert cells["STAIR B"].endswith("\u2800\u2830\u2820\u2803")
    assert cells["LAB C"].endswith("\u2800\u2830\u2820\u2809")


@pytest.mark.parametrize(
    ("name", "letters"),
    [("IT", "\u280a\u281e"), ("OR", "\u2815\u2817"), ("ER", "\u2811\u2817"), ("US", "\u2825\u280e")],
)
def test_an_acronym_is_no_word_in_braille(bench: Bench, name: str, letters: str) -> None:  # [27]
    job = bench.names(name)
    assert texts(job, 2) == ["101", name]
    # Capitals word indicator (dots 6, 6), then the letters one by one (UEB 2013, 8.4 and 10.12.5).
    assert [line.cells for line in signs(job, 2)[0].braille][1] == "\u2820\u2820" + letters


@pytest.mark.parametrize("name", ["Us Exam", "Or Waiting", "Led Wall", "It Help Desk"])
def test_an_acronym_written_like_a_word_is_held(bench: Bench, name: str) -> None:  # [27]
    job = bench.names(name, "Library")
    assert is_held(job, 2)
    assert "may be letters or the word" in flag(job, "naming/acronym-or-word", 2).message


def test_official_names_are_kept_whole_and_what_the_font_or_code_lacks_is_held(bench: Bench) -> None:  # [28]
    job = bench.names("St. Mary Chapel", "Dr. Müller", "Ñandú", "Dr. King Library")
    assert texts(job, 2) == ["101", "ST. MARY CHAPEL"]
    assert texts(job, 5) == ["104", "DR. KING LIBRARY"]
    # The proper name keeps its capital in braille: dot 6 before k (ADA 703.3.1; UEB 2013, 8.3).
    assert "\u2820\u2805" in signs(job, 5)[0].braille[1].cells
    assert is_held(job, 3)
    assert flag(job, "naming/person-name", 3).who == "owner"
    assert is_held(job, 4)
    assert "an accent is never dropped silently" in flag(job, "naming/accented-letter", 4).message


def test_a_very_long_name_is_released_only_where_it_fits_and_is_never_cut_short(bench: Bench) -> None:  # [29]
    name = "CENTER FOR ENVIRONMENTAL HEALTH AND WATER QUALITY TRAINING AND OUTREACH AREA"
    job = bench.names(name)
    assert len(name) > 70
    assert texts(job, 2) == ["101", name]
    (sign,) = signs(job, 2)
    if sign.status is Status.RELEASED:
        raised = " ".join(line.text for line in sign.layout.braille)
        assert raised == f"101 {name}"
    else:
        assert any(one.code.startswith("layout/") and one.fix for one in sign.flags)


def test_a_very_long_word_is_never_hyphenated(bench: Bench) -> None:  # [30]
    word = "OTORHINOLARYNGOLOGY"
    job = bench.names(word, settings=Settings(finality=Finality.FINAL, lexicon=Lexicon(words=(word,))))
    (sign,) = signs(job, 2)
    assert [message.text for message in sign.request.messages] == ["101", word]
    if sign.layout is not None:
        assert word in [line.text for line in sign.layout.braille]
    else:
        assert any(one.code.startswith("layout/") for one in sign.flags)


def test_corridors_and_vestibules_get_no_sign_and_a_reason(bench: Bench) -> None:  # [31]
    job = bench.names(*["VESTIBULE"] * 9, *["CORRIDOR"] * 14, "LIBRARY")
    assert dict(job.accounting.outcomes)["unsigned"] == 23
    assert dict(job.accounting.unsigned_reasons) == {"corridor, hall or vestibule: no room sign": 23}
    assert {decision(job, row).rule for row in range(2, 25)} == {"N1"}


# ------------------------------------------------------------------ doors


def test_a_pair_is_one_sign_and_the_active_leaf_is_asked(bench: Bench) -> None:  # [32]
    header = ("DOOR NO", "ROOM NO", "ROOM NAME", "SIZE")
    job = bench.run(
        [header, ("104L", "104", "GYM", ""), ("104R", "104", "GYM", ""), ("105", "105", "LIBRARY", "PR 3-0x7-0")]
    )
    assert {decision(job, 2).outcome, decision(job, 3).outcome} == {RowOutcome.SIGNED, RowOutcome.MERGED}
    assert flags(job, "signlist/pair-rows")[0].fix == "Say which leaf is active."
    assert len(signs(job, 4)) == 1
    assert flag(job, "signlist/pair", 4).severity is ASK


@pytest.mark.parametrize("hand", ["", "LHRB", "?", "LH/RH"])
def test_a_hand_that_does_not_tell_the_latch_side_is_asked(bench: Bench, hand: str) -> None:  # [33]
    job = bench.run(
        [("DOOR NO", "ROOM NO", "ROOM NAME", "HAND"), ("104", "104", "LAB", hand), ("105", "105", "STUDIO", "LH")]
    )
    assert is_released(job, 2)
    assert flag(job, "signlist/hand", 2).severity is ASK
    assert signs(job, 2)[0].request.hand != signs(job, 3)[0].request.hand


@pytest.mark.parametrize("name", ["J. SMITH", "MRS. LEE", "SMITH OFFICE", "J. SMITH, DIRECTOR"])
def test_a_person_is_never_raised(bench: Bench, name: str) -> None:  # [34]
    job = bench.names(name)
    assert is_held(job, 2)
    assert not {"SMITH", "LEE"} & set(" ".join(texts(job, 2)).split())


def test_a_persons_name_in_an_office_is_offered_for_the_window(bench: Bench) -> None:  # [34]
    (sign,) = signs(bench.names("J. SMITH"), 2)
    assert (sign.request.template, sign.request.insert_text) == ("room-insert", "J. SMITH")


@pytest.mark.parametrize("load", ["MAX OCC 49", "OCC LOAD: TBD", "MAXIMUM OCCUPANCY 49"])
def test_an_occupant_load_in_the_name_cell_is_held(bench: Bench, load: str) -> None:  # [35]
    assert is_held(bench.names(load), 2)


def test_an_occupant_load_is_quoted_and_never_made_up(bench: Bench) -> None:  # [35]
    job = bench.run(
        [("ROOM NO", "ROOM NAME", "OCC LOAD"), ("101", "GYM", "49"), ("102", "CAFETERIA", "TBD"), ("103", "GYM", "")]
    )
    assert "The schedule says '49'." in flag(job, "signlist/occupant-load", 2).message
    assert "The schedule says 'TBD'; none is ever computed" in flag(job, "signlist/occupant-load-unknown", 3).message
    assert "none is ever computed" in flag(job, "signlist/occupant-load", 4).message
    assert not any(
        "49" in text or "TBD" in text for sign in job.signs for text in (m.text for m in sign.request.messages)
    )


def test_text_like_a_formula_is_held_and_cannot_run_in_what_is_written(bench: Bench) -> None:  # [36]
    names = ("=cmd", "+1", "@x", "-2", '=HYPERLINK("a")')
    rows = [(str(101 + at), str(101 + at), name) for at, name in enumerate(names)]
    job = build_job([bench.csv([HEADER, *rows, ("110", "110", "LIBRARY")])], FINAL)
    for row in range(2, 7):
        assert is_held(job, row)
        assert flag(job, "naming/character", row).severity is HOLD
    out = bench.folder / "out"
    write_job(job, out)
    for path in out.rglob("*.xlsx"):
        for sheet in load_workbook(path).worksheets:
            formulas = [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
            assert not [text for text in formulas if text in names or "cmd" in text or "HYPERLINK" in text]
    for path in out.rglob("*.csv"):
        with path.open(newline="", encoding="utf-8-sig") as file:
            assert not [
                cell for row in csv.reader(file) for cell in row if cell in names or cell[:1] in ("=", "@", "+")
            ]


def test_control_characters_leave_no_trace(bench: Bench) -> None:  # [36]
    job = build_job([bench.csv([HEADER, ("101", "101", "LI\x07BRARY"), *PLAIN[1:]])], FINAL)
    assert texts(job, 2) == ["101", "LIBRARY"]


@pytest.mark.parametrize("mark", ["A/V", "CON", "..\\x", "ROOM:1", "X" * 300, "NUL.txt", "a b?c"])
def test_file_name_poison_makes_safe_ids(bench: Bench, mark: str) -> None:  # [37]
    job = bench.run([HEADER, (mark, "101", "LIBRARY"), PLAIN[1]])
    (sign,) = signs(job, 2)
    assert set(sign.request.sign_id) <= set("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.")
    assert len(sign.request.sign_id) < 64
    assert "CON-C" not in sign.request.sign_id.split("JOB-X-")[1:]


def test_marks_that_differ_in_case_only_never_share_a_file(bench: Bench) -> None:  # [37]
    job = bench.run([HEADER, ("101a", "101", "STORAGE"), ("101A", "102", "KITCHEN"), PLAIN[2]])
    ids = [sign.request.sign_id.casefold() for sign in job.signs]
    assert len(set(ids)) == len(ids) == 3
    assert is_held(job, 2)
    assert is_held(job, 3)


def test_inch_marks_fractions_and_millimeters_leave_the_rows_whole(bench: Bench) -> None:  # [38]
    text = 'DOOR NO,ROOM NO,ROOM NAME,WIDTH,HEIGHT (MM)\n101,101,LIBRARY,3\'-0",2134\n102,102,LAB,.625",16mm\n103,103,STUDIO,1 3/4",700\n'
    path = bench.folder / "units.csv"
    path.write_text(text, encoding="utf-8")
    job = build_job([path], FINAL)
    assert [texts(job, row) for row in (2, 3, 4)] == [["101", "LIBRARY"], ["102", "LAB"], ["103", "STUDIO"]]


def test_a_sorted_and_revised_schedule_keeps_its_ids(bench: Bench) -> None:  # [39]
    rows = [
        (str(101 + at), str(101 + at), name)
        for at, name in enumerate(("LIBRARY", "LAB", "STUDIO", "CHAPEL", "GALLERY"))
    ]
    first = bench.run([HEADER, *rows])
    renamed = [(door, number, "MUSIC ROOM" if door == "103" else name) for door, number, name in reversed(rows)]
    second = bench.run([("OPENING", "RM #", "SPACE NAME", "NOTES"), *renamed])
    before = {sign.request.sign_id: sign.design for sign in first.signs}
    after = {sign.request.sign_id: sign.design for sign in second.signs}
    assert before.keys() == after.keys()
    assert [sign_id for sign_id in before if before[sign_id] != after[sign_id]] == ["JOB-X-103-C"]


def test_the_same_run_twice_and_in_another_row_order_writes_the_same_signs(bench: Bench) -> None:  # [40]
    def drawings(job: Job, out: str) -> dict[str, bytes]:
        write_job(job, bench.folder / out)
        folder = bench.folder / out
        return {path.name: path.read_bytes() for path in folder.rglob("*") if path.suffix in (".svg", ".dxf")}

    path = bench.xlsx([HEADER, *PLAIN])
    job = build_job([path], FINAL)
    again = build_job([path], FINAL)
    assert (again.flags, again.decisions, again.accounting) == (job.flags, job.decisions, job.accounting)
    assert [sign.design for sign in again.signs] == [sign.design for sign in job.signs]
    first = drawings(job, "a")
    assert len(first) >= 6
    assert drawings(bench.run([HEADER, *reversed(PLAIN)]), "b") == first


# ------------------------------------------------------------------ the two that only appear on site


def test_an_owners_list_that_contradicts_the_schedule_holds_and_shows_both(bench: Bench) -> None:
    schedule = bench.csv([HEADER[1:3], ("101", "LIBRARY"), ("102", "LAB")])
    approved = bench.csv([("ROOM NO", "SIGN TEXT"), ("101", "MEDIA CENTER"), ("102", "LAB")])
    job = build_job([schedule, approved], FINAL)
    held = flag(job, "signlist/conflict")
    assert held.severity is HOLD
    assert f"LIBRARY ({schedule.name} row 2) or MEDIA CENTER ({approved.name} row 2)" in held.message
    assert {sign.status for sign in job.signs if sign.request.room_number == "101"} == {Status.HELD}
    assert [sign.status for sign in job.signs if sign.request.room_number == "102"] == [Status.RELEASED]


TYPES = [("A", "ROOM ID"), ("B", "RESTROOM"), ("C", "NUMBER ONLY")]
TYPED = [
    ("101", "LIBRARY", "A"),
    ("102", "MENS RR", "B"),
    ("103", "STUDIO", "C"),
    ("104", "LAB", "Q"),
    ("105", "GALLERY", "A"),
]


@pytest.mark.parametrize(
    ("sheet", "header"),
    [("LEGEND", ("SIGN TYPE", "DESCRIPTION")), ("Sign Legend", ("TYPE", "DESCRIPTION")), ("KEY", ("SIGN TYPES",))],
)
def test_the_architects_sign_types_are_read_by_their_legend(bench: Bench, sheet: str, header: Row) -> None:
    def add(book: Workbook) -> None:
        page = book.create_sheet(sheet)
        for row in [header, *TYPES]:
            page.append(row)

    job = bench.run([("ROOM NO", "ROOM NAME", "SIGN TYPE"), *TYPED], edit=add)
    assert len(job.decisions) == 5
    assert [sign.request.template for sign in job.signs][:3] == ["room", "restroom", "number"]
    assert "sign type 'A' is 'ROOM ID' by the legend at" in flag(job, "intake/sign-type-legend", 2).message
    assert is_held(job, 5)
    assert "sign type 'Q' needs its legend" in flag(job, "signlist/unknown-sign-type", 5).message


def test_a_legend_under_the_table_counts_too_and_a_legend_of_doors_does_not(bench: Bench) -> None:
    rows = [
        ("ROOM NO", "ROOM NAME", "SIGN TYPE"),
        *TYPED,
        (),
        ("DOOR TYPES:",),
        ("Q", "FLUSH"),
        (),
        ("SIGN TYPES:",),
        *TYPES,
    ]
    job = bench.run(rows)
    assert len(job.decisions) == 5
    assert texts(job, 4) == ["103"]
    assert is_held(job, 5)
    assert RowKind.UNPLACED not in {row.kind for row in job.schedule.rows}


def test_the_row_account_of_a_schedule_with_many_of_these_balances(bench: Bench) -> None:
    names = (
        "LIBRARY",
        "J. SMITH",
        "MEN / WOMEN",
        "HANDICAP TOILET",
        "VACANT",
        "NOT USED",
        "CORRIDOR",
        "STAIR A",
        "=1+1",
        "IT",
    )
    account = bench.names(*names).accounting
    assert account.rows_read == sum(dict(account.rows_by_kind).values()) == len(names) + 1
    assert account.data_rows == sum(dict(account.outcomes).values()) == len(names)
    assert account.signs_listed == account.signs_released + account.signs_held
