"""The output folder is replaced whole or not at all."""

import errno
import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from schedule2sign.errors import InputError
from schedule2sign.model.outfile import KeptFile, OutFile
from schedule2sign.writers import commit as commit_module
from schedule2sign.writers import exchange as exchange_module
from schedule2sign.writers.commit import CHECKSUMS, commit

MANIFEST = OutFile("manifest.json", json.dumps({"tool": {"name": "schedule2sign", "version": "0"}}).encode())


def run_of(*names: str, text: str = "x") -> list[OutFile]:
    return [MANIFEST, *(OutFile(name, text.encode()) for name in names)]


def tree(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_files_land_with_checksums_another_program_can_check(tmp_path: Path) -> None:
    out = tmp_path / "new" / "out"
    commit(run_of("signs/a.dxf", "signs/b.dxf", "list.csv"), out)
    assert set(tree(out)) == {"manifest.json", "signs/a.dxf", "signs/b.dxf", "list.csv", CHECKSUMS}
    checked = subprocess.run(["sha256sum", "-c", "--strict", CHECKSUMS], cwd=out, capture_output=True, text=True)
    assert checked.returncode == 0, checked.stdout
    assert len(checked.stdout.splitlines()) == 4
    assert [path.name for path in out.parent.iterdir()] == ["out"]


def test_a_folder_of_ours_is_replaced_as_a_whole(tmp_path: Path) -> None:
    out = tmp_path / "out"
    commit(run_of("old.dxf"), out)
    commit(run_of("new.dxf"), out)
    assert set(tree(out)) == {"manifest.json", "new.dxf", CHECKSUMS}
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_an_empty_folder_is_used(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    commit(run_of("a"), tmp_path / "out")
    assert (tmp_path / "out" / "a").read_bytes() == b"x"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("photo.jpg", "mine"),
        ("manifest.json", '{"tool": {"name": "other"}}'),
        ("manifest.json", "[]"),
        ("manifest.json", "not json"),
    ],
)
def test_a_folder_that_is_not_ours_is_refused_by_name(tmp_path: Path, name: str, text: str) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / name).write_text(text)
    with pytest.raises(InputError, match=name) as caught:
        commit(run_of("a"), out)
    assert "choose another folder with -o" in str(caught.value)
    assert tree(out) == {name: text.encode()}
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_a_file_put_into_our_folder_is_not_lost(tmp_path: Path) -> None:
    out = tmp_path / "out"
    commit(run_of("a"), out)
    (out / "redlines.pdf").write_text("mine")
    with pytest.raises(InputError, match=r"redlines\.pdf"):
        commit(run_of("b"), out)
    assert tree(out)["redlines.pdf"] == b"mine"
    assert "a" in tree(out)


def test_out_may_not_be_a_file_or_the_root(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    with pytest.raises(InputError, match="is a file"):
        commit(run_of("a"), tmp_path / "out")
    with pytest.raises(InputError, match="Name a folder"):
        commit(run_of("a"), Path("/"))


@pytest.mark.parametrize(
    "path",
    ["/etc/passwd", "../up", "a/../../up", "", "a//b", "./a", "a/", "a\\b", "a\0b", "a/.."],
)
def test_a_path_that_leaves_the_folder_is_our_bug(tmp_path: Path, path: str) -> None:
    with pytest.raises(ValueError, match="not a plain path"):
        commit(run_of(path), tmp_path / "out")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("signs/a.dxf", "signs/a.dxf"),
        ("signs/a.dxf", "signs/A.DXF"),
        ("signs/a.dxf", "Signs/b.dxf"),
        ("é.dxf", "e\u0301.dxf"),
        ("straße", "STRASSE"),
        ("a", "a/b"),
        ("a/b", "a"),
        ("sha256sums", "b"),
    ],
)
def test_paths_that_are_one_on_some_disks_are_our_bug(tmp_path: Path, first: str, second: str) -> None:
    with pytest.raises(ValueError, match="one on some disks"):
        commit(run_of(first, second), tmp_path / "out")
    assert list(tmp_path.iterdir()) == []


class BrokenWriterError(Exception):
    pass


def broken() -> Iterator[OutFile]:
    yield OutFile("a", b"half")
    raise BrokenWriterError


@pytest.mark.parametrize("before", [True, False])
def test_a_run_that_fails_leaves_what_was_there(tmp_path: Path, before: bool) -> None:
    out = tmp_path / "out"
    if before:
        commit(run_of("old"), out)
    was = tree(tmp_path)
    with pytest.raises(BrokenWriterError):
        commit(broken(), out)
    assert tree(tmp_path) == was
    assert [path.name for path in tmp_path.iterdir()] == (["out"] if before else [])


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS, errno.EACCES])
def test_a_full_or_locked_disk_is_said_in_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int) -> None:
    out = tmp_path / "out"
    commit(run_of("old"), out)
    was = tree(tmp_path)

    def refuse(path: Path, _data: bytes) -> None:
        raise OSError(code, os.strerror(code), str(path))

    monkeypatch.setattr(commit_module, "_write", refuse)
    with pytest.raises(InputError) as caught:
        commit(run_of("new"), out)
    message = str(caught.value)
    assert os.strerror(code) in message
    assert str(out) in message
    assert "\n" not in message
    assert tree(tmp_path) == was


def test_a_write_the_system_refuses_leaves_the_old_folder(tmp_path: Path) -> None:
    # A file size limit stops a real write half way, as a full disk does, and needs no rights.
    out = tmp_path / "out"
    commit(run_of("old"), out)
    was = tree(tmp_path)
    program = (
        "import resource, signal, sys\n"
        "from pathlib import Path\n"
        "from schedule2sign.errors import InputError\n"
        "from schedule2sign.model.outfile import OutFile\n"
        "from schedule2sign.writers.commit import commit\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "try:\n"
        "    commit([OutFile('new', b'x' * 5000)], Path(sys.argv[1]))\n"
        "except InputError as error:\n"
        "    print(error)\n"
    )
    result = subprocess.run([sys.executable, "-c", program, str(out)], capture_output=True, text=True, check=True)
    assert "cannot be written: File too large" in result.stdout
    assert tree(tmp_path) == was


def test_a_swap_that_fails_half_way_is_undone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    commit(run_of("old"), out)
    was = tree(tmp_path)
    rename = Path.rename
    monkeypatch.setattr(commit_module, "exchange", lambda _one, _other: False)  # as on a disk that cannot

    def refuse_second(self: Path, target: Path) -> Path:
        if self.name == ".out.staging":
            raise OSError(errno.EBUSY, "Device or resource busy", str(target))
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuse_second)
    with pytest.raises(InputError, match="busy"):
        commit(run_of("new"), out)
    assert tree(tmp_path) == was


KILLED = """
import os, signal, sys, time
from pathlib import Path
from schedule2sign.model.outfile import KeptFile, OutFile
from schedule2sign.writers.commit import commit
def files():
    yield OutFile("a", b"half")
    print("writing", flush=True)
    time.sleep(60)
commit(files(), Path(sys.argv[1]))
"""


def test_a_killed_run_bars_nobody_and_a_running_one_is_named(tmp_path: Path) -> None:
    out = tmp_path / "out"
    commit(run_of("old"), out)
    with subprocess.Popen([sys.executable, "-c", KILLED, str(out)], stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "writing\n"
        with pytest.raises(InputError, match="Another run is writing"):
            commit(run_of("new"), out)
        assert "old" in tree(out)
        other.send_signal(signal.SIGKILL)
        other.wait()
    assert (tmp_path / ".out.staging" / "a").exists()  # what the killed run left
    commit(run_of("new"), out)
    assert set(tree(tmp_path)) == {"out/manifest.json", "out/new", f"out/{CHECKSUMS}"}


@pytest.mark.parametrize("out_is_there", [True, False])
def test_a_run_killed_between_the_renames_is_put_right(tmp_path: Path, out_is_there: bool) -> None:
    out, aside = tmp_path / "out", tmp_path / ".out.before"
    commit(run_of("old"), out)
    shutil.copytree(out, aside)
    if not out_is_there:
        shutil.rmtree(out)
        # The old folder comes back even where the next run fails.
        with pytest.raises(BrokenWriterError):
            commit(broken(), out)
        assert "old" in tree(out)
    commit(run_of("new"), out)
    assert set(tree(tmp_path)) == {"out/manifest.json", "out/new", f"out/{CHECKSUMS}"}


def test_a_link_to_a_folder_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to("real")
    commit(run_of("a"), tmp_path / "link")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real" / "a").exists()


def test_bytes_are_written_as_they_are(tmp_path: Path) -> None:
    data = bytes(range(256)) * 7
    commit([MANIFEST, OutFile("raw.bin", data)], tmp_path / "out")
    assert (tmp_path / "out" / "raw.bin").read_bytes() == data
    assert hashlib.sha256(data).hexdigest() in (tmp_path / "out" / CHECKSUMS).read_text()


@pytest.mark.parametrize("by_disk", [True, False])
def test_what_is_written_is_forced_to_the_disk_before_the_folder_gets_its_name(
    by_disk: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    forced: list[Path] = []

    def flush(folder: Path) -> bool:
        if by_disk:
            forced.extend(path for path in folder.rglob("*") if path.is_file())
        return by_disk

    monkeypatch.setattr(commit_module, "flush_disk", flush)
    monkeypatch.setattr(commit_module, "_force", lambda path: forced.append(path))
    out = tmp_path / "out"
    commit(run_of("signs/a.dxf", "list.csv"), out)
    inside = {path.relative_to(tmp_path / ".out.staging").as_posix() for path in forced if ".out.staging" in path.parts}
    assert {"signs/a.dxf", "list.csv", "SHA256SUMS"} <= inside
    assert exchange_module.flush_disk(out) in (True, False)
    if sys.platform == "linux" and exchange_module._linux() >= (5, 8):
        with pytest.raises(FileNotFoundError):
            exchange_module.flush_disk(tmp_path / "missing")


@pytest.mark.parametrize("name", ["schedule2sign", "another"])
def test_a_long_record_is_known_without_being_loaded(name: str, tmp_path: Path) -> None:
    record = {"flags": ['\n  "tool": {\n    "name": "schedule2sign"'] * 30_000, "tool": {"name": name}, "waivers": []}
    (tmp_path / "manifest.json").write_text(json.dumps(record, indent=2, sort_keys=True), encoding="utf-8")
    (tmp_path / CHECKSUMS).write_text(f"{'0' * 64}  signs/a.dxf\n", encoding="utf-8")
    assert (tmp_path / "manifest.json").stat().st_size > 1_000_000
    assert bool(commit_module.written_sums(tmp_path)) is (name == "schedule2sign")


def kept(folder: Path, name: str) -> KeptFile:
    return KeptFile(name, folder / name, hashlib.sha256((folder / name).read_bytes()).hexdigest())


def test_a_file_of_the_folder_that_is_replaced_is_not_written_again(tmp_path: Path) -> None:
    out = tmp_path / "out"
    commit(run_of("signs/a.dxf", "signs/b.dxf"), out)
    inode = (out / "signs" / "a.dxf").stat().st_ino
    commit([*run_of("signs/c.dxf", text="y"), kept(out, "signs/a.dxf")], out)
    assert (out / "signs" / "a.dxf").stat().st_ino == inode
    assert (out / "signs" / "a.dxf").stat().st_nlink == 1
    assert set(tree(out)) == {"manifest.json", "signs/a.dxf", "signs/c.dxf", CHECKSUMS}
    checked = subprocess.run(["sha256sum", "-c", "--strict", CHECKSUMS], cwd=out, capture_output=True, text=True)
    assert checked.returncode == 0, checked.stdout


def test_a_file_of_a_folder_that_stays_is_copied(tmp_path: Path) -> None:
    """Who changes it in one issue must not change the other."""
    old, out = tmp_path / "old", tmp_path / "out"
    commit(run_of("signs/a.dxf"), old)
    commit([MANIFEST, kept(old, "signs/a.dxf")], out)
    (out / "signs" / "a.dxf").write_bytes(b"changed in place")
    assert (old / "signs" / "a.dxf").read_bytes() == b"x"


def test_on_a_disk_without_second_names_a_file_is_copied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    commit(run_of("signs/a.dxf"), out)

    def refuse(*_arguments: object, **_options: object) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", refuse)
    commit([MANIFEST, kept(out, "signs/a.dxf")], out)
    assert (out / "signs" / "a.dxf").read_bytes() == b"x"


def test_a_file_kept_under_a_path_that_is_taken_is_our_bug(tmp_path: Path) -> None:
    out = tmp_path / "out"
    commit(run_of("signs/a.dxf"), out)
    was = tree(out)
    with pytest.raises(ValueError, match="one on some disks"):
        commit([*run_of("signs/a.dxf"), kept(out, "signs/a.dxf")], out)
    assert tree(out) == was
