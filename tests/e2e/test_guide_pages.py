"""The guide pages: every command in them runs as printed and ends with the exit code printed, on a part of the demo job."""

import contextlib
import io
import json
import os
import re
import shlex
import shutil
import tomllib
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import jsonschema
import openpyxl
import pytest
from fontTools import subset
from fontTools.ttLib import TTFont
from openpyxl.worksheet.worksheet import Worksheet

from schedule2sign import api
from schedule2sign.cli.main import COMMANDS, main
from schedule2sign.resources import demo_folder, templates_folder

GUIDE = Path(api.__file__).parent / "guide"
# In this order they share one folder, as a shop would.
PAGES = ("production-lead", "checker", "designer", "json")
FENCE = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
# Rows of the demo that stay; the others are emptied, so that a row keeps its number and the builds are quick.
KEPT = {*range(1, 17), 39, 48, 51, 63, 64, 71, 73, 98, 124, *range(139, 143)}
CLAIMS = re.compile(r"\b(compliant|certified|guaranteed|code[- ]approved)\b", re.IGNORECASE)
MOST_LINES = 150


def read_page(name: str) -> str:
    return (GUIDE / f"{name}.md").read_text(encoding="utf-8")


def steps(name: str) -> Iterator[tuple[str, str, int]]:
    """What a page says to do, in order: ("run", command line, exit code) or ("write", text, 0)."""
    for language, text in FENCE.findall(read_page(name)):
        if language == "toml":
            yield "write", text, 0
        if language == "sh":
            for line in text.splitlines():
                command, _, comment = line.partition("#")
                code = re.fullmatch(r"\s*exit code (\d)", comment)
                assert code or not comment, line
                yield "run", command.strip(), int(code[1]) if code else 0


def empty_rows(sheet: Worksheet, kept: set[int]) -> None:
    for row in range(1, sheet.max_row + 1):
        if row not in kept:
            for cell in sheet[row]:
                cell.value = None


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder a page starts in: the schedule and the job file, nothing else."""
    folder = tmp_path_factory.mktemp("shop")
    book = openpyxl.load_workbook(demo_folder() / "alder-point-doors.xlsx")
    if not os.environ.get("WHOLE_DEMO"):
        empty_rows(book.active, KEPT)
    book.save(folder / "doors.xlsx")
    shutil.copy(demo_folder() / "alder-point.toml", folder / "job.toml")
    return folder


def fill_answers(path: Path) -> None:
    """A person opens the sign list in a spreadsheet program, answers two questions and saves it elsewhere."""
    book = openpyxl.load_workbook("issue-a/sign-list.xlsx")
    page = book["Sign list"]
    columns = {cell.value: cell.column for cell in page[1]}
    answers = {"AP26-01-150-C": ("rename", "PHYSICAL THERAPY"), "AP26-01-151-C": ("hold", None)}
    for row in range(2, page.max_row + 1):
        said = answers.pop(page.cell(row, columns["sign id"]).value, None)
        if said:
            page.cell(row, columns["decision"]).value, page.cell(row, columns["answer"]).value = said
            page.cell(row, columns["answered by"]).value = "T. Moss"
    assert not answers
    book.save(path)


def sign_braille(path: Path) -> None:
    book = openpyxl.load_workbook("issue-a/braille-check.xlsx")
    page = book["To check"]
    columns = {cell.value: cell.column for cell in page[1]}
    row = next(row for row in range(2, page.max_row + 1) if page.cell(row, 1).value == "OTORHINOLARYNGOLOGY")
    said = {
        "written as": "otorhinolaryngology",
        "take as": "words",
        "ASCII braille": "OTORH9OL>YNGOLOGY",
    }  # UEB 10.6 (in), 10.4 (ar)
    said |= {"initials": "M. O.", "date": datetime(2027, 1, 15)}  # noqa: DTZ001 - a cell's date has no zone
    for header, value in said.items():
        page.cell(row, columns[header]).value = value
    book.save(path)


def revise_schedule(path: Path) -> None:
    book = openpyxl.load_workbook("doors.xlsx")
    assert book.active["D10"].value == "RECEPTION"
    book.active["D10"].value = "WELCOME DESK"
    book.save(path)


def revise_job(path: Path) -> None:
    text = Path("job.toml").read_text(encoding="utf-8")
    assert 'revision = "A"' in text
    path.write_text(text.replace('revision = "A"', 'revision = "B"'), encoding="utf-8")


def list_stages(path: Path) -> None:
    path.write_text("sign id,stage\nAP26-01-102-C,installed\nAP26-01-103-C,cut\n", encoding="utf-8")


def cut_down_font(path: Path) -> None:
    """A font without digits: no sign can be set in it."""
    font = TTFont(templates_folder() / "fonts" / "Inter-Regular.otf")
    subsetter = subset.Subsetter()
    subsetter.populate(text="ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    subsetter.subset(font)
    font.save(path)


# What people and other programs put there, made when a command first names it.
BROUGHT: dict[str, Callable[[Path], None]] = {
    "answers-a.xlsx": fill_answers,
    "braille-signed.xlsx": sign_braille,
    "doors-b.xlsx": revise_schedule,
    "job-b.toml": revise_job,
    "made.csv": list_stages,
    "MyFont.otf": cut_down_font,
}


def bring(text: str) -> None:
    for name, make in BROUGHT.items():
        if name in text and not Path(name).exists():
            make(Path(name))


def write(text: str) -> None:
    """A TOML block: the file its first line names, or lines to put under their tables in it."""
    first, _, rest = text.partition("\n")
    bring(text)
    if first.startswith("# in "):
        path = Path(first.removeprefix("# in "))
        job = path.read_text(encoding="utf-8")
        for table in tomllib.loads(rest):
            assert f"[{table}]\n" in job
            lines = rest.partition(f"[{table}]\n")[2]
            job = job.replace(f"[{table}]\n", f"[{table}]\n{lines}", 1)
        rest, first = job, f"# {path}"
    tomllib.loads(rest)
    Path(first.removeprefix("# ")).write_text(rest, encoding="utf-8")


def run(command: str) -> int:
    bring(command)
    words, _, target = command.partition(" > ")
    program, *arguments = shlex.split(words)
    assert program == "schedule2sign"
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        code = main(arguments)
    if target:
        Path(target).write_text(out.getvalue(), encoding="utf-8")
    assert out.getvalue() or "--quiet" in arguments
    return code


@pytest.fixture(scope="module")
def walked(shop: Path) -> Path:
    """The folder after all pages were followed, in order; a step that fails says which."""
    before = Path.cwd()
    os.chdir(shop)
    try:
        for page in PAGES:
            for what, text, expected in steps(page):
                if what == "write":
                    write(text)
                else:
                    assert run(text) == expected, f"{page}.md: {text}"
    finally:
        os.chdir(before)
    return shop


def signs(folder: Path) -> dict[str, dict]:
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    return {sign["id"]: sign for sign in manifest["signs"]}


def test_every_command_ends_as_its_page_says(walked: Path) -> None:
    assert sum(what == "run" for page in PAGES for what, _, _ in steps(page)) >= 25
    for name in ("family.html", "framed.html", "mine.html", "room.svg", "framed.pdf", "restroom.svg", "changes.xlsx"):
        assert (walked / name).stat().st_size > 1000, name
    for name in ("run.json", "read.json", "rule.json"):
        assert json.loads((walked / name).read_text(encoding="utf-8"))["schema"] == 1


def test_answers_and_signatures_took_effect_and_reached_revision_b(walked: Path) -> None:
    later = signs(walked / "issue-b")
    assert [message["text"] for message in later["AP26-01-150-C"]["messages"]] == ["150", "PHYSICAL THERAPY"]
    assert later["AP26-01-150-C"]["status"] == "released"
    assert later["AP26-01-151-C"]["status"] == "held"
    assert later["AP26-02-224-C"]["status"] == "released"
    manifest = json.loads((walked / "issue-b" / "manifest.json").read_text(encoding="utf-8"))
    assert [term["term"] for term in manifest["braille_check"]["signed"]] == ["OTORHINOLARYNGOLOGY"]
    changes = json.loads((walked / "issue-b" / "changes.json").read_text(encoding="utf-8"))
    for name, document in (("compare", changes), ("manifest", manifest)):
        jsonschema.validate(document, api.load_schema(name), jsonschema.Draft202012Validator)
    assert [(sign["change"], sign["id"]) for sign in changes["signs"]] == [("text", "AP26-01-102-C")]


def test_a_page_with_a_command_that_does_not_exist_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit):
        run("schedule2sign no-such-command")
    assert run("schedule2sign verify no-such-folder") == 2


def test_every_command_of_the_program_stands_in_a_page() -> None:
    pages = "".join(map(read_page, PAGES))
    names = {
        name
        for module in COMMANDS
        for name in re.findall(r'add_parser\(\s*"([a-z]+)"', Path(str(module.__file__)).read_text(encoding="utf-8"))
    }
    assert len(names) >= 14
    # The demo is in README.md; json.md names it.
    assert {name for name in names if not re.search(rf"schedule2sign {name}\b|`{name}`", pages)} == set()


@pytest.mark.parametrize("name", [*PAGES, "python"])
def test_a_page_is_short_claims_nothing_and_its_links_lead_somewhere(name: str) -> None:
    text = read_page(name)
    assert len(text.splitlines()) <= MOST_LINES or name == "python"
    assert not CLAIMS.search(text)
    assert "the authority having jurisdiction" in text.replace("\n", " ") or name == "json"
    assert max(map(len, text.splitlines())) <= 140
    for link in re.findall(r"\]\(([^)#]+)", text):
        assert (GUIDE / link).exists(), link
