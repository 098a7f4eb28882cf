"""Killed, crowded out or robbed of what it needs: the old output stays whole or the new one is, and the run says so."""

import csv
import errno
import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from schedule2sign.errors import InputError
from schedule2sign.model.job import Status
from schedule2sign.model.outfile import KeptFile, OutFile
from schedule2sign.model.rule import Outcome
from schedule2sign.model.settings import Finality, Settings
from schedule2sign.pipeline import build_job, write_job
from schedule2sign.rules import engine
from schedule2sign.rules.registry import RULES
from schedule2sign.writers import commit as commit_module
from schedule2sign.writers.commit import CHECKSUMS, commit

COMMAND = [sys.executable, "-m", "schedule2sign"]
MANIFEST = OutFile("manifest.json", json.dumps({"tool": {"name": "schedule2sign", "version": "0"}}).encode())


def save_rooms(folder: Path, *names: str) -> Path:
    path = folder / "rooms.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(
            [("ROOM NO", "ROOM NAME"), *((str(101 + at), name) for at, name in enumerate(names))]
        )
    return path


def run(*arguments: str | Path, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, *map(str, arguments)],
        cwd=cwd,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        env={**os.environ, **environment},
    )


def tree(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def is_whole(out: Path) -> bool:
    """Every file that the folder's own list names is there, as listed, and no other is."""
    listed = subprocess.run(["sha256sum", "-c", "--strict", "--quiet", CHECKSUMS], cwd=out, capture_output=True)
    names = {line[66:] for line in (out / CHECKSUMS).read_text(encoding="utf-8").splitlines()}
    return listed.returncode == 0 and {*names, CHECKSUMS} == set(tree(out))


# ------------------------------------------------------------------ killed


def output(text: str) -> list[OutFile]:
    return [MANIFEST, *(OutFile(name, text.encode()) for name in ("signs/a.dxf", "signs/b.dxf", f"{text}.csv"))]


def killed_at(step: int, act: Callable[[], object]) -> bool:
    """Act in a process that is killed before its n-th use of the disk; False where it ended before that."""
    child = os.fork()
    if not child:
        counted = 0

        def count(event: str, _arguments: object) -> None:
            nonlocal counted
            if event == "open" or event.startswith(("os.", "shutil.", "fcntl.", "ctypes.")):
                counted += 1
                if counted == step:
                    os.kill(os.getpid(), signal.SIGKILL)

        sys.addaudithook(count)  # PEP 578: each event comes before its deed
        code = 1
        try:
            act()
            code = 0
        finally:
            os._exit(code)
    _, status = os.waitpid(child, 0)
    ended = os.waitstatus_to_exitcode(status)
    assert ended in (0, -signal.SIGKILL)
    return ended != 0


@pytest.mark.parametrize("takes_over", [True, False], ids=["with a file of the old folder", "with new files only"])
@pytest.mark.parametrize("swaps", [True, False], ids=["on a disk that swaps folders", "on a disk that cannot"])
def test_a_run_killed_before_any_use_of_the_disk_leaves_old_or_new(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, swaps: bool, takes_over: bool
) -> None:
    if not swaps:
        monkeypatch.setattr(commit_module, "exchange", lambda _one, _other: False)
    found: set[str] = set()
    step = 0
    while True:
        step += 1
        folder = tmp_path / str(step)
        out = folder / "out"
        commit(output("old"), out)
        kept = [KeptFile("kept.dxf", out / "signs" / "a.dxf", hashlib.sha256(b"old").hexdigest())] if takes_over else []
        if not killed_at(step, lambda out=out, kept=kept: commit([*output("new"), *kept], out)):
            break
        aside = folder / ".out.before"
        state = "old" if not out.exists() and aside.exists() else "new" if (out / "new.csv").exists() else "old"
        assert swaps <= out.exists()  # with the swap there is no moment without the folder
        assert is_whole(out if out.exists() else aside)
        found.add(state)
        left = aside.exists() or any((folder / ".out.staging").glob("*"))
        note = commit(output("next"), out)
        assert is_whole(out)
        assert (out / "next.csv").exists()
        assert {path.name for path in folder.iterdir()} == {"out"}
        assert note.startswith("An earlier run into") if left else not note
        shutil.rmtree(folder)
    assert step > 30
    assert found == {"old", "new"}
    assert (folder / "out" / "new.csv").exists()


def test_a_build_killed_at_any_time_leaves_old_or_new_and_the_next_says_so(tmp_path: Path) -> None:
    save_rooms(tmp_path, "LIBRARY", "CLASSROOM")
    out = tmp_path / "out"
    assert run("build", "rooms.csv", "-o", "out", "--quiet", cwd=tmp_path).returncode == 0
    old = tree(out)
    save_rooms(tmp_path, "LIBRARY", "CLASSROOM", "STORAGE")
    staging, killed = tmp_path / ".out.staging", 0
    for files in (0, 1, 6, 15):  # killed when so many files of the new output are on the disk
        with subprocess.Popen([*COMMAND, "build", "rooms.csv", "-o", "out", "--quiet"], cwd=tmp_path) as child:
            while child.poll() is None and not (staging.exists() and sum(1 for _ in staging.rglob("*")) >= files):
                time.sleep(0.001)
            child.kill()
        killed += child.returncode == -signal.SIGKILL
        assert is_whole(out)
        assert tree(out) == old or len(tree(out)) > len(old)
    assert killed >= 2
    ended = run("build", "rooms.csv", "-o", "out", "--quiet", cwd=tmp_path)
    assert ended.returncode == 0
    assert "was killed; what it left unfinished is removed. The folder itself was whole." in ended.stderr
    assert is_whole(out)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out", "rooms.csv"]
    assert not run("build", "rooms.csv", "-o", "out", "--quiet", cwd=tmp_path).stderr


def test_two_builds_into_one_folder_leave_one_whole_output(tmp_path: Path) -> None:
    save_rooms(tmp_path, "LIBRARY", "CLASSROOM")
    command = [*COMMAND, "build", "rooms.csv", "-o", "out", "--quiet"]
    both = [subprocess.Popen(command, cwd=tmp_path, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    said = [child.communicate(timeout=120)[1] for child in both]
    codes = sorted(child.returncode for child in both)
    assert codes in ([0, 0], [0, 2])
    assert codes == [0, 0] or any("Another run is writing" in text for text in said)
    assert is_whole(tmp_path / "out")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out", "rooms.csv"]


def test_many_runs_at_once_never_mix_their_files(tmp_path: Path) -> None:
    out = tmp_path / "out"

    def race(name: str) -> None:
        for turn in range(25):
            try:
                commit(output(f"{name}{turn}"), out)
            except InputError as error:
                if "Another run is writing" not in str(error):
                    raise

    children = []
    for name in "abc":
        child = os.fork()
        if not child:
            code = 1
            try:
                race(name)
                code = 0
            finally:
                os._exit(code)
        children.append(child)
    assert [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children] == [0, 0, 0]
    assert is_whole(out)
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


# ------------------------------------------------------------------ no room, no right, nothing to work with


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 300 kB, where the system lets us make one."""
    disk = tmp_path / "disk"
    disk.mkdir()
    if subprocess.run(["mount", "-t", "tmpfs", "-o", "size=300k", "none", str(disk)], capture_output=True).returncode:
        pytest.skip("a small disk cannot be mounted here")
    yield disk
    subprocess.run(["umount", str(disk)], check=True)


def test_a_full_disk_leaves_the_old_output(tmp_path: Path, small_disk: Path) -> None:
    save_rooms(tmp_path, "LIBRARY")
    commit(output("old"), small_disk / "out")
    old = tree(small_disk)
    ended = run("build", "rooms.csv", "-o", small_disk / "out", "--quiet", cwd=tmp_path)
    assert ended.returncode == 2
    assert "cannot be written: No space left on device" in ended.stderr
    assert ended.stderr.count("\n") == 1
    assert tree(small_disk) == old
    assert is_whole(small_disk / "out")


# How often a commit of four files and their checksums uses each; two files of the old folder are opened to be read.
WRITES = {"mkdir": 7, "open": 7, "write_bytes": 1, "rename": 2}


@pytest.mark.parametrize("name", WRITES)
def test_a_disk_full_at_any_write_leaves_the_old_output(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    out = tmp_path / "out"
    commit(output("old"), out)
    old = tree(tmp_path)
    real = getattr(Path, name)
    monkeypatch.setattr(commit_module, "exchange", lambda _one, _other: False)
    for failing in range(1, 40):
        count = 0

        def refuse(self: Path, *arguments: object, failing: int = failing, **options: object) -> object:
            nonlocal count
            count += 1
            if count == failing:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(self))
            return real(self, *arguments, **options)

        with monkeypatch.context() as patch:
            patch.setattr(Path, name, refuse)
            if failing > WRITES[name]:
                commit(output("new"), out)
                break
            with pytest.raises(InputError, match="No space left on device"):
                commit(output("new"), out)
            assert tree(tmp_path) == old
    assert count == WRITES[name]
    assert is_whole(out)
    assert (out / "new.csv").exists()


@pytest.fixture
def locked(tmp_path: Path) -> Iterator[Path]:
    """A folder nobody may write into, root included where a read-only disk can be mounted."""
    folder = tmp_path / "locked"
    folder.mkdir()
    commit(output("old"), folder / "out")
    if os.geteuid():
        folder.chmod(0o500)
        yield folder
        folder.chmod(0o700)
        return
    command = ["mount", "--bind", "-o", "ro", str(folder), str(folder)]
    if subprocess.run(command, capture_output=True).returncode:
        pytest.skip("a read-only disk cannot be mounted here")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_a_read_only_folder_is_said_and_left(tmp_path: Path, locked: Path) -> None:
    save_rooms(tmp_path, "LIBRARY")
    old = tree(locked)
    ended = run("build", "rooms.csv", "-o", locked / "out", "--quiet", cwd=tmp_path)
    assert ended.returncode == 2
    assert ended.stderr.startswith("schedule2sign: The output folder")
    assert "What stood there is unchanged." in ended.stderr
    assert tree(locked) == old


def test_a_missing_font_is_named_and_the_shipped_ones_listed(tmp_path: Path) -> None:
    save_rooms(tmp_path, "LIBRARY")
    (tmp_path / "job.toml").write_text('[make]\nfont = "Nowhere.otf"\n', encoding="utf-8")
    ended = run("build", "rooms.csv", "--job", "job.toml", "-o", "out", cwd=tmp_path)
    assert ended.returncode == 2
    assert "Nowhere.otf" in ended.stderr
    assert "Shipped: " in ended.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("content", [b"", b"OTTO" + bytes(40), b"\x00\x01\x00\x00" + b"\xff" * 400, b"no font"])
def test_a_broken_font_is_refused(tmp_path: Path, content: bytes) -> None:
    save_rooms(tmp_path, "LIBRARY")
    (tmp_path / "broken.otf").write_bytes(content)
    (tmp_path / "job.toml").write_text('[make]\nfont = "broken.otf"\n', encoding="utf-8")
    ended = run("build", "rooms.csv", "--job", "job.toml", "-o", "out", cwd=tmp_path)
    assert ended.returncode == 2, ended.stderr
    assert "broken.otf" in ended.stderr
    assert not (tmp_path / "out").exists()


MISSING = """
import sys
from pathlib import Path
from schedule2sign.braille import engine
engine.{name} = {value}
from schedule2sign.cli.main import main
sys.exit(main(["build", "rooms.csv", "-o", "out", "--quiet"]))
"""


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("_TABLE_FOLDERS", "(Path('/nowhere/tables'),)", "The braille tables"),
        ("_SYSTEM_BINDINGS", "Path('/nowhere/louis/__init__.py')", "apt-get install python3-louis"),
    ],
)
def test_a_missing_engine_or_its_tables_stop_with_what_to_install(
    tmp_path: Path, name: str, value: str, words: str
) -> None:
    save_rooms(tmp_path, "LIBRARY")
    program = MISSING.format(name=name, value=value)
    ended = subprocess.run([sys.executable, "-c", program], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert ended.returncode == 2, ended.stderr
    assert words in ended.stderr
    assert "apt-get install" in ended.stderr
    assert not (tmp_path / "out").exists()


def test_tables_of_somebody_else_are_not_taken(tmp_path: Path) -> None:
    # liblouis looks into LOUIS_TABLEPATH first (liblouis manual, "How tables are found").
    save_rooms(tmp_path, "LIBRARY")
    tables = tmp_path / "tables"
    tables.mkdir()
    for table in ("en-us-g2.ctb", "en-ueb-g2.ctb", "en-us-g1.ctb", "unicode.dis"):
        (tables / table).write_text("include nowhere.ctb\n", encoding="utf-8")
    assert run("build", "rooms.csv", "-o", "a", "--quiet", cwd=tmp_path).returncode == 0
    assert run("build", "rooms.csv", "-o", "b", "--quiet", cwd=tmp_path, LOUIS_TABLEPATH=str(tables)).returncode == 0
    assert tree(tmp_path / "a") == tree(tmp_path / "b")


# ------------------------------------------------------------------ a rule that raises


def test_a_sign_is_held_where_a_rule_raises(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = save_rooms(tmp_path, "LIBRARY", "CLASSROOM")
    rule = next(rule for rule in RULES if rule.id == "braille/dot-pitch")

    def stumble(_layout: object) -> object:
        raise ZeroDivisionError("a bug in a rule")

    settings = Settings(finality=Finality.FINAL)
    assert all(sign.status is Status.RELEASED for sign in build_job([path], settings).signs)
    broken = tuple(replace(one, check=stumble) if one is rule else one for one in RULES)
    monkeypatch.setattr(engine, "RULES", broken)
    job = build_job([path], settings)
    assert [sign.status for sign in job.signs] == [Status.HELD, Status.HELD]
    for sign in job.signs:
        verdict = next(verdict for verdict in sign.verdicts if verdict.rule == "braille/dot-pitch")
        assert verdict.outcome is Outcome.NOT_CHECKED
        assert "ZeroDivisionError: a bug in a rule" in verdict.why_not
    write_job(job, tmp_path / "out")
    assert not list((tmp_path / "out").rglob("signs/*"))
    assert "a bug in a rule" in (tmp_path / "out" / "flagged.csv").read_text(encoding="utf-8")
