"""A job shared by several processes: the same bytes for any number of them, and a worker that dies leaves nothing."""

import csv
import hashlib
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pytest

from schedule2sign import desk, output
from schedule2sign.cli.main import main
from schedule2sign.model.settings import Settings
from schedule2sign.pipeline import build_job, write_job
from schedule2sign.signmaker import SignMaker
from schedule2sign.workers import scatter
from schedule2sign.writers import checks

# Names of different lengths: some take the smaller letters of the next try, so more than one size is set.
FIRST = ("EXAM", "CONSULT", "RADIOLOGY", "OUTPATIENT REGISTRATION", "KITCHEN", "RECORDS")
SECOND = ("ROOM", "OFFICE", "WORKROOM", "STORAGE")


@pytest.fixture(scope="module")
def schedule(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Doors with every name once."""
    path = tmp_path_factory.mktemp("workers") / "doors.csv"
    names = [" ".join(pair) for pair in product(FIRST, SECOND)]
    with path.open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file)
        rows.writerow(("DOOR", "ROOM NO", "ROOM NAME", "LEVEL"))
        rows.writerows((f"{101 + at}A", str(101 + at), names[at], "LEVEL 1") for at in range(len(names)))
    return path


def folder_sums(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.fixture(autouse=True)
def _few_are_many(monkeypatch: pytest.MonkeyPatch) -> None:
    """Small jobs are left to one process; here a small one stands for a large one."""
    monkeypatch.setattr(desk, "MANY_SIGNS", 10)
    monkeypatch.setattr(output, "MANY_SIGNS", 10)
    monkeypatch.setattr(desk, "_GROUP", 5)


@pytest.fixture(scope="module")
def alone(schedule: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    out = tmp_path_factory.mktemp("alone") / "out"
    write_job(build_job([schedule], Settings()), out)
    return folder_sums(out)


@pytest.mark.parametrize("workers", [2, 4])
def test_any_number_of_workers_gives_the_same_bytes(
    schedule: Path, alone: dict[str, str], workers: int, tmp_path: Path
) -> None:
    job = build_job([schedule], Settings(), workers=workers)
    write_job(job, tmp_path / "out", workers=workers)
    assert len(job.signs) == 24
    assert folder_sums(tmp_path / "out") == alone


def test_signs_that_are_put_away_are_written_as_those_in_hand(
    schedule: Path, alone: dict[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # A large job keeps few of its signs open, with one process too.
    monkeypatch.setattr(desk, "MOST_IN_HAND", 0)
    monkeypatch.setattr("schedule2sign.pipeline.MOST_IN_HAND", 0)
    monkeypatch.setattr("schedule2sign.shelf._OPEN", 1)
    job = build_job([schedule], Settings())
    assert {type(sign.work.holder).__name__ for sign in job.signs} <= {"Shelved", "NoneType"}
    write_job(job, tmp_path / "out")
    assert folder_sums(tmp_path / "out") == alone


def test_a_sign_does_not_depend_on_the_signs_made_before_it(schedule: Path, tmp_path: Path) -> None:
    # Otherwise the workers' shares would show, and one row more would change the plates of other rows.
    header, *rows = schedule.read_text(encoding="utf-8").splitlines()
    turned = tmp_path / schedule.name
    turned.write_text("\n".join([header, *reversed(rows[:16])]), encoding="utf-8")
    forward = tmp_path / "forward" / schedule.name
    forward.parent.mkdir()
    forward.write_text("\n".join([header, *rows[:16]]), encoding="utf-8")
    designs = [
        {sign.request.sign_id: sign.design for sign in build_job([path], Settings()).signs}
        for path in (forward, turned)
    ]
    assert len(designs[0]) == 16
    assert designs[0] == designs[1]


def test_what_comes_from_other_processes_shares_its_letters(schedule: Path) -> None:
    signs = build_job([schedule], Settings(), workers=2).signs
    layouts = [sign.layout for sign in signs if type(sign.work.holder).__name__ == "Shelved"]
    assert len(layouts) == len(signs)
    assert [sign.design for sign in signs] == [sign.design for sign in build_job([schedule], Settings()).signs]
    outlines = [glyph.outline for layout in layouts for line in layout.lines for glyph in line.glyphs]
    kinds = {(outline.char, outline.height_mm) for outline in outlines}
    assert len({id(outline) for outline in outlines}) == len(kinds) < len(outlines)


@pytest.mark.parametrize("at_work_on", ["signs", "files"])
def test_a_worker_that_dies_is_our_bug_and_writes_nothing(
    schedule: Path, at_work_on: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    parent = os.getpid()

    def die(*_: object) -> Iterator[object]:
        if os.getpid() != parent:
            os.kill(os.getpid(), signal.SIGKILL)
        raise RuntimeError("the work was not given to a worker")

    owner, name = (SignMaker, "work") if at_work_on == "signs" else (checks, "_pieces")
    monkeypatch.setattr(owner, name, die)
    out = tmp_path / "out"
    code = main(["build", str(schedule), "-o", str(out), "--workers", "2", "--quiet"])
    message = capsys.readouterr().err
    assert code == 3
    assert "BrokenProcessPool" in message
    assert "Nothing was written" in message
    assert list(tmp_path.iterdir()) == []


def test_what_a_worker_raises_is_raised_in_the_parent() -> None:
    def halve(number: int) -> int:
        if number == 7:
            raise ValueError(f"{number} is odd")
        return number // 2

    with pytest.raises(ValueError, match="7 is odd"):
        list(scatter(halve, 20, 2))
    assert sorted(scatter(lambda number: number * number, 20, 3)) == [(at, at * at) for at in range(20)]


def test_no_worker_outlives_a_killed_parent(tmp_path: Path) -> None:
    # An orphan would hold the lock of the output folder.
    program = (
        "import os, time\n"
        "from schedule2sign.workers import scatter\n"
        "def work(at):\n"
        "    os.write(1, b'%d\\n' % os.getpid())\n"  # in one piece, whoever else writes
        "    time.sleep(60)\n"
        "list(scatter(work, 4, 2))\n"
    )
    with subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True) as process:
        workers = [int(process.stdout.readline()) for _ in range(2)]
        process.kill()
        process.wait()
        # The pipe ends when the last process that could write to it has ended.
        assert process.stdout.read() == ""
    assert len(set(workers)) == 2


@pytest.mark.parametrize("given", ["0", "-1", "two", "1.5"])
def test_a_number_of_workers_that_is_none_is_refused(given: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["check", "doors.csv", f"--workers={given}"])
    assert stopped.value.code == 2
    assert "write 1 or more" in capsys.readouterr().err
