"""The braille command from the command line: text, table, JSON, job file, exit codes."""

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

from schedule2sign.cli.main import main


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(["braille", *arguments])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_a_line_is_explained(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "IT closet")
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert lines[0].split(maxsplit=1) == ["raised", "IT CLOSET"]
    # UEB 10.1.3 prints IT as ,,it: said by letters, so not contracted.
    assert lines[2].split(maxsplit=2) == ["ASCII", "braille", ",,IT CLOSET"]
    assert lines[3].split(maxsplit=1) == ["back-translation", "IT closet"]
    assert "6 6 24 2345" in out
    assert "acronym said by letters" in out
    assert "no capital (ADA 703.3.1)" in out


def test_contractions_are_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert "  contractions  st \u280c" in run(capsys, "RESTROOM")[1].splitlines()


def test_a_held_line_ends_with_1(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "STAFF RESTROOM", "ZORBLAX")
    assert code == 1
    assert "HOLD braille/unknown-word" in out


def test_a_job_files_lexicon_and_code_are_used(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job.toml"
    job.write_text('[lexicon]\nnames = ["Zorblax"]\n[standard]\nbraille_code = "ueb-uncontracted"\n')
    code, out, _ = run(capsys, "ZORBLAX RESTROOM", "--job", str(job))
    assert code == 0
    assert ",ZORBLAX RESTROOM" in out  # uncontracted: the st of restroom is spelled
    assert ",ZORBLAX RE/ROOM" in run(capsys, "ZORBLAX RESTROOM", "--job", str(job), "--code", "ueb-contracted")[1]


def test_a_standards_own_code_is_used(capsys: pytest.CaptureFixture[str]) -> None:
    # NCC 2022 Specification 15 asks for uncontracted braille (read in a secondary source).
    assert "RESTROOM" in run(capsys, "RESTROOM", "--standard", "au-ncc")[1].splitlines()[2]
    assert "RE/ROOM" in run(capsys, "RESTROOM")[1].splitlines()[2]


@pytest.mark.parametrize(("option", "delimiter"), [("--tsv", "\t"), ("--csv", ",")])
def test_a_word_list_gives_a_table(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], option: str, delimiter: str
) -> None:
    listed = tmp_path / "words.txt"
    listed.write_bytes("\ufeffmen\r\n\r\n=zorblax\r\n".encode())
    code, out, _ = run(capsys, "--list", str(listed), option)
    rows = list(csv.DictReader(io.StringIO(out), delimiter=delimiter))
    assert code == 1
    assert [(row["line"], row["text"], row["held"]) for row in rows] == [("1", "MEN", ""), ("3", "'=ZORBLAX", "held")]
    assert (rows[0]["ascii braille"], rows[0]["dots"], rows[0]["back-translation"]) == ("M5", "134 26", "men")


def test_json_is_one_document(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "--json", "DR. VALE", "101A")
    document = json.loads(out)
    assert (code, document["schema"], len(document["lines"])) == (0, 1, 2)
    assert document["engine"]["version"]
    assert all(len(table["sha256"]) == 64 for table in document["engine"]["tables"])
    title = document["lines"][0]["words"][0]["tokens"][0]
    assert (title["typed"], title["class"]) == ("Dr", "proper name")
    assert title["capitals"] == "capital kept: proper noun or name (ADA 703.3.1)"
    assert document["lines"][1]["words"][0]["dots"] == "3456 1 245 1 6 1"


def test_codes_are_listed_with_their_notes(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "--codes")
    assert code == 0
    assert {"ueb-contracted", "ueb-uncontracted", "french", "german", "spanish"} <= set(out.split())
    assert "NOTE: The pre-2016 US code" in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "Nothing to translate"),
        (("MEN", "--code", "morse"), "no braille code 'morse'"),
        (("--list", "/no/such/list.txt"), "cannot be read"),
    ],
)
def test_bad_input_ends_with_2_and_one_message(
    arguments: tuple[str, ...], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = run(capsys, *arguments)
    assert (code, out) == (2, "")
    assert said in err


def test_a_list_that_is_no_text_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "list.txt").write_bytes(b"MEN\xff\xfe")
    assert "not UTF-8 text (byte 3)" in run(capsys, "--list", str(tmp_path / "list.txt"))[2]


def test_a_list_comes_through_a_pipe() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "schedule2sign", "braille", "--list", "-"],
        input="WOMEN\n",
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONUTF8": "1"},
    )
    assert done.stdout.splitlines()[1].split("\t")[4] == "WOM5"
