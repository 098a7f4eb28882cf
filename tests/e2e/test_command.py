"""The installed command as a user runs it: exit codes, messages, what lands on the disk."""

import csv
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

COMMAND = [sys.executable, "-P", "-m", "schedule2sign"]
GOOD = [["DOOR", "ROOM NO", "ROOM NAME"], ["101", "101", "CLASSROOM"], ["102", "102", "STORAGE"]]
DOUBTFUL = [*GOOD, ["103", "103", "XQZV"]]


def run(*arguments: object, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, *map(str, arguments)],
        cwd=cwd,
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        timeout=300,
    )


def write_csv(path: Path, rows: list[list[str]]) -> Path:
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(rows)
    return path


def tree(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


@pytest.fixture(scope="module")
def good_build(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, subprocess.CompletedProcess[str]]:
    folder = tmp_path_factory.mktemp("good")
    schedule = write_csv(folder / "doors.csv", GOOD)
    return folder / "out", run("build", schedule, "-o", "out", cwd=folder)


def test_all_released_is_exit_0(good_build: tuple[Path, subprocess.CompletedProcess[str]]) -> None:
    out, result = good_build
    assert result.returncode == 0, result.stderr + result.stdout
    assert "2 listed = 2 released + 0 held" in result.stdout
    assert result.stderr == ""
    names = set(tree(out))
    assert {"manifest.json", "flagged.csv", "flagged.xlsx", "sign-list.xlsx", "00-READ-ME.txt"} <= names
    assert len([name for name in names if name.startswith("signs/") and name.endswith(".dxf")]) == 2
    assert len([name for name in names if name.endswith(".svg")]) == 2


def test_some_held_is_exit_1_and_a_held_sign_has_no_file(tmp_path: Path) -> None:
    result = run("build", write_csv(tmp_path / "doors.csv", DOUBTFUL), "-o", "out", cwd=tmp_path)
    assert result.returncode == 1, result.stderr
    manifest = json.loads((tmp_path / "out" / "manifest.json").read_text(encoding="utf-8"))
    held = [sign for sign in manifest["signs"] if sign["status"] == "held"]
    assert [sign["room_number"] for sign in held] == ["103"]
    assert held[0]["files"] == []
    assert not list((tmp_path / "out" / "signs").glob(f"{held[0]['id']}*"))
    assert any(flag["severity"] == "HOLD" for flag in held[0]["flags"])


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (["build", "none.xlsx", "-o", "out"], "none.xlsx"),
        (["build", "doors.csv", "-o", "out", "--standard", "xx-none"], "us-ada-2010"),
        (["build", "doors.csv", "-o", "out", "--column", "room=X"], "FIELD=HEADER"),
        (["build", "doors.csv", "-o", "out", "--job", "none.toml"], "none.toml"),
        (["build", "doors.csv", "-o", "out", "--sheet", "NOPE"], "NOPE"),
        (["build", "picture.xlsx", "-o", "out"], "picture.xlsx"),
    ],
)
def test_cannot_start_is_exit_2_with_one_message_and_nothing_written(
    tmp_path: Path, arguments: list[str], named: str
) -> None:
    write_csv(tmp_path / "doors.csv", GOOD)
    (tmp_path / "picture.xlsx").write_bytes(b"\x89PNG\r\n\x1a\n not a workbook")
    result = run(*arguments, cwd=tmp_path)
    assert result.returncode == 2
    assert named in result.stderr
    assert "Traceback" not in result.stderr
    assert not (tmp_path / "out").exists()


def test_a_bug_of_ours_is_exit_3_with_a_trace_file(tmp_path: Path) -> None:
    write_csv(tmp_path / "doors.csv", GOOD)
    # A row lost between reading and deciding: the account must catch it.
    program = (
        "import schedule2sign.pipeline as pipeline\n"
        "from dataclasses import replace\n"
        "decide = pipeline.decide_signs\n"
        "def lose(rows, *rest):\n"
        "    made = decide(rows, *rest)\n"
        "    return replace(made, decisions=made.decisions[1:])\n"
        "pipeline.decide_signs = lose\n"
        "from schedule2sign.cli.main import main\n"
        "raise SystemExit(main(['build', 'doors.csv', '-o', 'out']))\n"
    )
    result = subprocess.run(
        [sys.executable, "-P", "-c", program], cwd=tmp_path, capture_output=True, text=True, timeout=120
    )
    assert result.returncode == 3, result.stderr
    assert "does not balance" in result.stderr
    assert "Traceback" not in result.stderr
    assert not (tmp_path / "out").exists()


def test_check_writes_nothing(tmp_path: Path) -> None:
    schedule = write_csv(tmp_path / "doors.csv", DOUBTFUL)
    before = tree(tmp_path)
    result = run("check", schedule, cwd=tmp_path)
    assert result.returncode == 1
    assert tree(tmp_path) == before
    assert "XQZV" in result.stdout


def test_json_is_one_document(tmp_path: Path) -> None:
    result = run("check", write_csv(tmp_path / "doors.csv", DOUBTFUL), "--json", cwd=tmp_path)
    document = json.loads(result.stdout)
    assert document["schema"] == 1
    assert document["accounting"]["data_rows"] == 3
    assert document["output"] is None
    assert {sign["status"] for sign in document["signs"]} == {"released", "held"}
    assert {"code", "severity", "message", "source"} <= set(document["flags"][0])


def test_quiet_says_nothing(tmp_path: Path) -> None:
    result = run("check", write_csv(tmp_path / "doors.csv", GOOD), "--quiet", cwd=tmp_path)
    assert (result.returncode, result.stdout, result.stderr) == (0, "", "")


def test_help_names_commands_and_exit_codes(tmp_path: Path) -> None:
    result = run("--help", cwd=tmp_path)
    assert result.returncode == 0
    for word in ("demo", "build", "check", "0 all is well", "authority having jurisdiction"):
        assert word in result.stdout


def test_same_input_same_bytes_on_any_machine(
    tmp_path: Path, good_build: tuple[Path, subprocess.CompletedProcess[str]]
) -> None:
    out, _ = good_build
    schedule = write_csv(tmp_path / "doors.csv", GOOD)
    result = run(
        "build", schedule, "-o", "elsewhere", cwd=tmp_path, PYTHONHASHSEED="7", TZ="Pacific/Auckland", LC_ALL="C"
    )
    assert result.returncode == 0
    assert tree(tmp_path / "elsewhere") == tree(out)


def test_a_failed_run_leaves_the_old_folder(tmp_path: Path) -> None:
    schedule = write_csv(tmp_path / "doors.csv", GOOD)
    assert run("build", schedule, "-o", "out", cwd=tmp_path).returncode == 0
    before = tree(tmp_path / "out")
    schedule.write_text("", encoding="utf-8")
    assert run("build", schedule, "-o", "out", cwd=tmp_path).returncode == 2
    assert tree(tmp_path / "out") == before


def test_a_folder_that_is_not_ours_is_refused(tmp_path: Path) -> None:
    schedule = write_csv(tmp_path / "doors.csv", GOOD)
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "keep.txt").write_text("mine", encoding="utf-8")
    result = run("build", schedule, "-o", "photos", cwd=tmp_path)
    assert result.returncode == 2
    assert "photos" in result.stderr
    assert tree(tmp_path / "photos") == {"keep.txt": b"mine"}
