"""A schedule full of braille traps, made into drawings: each line comes out right or is asked.

The expected cells stand in fixtures/braille/trap-lines.csv, each with the rule it follows (The Rules of Unified English
Braille, 2nd ed., 2013; ADA 2010 703.3.1). The drawings are then read by an unrelated reader: the circles of layer
BRAILLE_DRILL are opened by ezdxf, decoded below from their centers alone, and read back by liblouis' own
back-translation.
"""

import csv
import json
import re
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import ezdxf.filemanagement
import pytest
from openpyxl import load_workbook

from schedule2sign.braille.engine import LouisEngine, load_bindings
from schedule2sign.braille.translator import open_translator
from schedule2sign.cli.main import main
from schedule2sign.geometry.brailleascii import ascii_braille
from schedule2sign.model.flag import Flag
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.settings import Finality, Lexicon, Settings
from schedule2sign.pipeline import build_job, write_job

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
LINES = list(csv.DictReader((FIXTURES / "braille" / "trap-lines.csv").read_text(encoding="utf-8").splitlines()))
TOLERANCE_IN = 0.001
# ADA Table 703.3.1, in inches, lowest and highest.
BASE, DOT, CELL, LINE = (0.059, 0.063), (0.090, 0.100), (0.241, 0.300), (0.395, 0.400)
# Dot number - 1 by column and row of the cell, row 0 on top (UEB 1.1; ADA Figure 703.3.1).
BIT = {(0, 0): 0, (0, 1): 1, (0, 2): 2, (1, 0): 3, (1, 1): 4, (1, 2): 5}


@pytest.fixture(scope="module")
def job() -> Job:
    return build_job([FIXTURES / "schedules" / "braille-traps.csv"], Settings(job="TRAP", finality=Finality.FINAL))


@pytest.fixture(scope="module")
def out(job: Job, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("traps") / "out"
    write_job(job, folder)
    return folder


def flags_of(job: Job, door: str) -> set[str]:
    signs: list[Flag] = [flag for sign in job.signs if sign.request.door == door for flag in sign.flags]
    rows = [flag for decision in job.decisions if decision.row.door == door for flag in decision.flags]
    asked = [flag for flag in (*signs, *rows) if flag.severity != "NOTE"]
    # What an earlier stage asks of the same word is asked once, under its code, and names the other.
    return {code for flag in asked for code in (flag.code, *re.findall(r"braille/[a-z-]+", flag.message))}


@pytest.mark.parametrize("trap", LINES, ids=[row["line"] for row in LINES])
def test_a_trap_comes_out_right_or_is_asked(job: Job, trap: dict[str, str]) -> None:
    signs = [sign for sign in job.signs if sign.request.door == trap["door"]]
    lines = {line.text: ascii_braille(line.cells).lower() for sign in signs for line in sign.braille}
    if trap["asked"]:
        assert trap["asked"] in flags_of(job, trap["door"])
    if trap["line"] in lines and trap["braille"]:
        assert lines[trap["line"]] == trap["braille"], trap["rule"]
    else:
        assert trap["asked"], "a line without a drawing must be asked"
        assert all(sign.status is Status.HELD for sign in signs)


@pytest.mark.parametrize("trap", [row for row in LINES if row["braille"]], ids=lambda row: row["line"])
def test_the_cells_are_the_expected_ones_whatever_the_schedule_decides(trap: dict[str, str]) -> None:
    line = open_translator("ueb-contracted", Lexicon()).translate(trap["line"])
    assert ascii_braille(line.cells).lower() == trap["braille"], trap["rule"]


def test_what_no_rule_settles_is_asked_and_what_a_rule_settles_is_not(job: Job) -> None:
    for trap in LINES:
        asked = {code for code in flags_of(job, trap["door"]) if code.startswith("braille/")}
        assert asked == ({trap["asked"]} if trap["asked"].startswith("braille/") else set()), trap["line"]


def released(job: Job) -> list[SignRecord]:
    return [sign for sign in job.signs if sign.status is Status.RELEASED]


def read_circles(path: Path) -> Iterator[tuple[float, float, float]]:
    for circle in ezdxf.filemanagement.readfile(path).modelspace().query('CIRCLE[layer=="BRAILLE_DRILL"]'):
        yield circle.dxf.center.x, circle.dxf.center.y, 2 * circle.dxf.radius


def place_on(away: float, pitch: float, most: int) -> int:
    """Which grid line a distance lies on; -1 where it lies on none."""
    place = round(away / pitch)
    return place if 0 <= place <= most and abs(away - place * pitch) <= TOLERANCE_IN else -1


def read_lines(dots: list[tuple[float, float]], dot: float, cell: float, line: float) -> set[tuple[str, ...]]:
    """Every way the centers read: rows above the topmost dot and columns left of the leftmost may be empty."""
    found: set[tuple[str, ...]] = set()
    for empty in range(3):
        top = max(y for _, y in dots) + empty * dot
        lines: dict[int, list[tuple[float, int]]] = {}
        for x, y in dots:
            at = int((top - y + TOLERANCE_IN) // line)
            lines.setdefault(at, []).append((x, place_on(top - y - at * line, dot, 2)))
        if 0 in lines and all(row >= 0 for members in lines.values() for _, row in members):
            found |= set(product(*(read_line(lines[at], dot, cell) for at in sorted(lines))))
    return found


def read_line(dots: list[tuple[float, int]], dot: float, cell: float) -> list[str]:
    choices: list[str] = []
    for empty in range(2):
        left = min(x for x, _ in dots) - empty * dot
        cells: dict[int, int] = {}
        for x, row in dots:
            at = int((x - left + TOLERANCE_IN) // cell)
            column = place_on(x - left - at * cell, dot, 1)
            if column < 0:
                break
            cells[at] = cells.get(at, 0) | 1 << BIT[column, row]
        else:
            if 0 in cells:
                choices.append("".join(chr(0x2800 + cells.get(at, 0)) for at in range(max(cells) + 1)))
    return choices


def grid_of(sign: SignRecord) -> tuple[float, float, float]:
    assert sign.layout is not None
    size = sign.layout.cell_size
    return size.dot_pitch_mm / 25.4, size.cell_pitch_mm / 25.4, size.line_pitch_mm / 25.4


def test_the_grid_is_the_one_of_the_published_table(job: Job, out: Path) -> None:
    for sign in released(job):
        for value, (low, high) in zip(grid_of(sign), (DOT, CELL, LINE), strict=True):
            assert low - 1e-9 <= value <= high + 1e-9
        (path,) = [out / name for name in sign.files if name.endswith(".dxf")]
        assert {BASE[0] <= round(diameter, 6) <= BASE[1] for _, _, diameter in read_circles(path)} == {True}


def test_every_drawing_reads_as_its_message(job: Job, out: Path) -> None:
    engine = LouisEngine(["unicode.dis", "en-ueb-g2.ctb"])
    wrong: dict[str, set[str]] = {}
    for sign in released(job):
        said = " ".join(message.text for message in sign.request.messages)
        (path,) = [out / name for name in sign.files if name.endswith(".dxf")]
        readings = read_lines([(x, y) for x, y, _ in read_circles(path)], *grid_of(sign))
        backs = {
            " ".join(engine.translate_back(word) for cells in lines for word in cells.split("\u2800"))
            for lines in readings
        }
        if said not in {back.replace("\u2019", "'").upper() for back in backs}:
            wrong[said] = backs
    assert wrong == {}
    assert len(released(job)) >= 15


def test_the_reading_would_notice_a_missing_dot(job: Job, out: Path) -> None:
    sign = next(sign for sign in released(job) if sign.request.door == "211")
    (path,) = [out / name for name in sign.files if name.endswith(".dxf")]
    dots = [(x, y) for x, y, _ in read_circles(path)]
    meant = tuple(line.cells for line in sign.braille)
    assert meant in read_lines(dots, *grid_of(sign))
    for gone in range(len(dots)):
        assert meant not in read_lines(dots[:gone] + dots[gone + 1 :], *grid_of(sign))


def test_another_version_of_the_engine_is_told_on_every_document(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(load_bindings(), "version", lambda: "9.9.9")
    (tmp_path / "doors.csv").write_text("Door,Room No,Room Name\n101,101,LOBBY\n")
    write_job(build_job([tmp_path / "doors.csv"], Settings()), tmp_path / "out")
    told = "liblouis 9.9.9 made the braille"
    texts = [
        " ".join((tmp_path / "out" / name).read_text().split())
        for name in ("00-READ-ME.txt", "flagged.csv", "manifest.json")
    ]
    assert [told in text for text in texts] == [True, True, True]
    for name in ("flagged.xlsx", "braille-check.xlsx"):
        cells = [cell for page in load_workbook(tmp_path / "out" / name) for row in page.values for cell in row]
        assert any(told in str(cell) for cell in cells), name
    assert main(["braille", "LOBBY"]) == 0
    assert told in capsys.readouterr().err


def test_the_tables_are_recorded_with_their_hashes(job: Job, out: Path) -> None:
    manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    recorded = {table["name"]: table["sha256"] for table in manifest["braille_engine"]["tables"]}
    assert recorded == dict(job.engine.tables)
    assert len(recorded["en-ueb-g2.ctb"]) == 64


def test_the_back_translation_stands_beside_the_text(job: Job, out: Path) -> None:
    manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    shown = {line["text"]: line["back"] for sign in manifest["signs"] for line in sign["braille"]}
    assert shown["ER TRIAGE"] == "ER triage"
    assert all(back for text, back in shown.items() if text)
    for name, header in (("sign-list.xlsx", "braille read back"), ("braille-check.xlsx", "reads back as")):
        book = load_workbook(out / name)
        page = next(page for page in book if header in [cell.value for cell in page[1]] and page.title != "To check")
        place = [cell.value for cell in page[1]].index(header)
        cells = [str(row[place]) for row in page.iter_rows(min_row=2, values_only=True)]
        assert any("ER triage" in cell for cell in cells), name
    for sign in released(job):
        (picture,) = [out / path for path in sign.files if path.endswith(".svg")]
        back = " / ".join(line.back for line in sign.braille)
        assert f"The braille reads back: {back}" in picture.read_text(encoding="utf-8").replace("&amp;", "&")
