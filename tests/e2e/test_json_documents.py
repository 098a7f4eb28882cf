"""Every --json document and the manifest against its JSON Schema, judged by the jsonschema library (draft 2020-12)."""

import contextlib
import copy
import io
import json
import os
import re
import shutil
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import Any

import jsonschema
import openpyxl
import pytest

from schedule2sign import api
from schedule2sign.cli.main import main
from schedule2sign.model.braille import TokenKind
from schedule2sign.model.flag import Severity
from schedule2sign.model.job import Status
from schedule2sign.model.revision import ChangeKind, Stage
from schedule2sign.model.rule import Basis, Outcome, WaiverState
from schedule2sign.model.schedule import Field, RowKind, TableShape
from schedule2sign.model.settings import Finality
from schedule2sign.model.sign import Role, RowOutcome, Side
from schedule2sign.resources import demo_folder
from schedule2sign.rules.coverage import Needs

PAGE = Path(api.__file__).parent / "guide" / "json.md"
# Document -> the command that prints it, and its exit code on the job below. {row} and {held} are rows of the schedule.
COMMANDS: dict[str, tuple[tuple[str, ...], int]] = {
    "run": (("build", "doors.xlsx", "--job", "job.toml", "-o", "out", "--json"), 1),
    "read": (("read", "doors.xlsx", "--json"), 1),
    "trace": (("read", "doors.xlsx", "--job", "job.toml", "--trace", "{held}", "--json"), 1),
    "compare": (("compare", "out", "later.xlsx", "--job", "job.toml", "--made", "made.csv", "--json"), 1),
    "verify": (("verify", "out", "--json"), 0),
    "braille": (("braille", "IT CLOSET", "LAUNDARY", "2ND FLOOR", "--json"), 1),
    "braille-codes": (("braille", "--codes", "--json"), 0),
    "braille-sizes": (("braille", "--sizes", "--json"), 0),
    "standards": (("standards", "--json"), 0),
    "rules": (("rules", "--standard", "us-california", "--json"), 0),
    "rules-coverage": (("rules", "--coverage", "--json"), 0),
    "explain": (("explain", "braille/dot-pitch", "--json"), 0),
    "templates": (("templates", "--json"), 0),
    "font": (("font", "Inter-Regular.otf", "--json"), 0),
    "processes": (("processes", "--json"), 0),
    "process": (("processes", "applique-rotary", "--json"), 0),
}


def run(arguments: tuple[str, ...]) -> tuple[int, str]:
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        code = main(arguments)
    return code, out.getvalue()


@pytest.fixture(scope="module")
def documents(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """Every document of a job made of a part of the demo: released, held, unsigned, struck and hidden rows."""
    folder = tmp_path_factory.mktemp("documents")
    book = openpyxl.load_workbook(demo_folder() / "alder-point-doors.xlsx")
    sheet = book.active
    sheet.delete_rows(125, 20)
    sheet.delete_rows(74, 50)
    sheet.delete_rows(17, 16)
    book.save(folder / "doors.xlsx")
    rows = {sheet.cell(row, 4).value: row for row in range(1, sheet.max_row + 1)}
    sheet.cell(rows["RECEPTION"], 4).value = "WELCOME DESK"
    sheet.delete_rows(rows["Community Room"])
    book.save(folder / "later.xlsx")
    shutil.copy(demo_folder() / "alder-point.toml", folder / "job.toml")
    (folder / "made.csv").write_text("sign id,stage\nAP26-01-102-C,installed\n", encoding="utf-8")
    before, found = Path.cwd(), {}
    os.chdir(folder)
    try:
        for name, (words, expected) in COMMANDS.items():
            code, text = run(tuple(word.format(held=rows["PT ROOM"]) for word in words))
            assert code == expected, (name, code)
            found[name] = json.loads(text)
    finally:
        os.chdir(before)
    found["manifest"] = json.loads((folder / "out" / "manifest.json").read_text(encoding="utf-8"))
    return found


@pytest.fixture(scope="module")
def later(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """The documents of a small job built since an earlier issue."""
    folder = tmp_path_factory.mktemp("later")
    rooms = "DOOR,ROOM NO,ROOM NAME,LEVEL\n101,101,OFFICE,1\n102,102,STUDIO,1\n103,103,KITCHEN,1\n"
    (folder / "doors.csv").write_text(rooms, encoding="utf-8")
    (folder / "job.toml").write_text('[job]\nnumbers = "final"\n', encoding="utf-8")
    common = ("build", str(folder / "doors.csv"), "--job", str(folder / "job.toml"))
    assert run((*common, "-o", str(folder / "old"), "--quiet"))[0] == 0
    (folder / "doors.csv").write_text(rooms.replace("KITCHEN", "PANTRY"), encoding="utf-8")
    code, text = run((*common, "-o", str(folder / "new"), "--since", str(folder / "old"), "--json"))
    assert code == 0
    read = {name: json.loads((folder / "new" / f"{name}.json").read_text()) for name in ("changes", "manifest")}
    return {"run": json.loads(text), "manifest": read["manifest"], "compare": read["changes"]}


def test_documents_of_a_later_issue(later: dict[str, Any]) -> None:
    assert later["run"]["since"]["totals"] == {"text": 1, "unchanged": 2}
    assert [sign["id"] for sign in later["compare"]["signs"]] == ["JOB-01-103-C"]
    for name, document in later.items():
        assert complaints(name, document) == [], name


def complaints(name: str, document: object) -> list[str]:
    validator = jsonschema.Draft202012Validator(
        api.load_schema(name), format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    )
    return [f"{error.json_path}: {error.message}" for error in validator.iter_errors(document)]


def test_every_schema_is_a_schema_and_has_a_document() -> None:
    assert set(api.schema_names()) == {*COMMANDS, "manifest"}
    for name in api.schema_names():
        jsonschema.Draft202012Validator.check_schema(api.load_schema(name))


@pytest.mark.parametrize("name", [*COMMANDS, "manifest"])
def test_what_is_printed_is_what_the_schema_says(documents: dict[str, Any], name: str) -> None:
    assert complaints(name, documents[name]) == []


def test_the_job_has_what_the_schemas_speak_of(documents: dict[str, Any]) -> None:
    """An empty list agrees with any schema; the job must fill them."""
    manifest, compared, traced = documents["manifest"], documents["compare"], documents["trace"]
    assert {sign["status"] for sign in manifest["signs"]} == {"released", "held"}
    assert {row["outcome"] for row in manifest["rows_without_a_sign"]} >= {"unsigned"}
    assert manifest["bench"]["sheets"]
    assert manifest["bench"]["dome"]
    assert any(sign["pictogram"] for sign in manifest["signs"])
    assert any(sign["as_cut"] and sign["as_cut"]["others_mm"].get("pictogram") for sign in manifest["signs"])
    assert {sign["change"] for sign in compared["signs"]} >= {"text", "deleted"}
    assert {sign["stage"] for sign in compared["signs"]} >= {"installed"}
    assert traced["signs"]
    assert traced["decision"]["outcome"] == "held"
    assert documents["braille"]["lines"][1]["flags"]
    assert {flag["severity"] for flag in documents["run"]["flags"]} == {"HOLD", "ASK", "NOTE"}


def test_documents_of_a_damaged_folder_and_of_a_waiver(tmp_path: Path) -> None:
    schedule, job_file, waivers = tmp_path / "doors.csv", tmp_path / "job.toml", tmp_path / "waivers.toml"
    schedule.write_text("DOOR,ROOM NO,ROOM NAME,LEVEL\n101,101,STUDIO,1\n102,102,KITCHEN,1\n", encoding="utf-8")
    job_file.write_text('[checks]\nwaivers = "waivers.toml"\ndate = 2027-02-01\n', encoding="utf-8")
    waivers.write_text(
        '[[waiver]]\nrule = "plate/edge"\ncode = "too-small"\nsign = "JOB-01-101-C"\nreason = "old plates"\n'
        'name = "A. Brandt"\ndate = 2027-01-15\n',
        encoding="utf-8",
    )
    job = api.build_job([schedule], api.load_settings(job_file))
    manifest = json.loads(json.dumps(api.describe_job(job)))
    assert [waiver["state"] for waiver in manifest["waivers"]] == ["unused"]
    assert complaints("manifest", manifest) == []
    api.write_job(job, tmp_path / "out")
    with (tmp_path / "out" / "signs" / "JOB-01-102-C.svg").open("a", encoding="utf-8") as file:
        file.write("<!-- -->")
    code, text = run(("verify", str(tmp_path / "out"), "--json"))
    assert code == 1
    assert json.loads(text)["differences"]
    assert complaints("verify", json.loads(text)) == []


@pytest.mark.parametrize("name", [*COMMANDS, "manifest"])
def test_a_damaged_document_is_refused(documents: dict[str, Any], name: str) -> None:
    whole = documents[name]
    for damage in (
        lambda document: document.update(schema=2),
        lambda document: document.update(of_another_program=True),
        lambda document: document.pop(next(key for key in document if key != "schema")),
        lambda document: document.update({next(key for key in reversed(document) if key != "schema"): 7}),
    ):
        assert complaints(name, damaged(whole, damage)), name


def damaged(document: dict[str, Any], damage: Callable[[dict[str, Any]], object]) -> dict[str, Any]:
    worse = copy.deepcopy(document)
    damage(worse)
    return worse


def test_a_manifest_that_contradicts_itself_is_refused(documents: dict[str, Any]) -> None:
    manifest = documents["manifest"]
    held = next(index for index, sign in enumerate(manifest["signs"]) if sign["status"] == "held")
    released = next(index for index, sign in enumerate(manifest["signs"]) if sign["status"] == "released")
    for index, damage in (
        (held, lambda sign: sign.update(files=["signs/x.dxf"])),
        (held, lambda sign: sign.update(as_cut=manifest["signs"][released]["as_cut"])),
        (released, lambda sign: sign.update(files=[])),
        (released, lambda sign: sign["verdicts"].update(passed=[])),
        (released, lambda sign: sign["braille"][0].update(cells="abc")),
        (released, lambda sign: sign.update(side="Q")),
        (released, lambda sign: sign["source"].update(column="D")),
    ):
        worse = damaged(manifest, lambda document, at=index, harm=damage: harm(document["signs"][at]))
        assert complaints("manifest", worse), (index, damage)


def test_a_flag_is_the_same_in_every_document() -> None:
    described = [api.load_schema(name).get("$defs", {}).get("flag") for name in ("run", "read", "trace", "manifest")]
    assert described[0]
    assert all(flag == described[0] for flag in described)


KINDS: tuple[type[StrEnum], ...] = (
    Basis, Field, Finality, Outcome, Role, RowKind, RowOutcome, Severity, Side, Stage, Status, TableShape, TokenKind,
    WaiverState,
)  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_the_words_of_the_schemas_are_the_words_of_the_program(kind: type[StrEnum]) -> None:
    assert {str(value) for value in kind} in lists_of_words()


def test_the_words_that_are_used_in_part() -> None:
    words = lists_of_words()
    assert {str(kind) for kind in ChangeKind if kind is not ChangeKind.UNCHANGED} in words
    assert {"", *(str(need) for need in Needs)} in words
    assert {str(severity) for severity in Severity if severity is not Severity.STOP} in words
    assert {str(outcome) for outcome in RowOutcome if outcome is not RowOutcome.SIGNED} in words


def lists_of_words() -> list[set[str]]:
    found: list[set[str]] = []

    def walk(node: object) -> None:
        if isinstance(node, dict):
            if isinstance(node.get("enum"), list):
                found.append(set(node["enum"]))
            for value in node.values():
                walk(value)
        elif isinstance(node, list):
            for value in node:
                walk(value)

    for name in api.schema_names():
        walk(api.load_schema(name))
    return found


def test_the_page_names_every_document_and_its_command() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert set(re.findall(r"`schemas/([a-z-]+)\.schema\.json`", page)) == set(api.schema_names())
    for words, _ in COMMANDS.values():
        assert f"schedule2sign {words[0]}" in page
