"""Same input, same bytes of the whole output: whatever the hash seed, the clock's zone, the locale, the place or the install."""

import csv
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
ROWS = (
    ("101A", "101", "LIBRARY", "LEVEL 1", ""),
    ("102", "102", "MEN", "LEVEL 1", "AUTO OPERATOR"),
    ("103", "103", "CAFÉ", "LEVEL 1", ""),
    ("S1", "S1", "STAIR A", "LEVEL 2", ""),
    ("201", "201", "ELEC/DATA RM", "LEVEL 2", "HOLD"),
    ("202", "202", "STOR.", "LEVEL 2", ""),
    ("203", "", "CONFERENCE", "LEVEL 2", "SEE NOTE 4"),
)
HEADER = ("DOOR NO", "ROOM NO", "ROOM NAME", "LEVEL", "REMARKS")
# Python's own settings that make a program lean on its surroundings; "0" takes the help of PEP 538 and PEP 540 away.
BARE = {"PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}
SURROUNDINGS = {
    "hash seed 1": {"PYTHONHASHSEED": "1"},
    "hash seed 2": {"PYTHONHASHSEED": "2"},
    "Kathmandu": {"TZ": "Asia/Kathmandu", "LC_ALL": "C", **BARE},
    "Newfoundland": {"TZ": "America/St_Johns", "LC_ALL": "C.UTF-8", "LANG": "tr_TR.UTF-8"},
    "optimized": {"PYTHONOPTIMIZE": "2"},
}


def save(folder: Path, rows: tuple[tuple[str, ...], ...] = ROWS) -> None:
    with (folder / "doors.csv").open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([HEADER, *rows])
    shutil.copy(ROOT / "fixtures" / "schedules" / "annex-rooms.xlsx", folder)


def build(folder: Path, **environment: str) -> dict[str, bytes]:
    """Every file of the output, by path."""
    command = [sys.executable, "-m", "schedule2sign", "build", "doors.csv", "annex-rooms.xlsx", "-o", "out", "--quiet"]
    env = {**os.environ, "PYTHONHASHSEED": "0", "TZ": "UTC", **environment}
    done = subprocess.run(command, cwd=folder, env=env, capture_output=True, timeout=120, check=False)
    assert done.returncode in (0, 1), done.stderr.decode()
    out = folder / "out"
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in out.rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def usual(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    folder = tmp_path_factory.mktemp("usual")
    save(folder)
    files = build(folder)
    assert {path.rpartition(".")[2] for path in files} >= {"dxf", "svg", "csv", "xlsx", "html", "json", "pdf", "txt"}
    return files


def differing(one: dict[str, bytes], other: dict[str, bytes]) -> list[str]:
    return sorted(path for path in {*one, *other} if one.get(path) != other.get(path))


@pytest.mark.parametrize("case", SURROUNDINGS)
def test_the_surroundings_change_no_byte(tmp_path: Path, usual: dict[str, bytes], case: str) -> None:
    save(tmp_path)
    os.utime(tmp_path / "doors.csv", (1, 1))
    assert not differing(usual, build(tmp_path, **SURROUNDINGS[case]))


def test_the_wheel_writes_the_same_bytes_as_the_checkout(tmp_path: Path, usual: dict[str, bytes]) -> None:
    pytest.importorskip("build")
    pytest.importorskip("hatchling")
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(tmp_path), str(ROOT)]
    made = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    assert made.returncode == 0, made.stderr
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "installed")
    place = {"PYTHONPATH": str(tmp_path / "installed")}
    found = subprocess.run(
        [sys.executable, "-c", "import schedule2sign; print(schedule2sign.__file__)"],
        cwd=tmp_path,
        env={**os.environ, **place},
        capture_output=True,
        text=True,
        check=True,
    )
    assert found.stdout.startswith(str(tmp_path / "installed"))
    save(tmp_path)
    assert not differing(usual, build(tmp_path, **place))


def test_the_order_of_rows_changes_no_sign(tmp_path: Path, usual: dict[str, bytes]) -> None:
    # Promised of what is cut for a sign; lists follow the order of the schedule.
    save(tmp_path, ROWS[::-1])
    turned = build(tmp_path)
    signs = {path: data for path, data in usual.items() if path.startswith("signs/")}
    assert len(signs) >= 8
    assert not differing(signs, {path: data for path, data in turned.items() if path.startswith("signs/")})
