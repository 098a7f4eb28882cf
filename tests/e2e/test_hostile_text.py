"""Text made to do harm, in cells, headers, sheet and file names: it is flagged, and escapes no format and no folder."""

import csv
import html.parser
import json
import os
import re
import shutil
import subprocess
import sys
import unicodedata
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest
from openpyxl import Workbook, load_workbook

FORMULAS = (
    '=HYPERLINK("http://203.0.113.9","X")',
    "+1+1",
    "-2+3+cmd|' /C calc'!A0",
    "@SUM(A1:A9)",
    "\t=1+1",
    "＝1+1",
    "\n=2+2",
)
FILE = "=1+1 <img src=x onerror=alert(1)>\u202e\n\x1b[31m"
MARKUP = (
    "<script>document.title='OWNED'</script>",
    "<img src=x onerror=\"document.title='OWNED'\">",
    "</script><script>document.title='OWNED'</script>",
    '"><svg onload="document.title=\'OWNED\'">',
    "<!-- ]]> <![CDATA[",
    "&lt;b&gt; ${title} $title {{x}}",
)
GROUP_CODES = (
    "LIBRARY\n  0\nENDSEC\n  0\nEOF",
    "LOBBY\r0\rLINE\r8\rX",
    "STORE %%c \\P{\\fArial;X} ^J",
    "LAB\u2028  0\u2028EOF\x850",
)
CONTROLS = ("LIB\x07RARY", "OFF\x1b[2J\x1b]0;OWNED\x07ICE", "STAFF\x9b31m", "ROOM\ufffe")
OVERRIDES = ("\u202eYRARBIL", "OFFICE\u2066\u2067\u2069")
NUMBERS = (
    "../../x",
    "..",
    "CON",
    "nul.txt",
    "COM1",
    "a/b",
    "C:\\x",
    "A" * 300,
    "/etc/passwd",
    "~root",
    "$(id)",
    "`id`",
    "-rf",
    "é1",
    "e\u03011",
)
TWINS = ("straße", "STRASSE", "ﬁ1", "FI1", "101a", "101A", "101a ", "101.", "101")
NAMES = (*FORMULAS, *MARKUP, *GROUP_CODES, *CONTROLS, *OVERRIDES)
JOB = """
[job]
id = "J1"
title = "=1+1 <script>document.title='OWNED'</script> \\u202e"
revision = "\\"><b>"
numbers = "final"
[make]
base_color = "<b>=red"
"""
# Characters that turn the reading direction of what follows (Unicode 16, UAX 9, 2.1 to 2.6).
TURNING = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
# Sums of our own on the take-off: references and arithmetic, no text, no other workbook.
OWN_FORMULA = re.compile(r"=[A-Z0-9$:+*/().,<>=-]+")
NUMERIC = re.compile(r"[+-]?\d+(\.\d+)?( in)?")


@dataclass(frozen=True)
class Built:
    folder: Path
    out: Path
    said: str

    def files(self, suffix: str) -> list[Path]:
        found = sorted(self.out.rglob(f"*{suffix}"))
        assert found
        return found


def build(folder: Path, rooms: list[tuple[str, str]], doors: list[tuple[str, str]], sheet: str, file: str) -> Built:
    with (folder / f"{file}.csv").open("w", newline="", encoding="utf-8") as stream:
        csv.writer(stream).writerows([("ROOM NO", "ROOM NAME", "REMARKS"), *((n, name, name) for n, name in rooms)])
    book = Workbook()
    book.active.title = sheet
    for number, row in enumerate(
        [("ROOM NO", "ROOM NAME", "REMARKS"), *((n, name, name) for n, name in doors)], start=1
    ):
        for column, text in enumerate(row, start=1):
            cell = book.active.cell(number, column)
            cell.value = re.sub(r"[\x00-\x08\x0b-\x1f\ufffe]", lambda found: f"_x{ord(found[0]):04X}_", text)
            cell.data_type = "s"
    book.save(folder / f"{file}.xlsx")
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    command = [
        sys.executable,
        "-m",
        "schedule2sign",
        "build",
        f"{file}.csv",
        f"{file}.xlsx",
        "--job",
        "job.toml",
        "-o",
        "out/here",
    ]
    done = subprocess.run(command, cwd=folder, capture_output=True, timeout=120, check=False)
    said = (done.stdout + done.stderr).decode()
    assert done.returncode in (0, 1), said
    return Built(folder=folder, out=folder / "out" / "here", said=said)


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Built:
    names = [(f"{200 + at}", name) for at, name in enumerate(NAMES)]
    numbers = [(number, f"STUDIO {at}") for at, number in enumerate((*NUMBERS, *TWINS))]
    folder = tmp_path_factory.mktemp("hostile")
    plain = [("901", "LIBRARY"), ("902", "CLASSROOM")]
    marked = [("801", "\u200fLAB")]  # A mark that turns nothing is left out, like any character that cannot be seen.
    return build(
        folder,
        [*names, *numbers, *plain, *marked],
        [(f"4{number[1:]}", name) for number, name in names],
        "<b>=1+1",
        FILE,
    )


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Built:
    rooms = [(f"{200 + at}", "LIBRARY" if at % 2 else "OFFICE") for at in range(24)]
    return build(
        tmp_path_factory.mktemp("plain"),
        rooms,
        [(f"4{number[1:]}", "STORAGE") for number, _ in rooms],
        "Rooms",
        "rooms",
    )


def test_no_file_lands_outside_and_no_two_are_one_elsewhere(hostile: Built) -> None:
    assert {path.name for path in hostile.folder.iterdir()} == {f"{FILE}.csv", f"{FILE}.xlsx", "job.toml", "out"}
    assert [path.name for path in (hostile.folder / "out").iterdir()] == ["here"]
    paths = [path.relative_to(hostile.out).as_posix() for path in hostile.out.rglob("*")]
    assert len(paths) > 30
    assert all(re.fullmatch(r"\w[\w .()/-]*", path) for path in paths)
    assert len({unicodedata.normalize("NFKC", path).casefold() for path in paths}) == len(paths)
    stems = {part.split(".")[0].upper() for path in paths for part in path.split("/")}
    assert not stems & {"CON", "PRN", "AUX", "NUL", *(f"{port}{n}" for port in ("COM", "LPT") for n in range(10))}
    checked = subprocess.run(["sha256sum", "-c", "--strict", "--quiet", "SHA256SUMS"], cwd=hostile.out, check=False)
    assert checked.returncode == 0


def test_every_row_is_counted_and_every_odd_one_flagged(hostile: Built) -> None:
    manifest = json.loads((hostile.out / "manifest.json").read_text(encoding="utf-8"))
    flagged = {(flag["source"]["file"], flag["source"]["row"]) for flag in manifest["flags"] if flag["source"]}
    odd = set(range(2, 2 + len(NAMES) + len(NUMBERS)))
    csv_name = next(item["file"] for item in manifest["inputs"] if item["file"].endswith(".csv"))
    assert not odd - {row for file, row in flagged if file == csv_name}
    turned = [flag for flag in manifest["flags"] if flag["code"] == "intake/turned-text"]
    held = {(flag["source"]["file"], flag["source"]["row"]) for flag in turned if flag["severity"] == "HOLD"}
    assert len(held) == 2 * len(OVERRIDES)
    released = [sign for sign in manifest["signs"] if sign["status"] == "released"]
    assert {message["text"] for sign in released for message in sign["messages"]} >= {"LIBRARY", "CLASSROOM", "LAB"}
    assert manifest["accounting"]["rows_read"] >= 2 * len(NAMES) + len(NUMBERS) + len(TWINS)


def test_no_cell_starts_a_formula(hostile: Built) -> None:
    seen = 0
    for path in hostile.files(".csv"):
        for row in csv.reader(path.read_text(encoding="utf-8-sig").splitlines()):
            for field in row:
                start = field.lstrip()[:1]
                assert start not in "=+-@＝＋－＠\t\r" or not start or NUMERIC.fullmatch(field), (path.name, field)
                seen += 1
    for path in hostile.files(".xlsx"):
        for page in load_workbook(path).worksheets:
            for cells in page.iter_rows():
                for cell in cells:
                    own = path.name == "take-off.xlsx" and OWN_FORMULA.fullmatch(str(cell.value))
                    assert cell.data_type != "f" or own, (path.name, page.title, cell.coordinate)
                    assert cell.hyperlink is None or cell.hyperlink.target is None
                    seen += 1
    assert seen > 1_000


class Tags(html.parser.HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: Counter[str] = Counter()
        self.attributes: set[str] = set()
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        self.attributes |= {name for name, _ in attrs}


ACTIVE = ("script", "img", "iframe", "object", "embed", "base", "link", "meta", "form", "style", "title")


def test_the_report_holds_no_element_that_the_job_put_there(hostile: Built, plain: Built) -> None:
    bad, good = (Tags((built.out / "report.html").read_text(encoding="utf-8")) for built in (hostile, plain))
    assert {tag: bad.tags[tag] for tag in ACTIVE} == {tag: good.tags[tag] for tag in ACTIVE}
    assert bad.attributes <= good.attributes
    assert not [name for name in bad.attributes if name.startswith("on")]


@pytest.mark.skipif(shutil.which("chromium") is None, reason="chromium is not installed")
def test_nothing_of_the_job_runs_in_the_report(hostile: Built, tmp_path: Path) -> None:
    page = hostile.out / "report.html"
    command = [
        "chromium",
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        f"--user-data-dir={tmp_path}",
        "--dump-dom",
        page.as_uri(),
    ]
    done = subprocess.run(command, capture_output=True, timeout=100, check=True)
    shown = Tags(done.stdout.decode())
    title = re.search(r"<title>(.*?)</title>", done.stdout.decode(), re.DOTALL)
    assert title is not None
    assert title[1] != "OWNED"
    assert shown.tags["script"] == Tags(page.read_text(encoding="utf-8")).tags["script"]
    assert not shown.tags["img"]
    assert not [name for name in shown.attributes if name.startswith("on")]


def shape_of(path: Path) -> set[str]:
    root = ElementTree.fromstring(path.read_bytes())
    found = {element.tag for element in root.iter() if isinstance(element.tag, str)}
    return found | {f"@{name}" for element in root.iter() for name in element.attrib}


def test_no_drawing_holds_what_the_job_put_there(hostile: Built, plain: Built) -> None:
    known = set().union(*(shape_of(path) for path in plain.files(".svg")))
    for path in hostile.files(".svg"):
        assert shape_of(path) <= known | {"@transform"}
        assert b"<script" not in path.read_bytes().lower()
    sections, kinds = set(), set()
    for path in plain.files(".dxf"):
        sections.add(path.read_text(encoding="utf-8").count("\nSECTION\n"))
        kinds |= {(entity.dxftype(), entity.dxf.layer) for entity in ezdxf.readfile(path).modelspace()}
    for path in hostile.files(".dxf"):
        lines = path.read_text(encoding="utf-8").split("\n")
        assert lines.pop() == ""
        assert len(lines) % 2 == 0
        assert all(re.fullmatch(r" *-?\d+", code) for code in lines[::2])
        values = [(code.strip(), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]
        assert values.count(("0", "EOF")) == 1
        assert values[-1] == ("0", "EOF")
        assert values.count(("0", "SECTION")) in sections
        assert values.count(("0", "ENDSEC")) == values.count(("0", "SECTION"))
        drawing = ezdxf.readfile(path)
        assert not drawing.audit().errors
        assert {(entity.dxftype(), entity.dxf.layer) for entity in drawing.modelspace()} <= kinds


def test_no_document_runs_or_opens_anything(hostile: Built) -> None:
    for path in hostile.files(".pdf"):
        data = re.sub(rb"stream\r?\n.*?endstream", b"", path.read_bytes(), flags=re.DOTALL)
        assert data.startswith(b"%PDF-")
        for word in (
            b"/JavaScript",
            b"/JS",
            b"/OpenAction",
            b"/AA",
            b"/Launch",
            b"/URI",
            b"/EmbeddedFile",
            b"/SubmitForm",
        ):
            assert not re.search(re.escape(word) + rb"\b", data), (path.name, word)
        if shutil.which("pdftotext"):
            subprocess.run(["pdftotext", str(path), "-"], capture_output=True, check=True)


def test_the_json_is_what_the_standard_says(hostile: Built) -> None:
    def refuse(text: str) -> None:
        raise AssertionError(text)

    for path in hostile.files(".json"):
        assert json.loads(path.read_text(encoding="utf-8"), parse_constant=refuse)  # RFC 8259, 6


def test_no_character_commands_a_terminal_or_turns_the_text(hostile: Built) -> None:
    shown = {"the screen": hostile.said, "the checksums": (hostile.out / "SHA256SUMS").read_text(encoding="utf-8")}
    for suffix in (".csv", ".txt", ".html", ".svg", ".dxf"):
        shown |= {path.name: path.read_text(encoding="utf-8") for path in hostile.files(suffix)}
    for path in hostile.files(".xlsx"):
        texts = (str(cell.value) for page in load_workbook(path).worksheets for row in page.iter_rows() for cell in row)
        if path.parent.name != "marked":  # There the customer's own cells stay as they were.
            shown[path.name] = "\n".join(texts)
    for name, text in shown.items():
        assert not re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]", text.replace("\r\n", "\n")), name
        turning = TURNING.search(text)
        assert not turning, (name, text[max(turning.start() - 40, 0) : turning.end() + 20])


@pytest.mark.parametrize(
    "name", [b"\xff\xfe.xlsx", b"CON.xlsx", b"-rf.xlsx", b"A" * 250 + b".xlsx", "e\u0301é．.xlsx".encode()]
)
def test_a_schedule_of_any_name_is_read(tmp_path: Path, name: bytes) -> None:
    path = Path(os.fsdecode(bytes(tmp_path) + b"/" + name))
    for at, place in enumerate([path, tmp_path / "b.xlsx"]):
        book = Workbook()
        for row in [
            ("ROOM NO", "ROOM NAME"),
            (f"{at}01", "LIBRARY"),
            (f"{at}02", "N/A"),
            (f"{at}03", "STAFF TOILET (F)"),
        ]:
            book.active.append(row)
        book.save(place)
    command = [sys.executable, "-m", "schedule2sign", "build", "-o", "out", "--", path.name, "b.xlsx"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, timeout=120, check=False)
    assert done.returncode in (0, 1), done.stderr
    assert json.loads((tmp_path / "out" / "manifest.json").read_text(encoding="utf-8"))["accounting"]["rows_read"] == 8
    copies = [item.name for item in (tmp_path / "out" / "marked").iterdir()]
    assert len(copies) == 2
    assert all(re.fullmatch(r"\w[\w .()-]*\.xlsx", copy) and copy.upper() != "CON.XLSX" for copy in copies)
