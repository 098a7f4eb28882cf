"""`schedule2sign read` as a user runs it: what was found and why, and the story of one row."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from openpyxl import Workbook
from openpyxl.styles import Font

from schedule2sign.cli.main import main

TITLE = ("HARBOR HOUSE - DOOR SCHEDULE",)
HEADER = ("DOOR NO", "ROOM NO", "ROOM NAME", "HDW", "REMARKS")
ROWS = (
    ("LEVEL 2",),
    ("201", "201", "CONF RM", "3", ""),
    ("202", "202", "JAN CLO", "4", ""),
    ("203", "203", "PT ROOM", "4", ""),
    ("204", "204", "CORRIDOR", "4", ""),
    ("205", "205", "STORAGE", "4", ""),
    ("206", "206", "LIBRARY", "4", ""),
    ("STAIR A", "", "", "", ""),
    ("TOTAL", "6"),
)


@pytest.fixture(scope="module")
def schedule(tmp_path_factory: pytest.TempPathFactory) -> Path:
    book = Workbook()
    sheet = book.active
    sheet.title = "Doors"
    for row in (TITLE, HEADER, *ROWS):
        sheet.append(row)
    sheet.row_dimensions[8].hidden = True
    for cell in sheet[9]:
        cell.font = Font(strike=True)
    path = tmp_path_factory.mktemp("read") / "harbor.xlsx"
    book.save(path)
    return path


def read(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
    code = main(["read", *map(str, arguments)])
    out, err = capsys.readouterr()
    return code, out, err


def test_the_installed_command_knows_it(schedule: Path) -> None:
    result = subprocess.run(
        [sys.executable, "-P", "-m", "schedule2sign", "read", schedule.name],
        cwd=schedule.parent,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert result.returncode in (0, 1), result.stderr
    assert result.stdout.startswith("harbor.xlsx  ")
    assert not [path for path in schedule.parent.iterdir() if path != schedule]


def test_tables_header_kind_columns_account_and_first_records_are_told(
    schedule: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = read(capsys, schedule)
    assert code == 0
    assert "Table on sheet 'Doors', taken for doors:\n    header in row 2, 1 other row above\n" in out
    assert re.search(
        r"a door schedule, since column A is the door \(header 'DOOR NO', \d+% of \d+ values are marks\)", out
    )
    assert "  A  'DOOR NO'                    is the door  (header 'DOOR NO'" in out
    assert "  D  'HDW'                        is not used" in out
    assert "row    4  [LEVEL 2]  door='201'  number='201'  name='CONF RM'" in out
    assert "11 rows read = 4 data + 1 title + 1 header + 1 level + 1 subtotal + 1 hidden + 1 struck + 1 unplaced" in out
    assert "hidden   harbor.xlsx [Doors] row 8: 205 | 205 | STORAGE | 4" in out
    assert "struck   harbor.xlsx [Doors] row 9: 206 | 206 | LIBRARY | 4" in out
    assert "unplaced harbor.xlsx [Doors] row 10: STAIR A" in out
    assert "ASK  intake/hidden-row" in out


def test_the_same_as_one_json_document(schedule: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, err = read(capsys, schedule, "--json")
    story = json.loads(out)
    assert (story["schema"], err) == (1, "")
    assert story["inputs"][0]["name"] == "harbor.xlsx"
    assert story["tables"][0]["shape"] == "doors"
    assert story["tables"][0]["header_rows"] == [2]
    assert [column["field"] for column in story["tables"][0]["columns"]] == ["door", "number", "name", None, "remarks"]
    assert sum(story["accounting"]["rows_by_kind"].values()) == story["accounting"]["rows_read"] == 11
    assert [row["row"] for row in story["rows"]] == list(range(1, 12))
    assert {"field": "name", "column": "C", "text": "CONF RM"} in story["rows"][3]["cells"]
    assert "intake/struck-row" in {flag["code"] for flag in story["flags"]}


def test_a_row_is_followed_from_its_cells_to_a_released_sign(
    schedule: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = read(capsys, schedule, "--trace", "4")
    assert code == 0
    assert out.startswith("harbor.xlsx [Doors] row 4\n")
    assert "Read as  data: a record" in out
    assert "C  name         'CONF RM'  under 'ROOM NAME'" in out
    assert "not used     '3'" in out
    assert "level        'LEVEL 2'" in out
    assert "N11   name: 'CONF RM' -> 'CONFERENCE ROOM'" in out
    assert "Decided  signed by rule R1: " in out
    assert "released: template room, side C" in out
    # "conference room" by hand: con (25), f, er (12456), ence (56 e), blank, r, o, o, m (UEB 2013, 10.3, 10.4, 10.8).
    assert "braille  ⠒⠋⠻⠰⠑⠀⠗⠕⠕⠍  for 'CONFERENCE ROOM', reads back 'conference room'" in out
    assert "0 not checked" in out
    assert ".dxf" in out


def test_a_held_row_says_by_whom_it_can_be_answered(schedule: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = read(capsys, schedule, "--trace", "Doors!C6")
    assert code == 1
    assert "Decided  held by rule" in out
    assert "held: template" in out
    assert "HOLD naming/ambiguous-abbreviation  C6: 'PT' in 'PT ROOM' may stand for" in out
    assert ".dxf" not in out


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (1, "Read as  title"),
        (2, "Read as  header"),
        (3, "Read as  level: it names the level of the rows below"),
        (8, "Read as  hidden"),
        (9, "Read as  struck"),
        (11, "Read as  subtotal"),
    ],
)
def test_a_row_that_is_no_record_says_what_it_is(
    schedule: Path, capsys: pytest.CaptureFixture[str], row: int, said: str
) -> None:
    code, out, _ = read(capsys, schedule, "--trace", f"harbor.xlsx:Doors!{row}")
    assert code == 0
    assert said in out
    assert out.endswith("It makes no sign.\n")


def test_an_unsigned_row_says_why(schedule: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = read(capsys, schedule, "--trace", "7")
    assert "Decided  unsigned by rule N1: " in out
    assert out.endswith("It makes no sign.\n")


def test_the_story_as_json(schedule: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = read(capsys, schedule, "--trace", "4", "--json")
    story = json.loads(out)
    assert story["schema"] == 1
    assert story["row"]["kind"] == "data"
    assert story["named"]["changes"][0] == {
        "rule": "N11",
        "field": "name",
        "before": "CONF RM",
        "after": "CONFERENCE ROOM",
    }
    assert story["decision"]["outcome"] == "signed"
    (sign,) = story["signs"]
    assert (sign["id"], sign["status"]) == (story["decision"]["signs"][0], "released")
    assert [message["text"] for message in sign["messages"]] == ["201", "CONFERENCE ROOM"]
    assert sign["braille"][0]["cells"] == "⠼⠃⠚⠁"  # numeric indicator, 2, 0, 1 (UEB 2013, 6.1)
    assert sign["rules"]["not checked"] == 0


@pytest.mark.parametrize(
    ("trace", "said"),
    [
        ("99", "no such row was read. Rows read: harbor.xlsx:Doors! 1 to 11."),
        ("Rooms!4", "no such row was read."),
        ("lobby", "names no row: give 12, SHEET!12 or FILE:SHEET!12."),
    ],
)
def test_a_row_that_is_not_there_stops(
    schedule: Path, capsys: pytest.CaptureFixture[str], trace: str, said: str
) -> None:
    code, out, err = read(capsys, schedule, "--trace", trace)
    assert (code, out) == (2, "")
    assert said in err


def test_rows_of_several_files_are_told_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for level in (1, 2):
        text = f"ROOM NO,ROOM NAME,LEVEL\n{level}01,STORAGE,{level}\n{level}02,LIBRARY,{level}\n"
        (tmp_path / f"level{level}.csv").write_text(text, encoding="utf-8")
    files = [tmp_path / "level1.csv", tmp_path / "level2.csv"]
    code, _, err = read(capsys, *files, "--trace", "3")
    assert code == 2
    assert "2 sheets have that row. Say which: level1.csv:3, level2.csv:3." in err
    code, out, _ = read(capsys, *files, "--trace", "level2.csv:3")
    assert "'202'" in out
    assert "braille" in out


def test_no_header_stops_with_the_first_rows_and_the_line_that_would_fix_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "plain.csv"
    path.write_text("101,CLASSROOM,x\n102,STORAGE,x\n103,LIBRARY,x\n", encoding="utf-8")
    code, out, err = read(capsys, path)
    assert (code, out) == (2, "")
    assert "no header row could be found with confidence" in err
    assert "    2  A: 102 | B: STORAGE | C: x" in err
    assert "--column number=A --column name=B" in err
    code, out, _ = read(capsys, path, "--column", "number=A", "--column", "name=B")
    assert "3 records; the first:" in out
