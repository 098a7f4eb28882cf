"""Puts the output folder in place as a whole: the only writer that touches the disk."""

import fcntl
import hashlib
import json
import os
import shutil
from collections.abc import Container, Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from io import FileIO
from mmap import ACCESS_READ, mmap
from pathlib import Path

from schedule2sign.errors import InputError
from schedule2sign.model.outfile import KeptFile, OutFile
from schedule2sign.writers import manifest
from schedule2sign.writers.exchange import exchange, flush_disk
from schedule2sign.writers.outpaths import OutPaths, check_path

CHECKSUMS = "SHA256SUMS"  # as `sha256sum -c SHA256SUMS` reads it
_TRIES = 10
_LONG = 1_000_000  # bytes


def commit(files: Iterable[OutFile | KeptFile], out: Path) -> str:
    """Write the files as a whole output folder; see `replacing`.

    Returns:
        What became of an earlier run that was killed; "" where there was none.
    """
    with replacing(out) as place:
        for file in files:
            place.add(place.put(file))
    return place.found


@dataclass(frozen=True, slots=True)
class Written:
    """A file in its place: its path inside the folder, and the SHA-256 of what was written."""

    path: str
    sha256: str


class Place:
    """The folder that will take the name of the output folder; `found` says what became of a run that was killed."""

    def __init__(self, staging: Path, out: Path, found: str) -> None:
        self.found = found
        self._staging, self._out = staging, out
        self._paths = OutPaths()
        self._sums: dict[str, bytes] = {}

    def put(self, file: OutFile | KeptFile) -> Written:
        """Write a file; in any process that was forked from the one that has the folder.

        Raises:
            InputError: the disk refuses.
            ValueError: the path leaves the folder, or is taken (our bug).
        """
        check_path(file.path)
        if isinstance(file, KeptFile):
            self._take(file)
            return Written(file.path, file.sha256)
        path, digest = self._staging / file.path, hashlib.sha256()
        with self._create(path, file.path) as target:
            for chunk in file.chunks():  # the rendering itself happens outside the net for disk errors
                digest.update(chunk)
                left = memoryview(chunk)
                with _disk_errors(self._out):
                    while left:
                        left = left[target.write(left) :]
        return Written(file.path, digest.hexdigest())

    def _take(self, file: KeptFile) -> None:
        """Give a file of the folder that is replaced a second name; copy one that stays, which somebody may change."""
        path = self._staging / file.path
        if file.at.is_relative_to(self._out):
            with suppress(OSError):
                path.parent.mkdir(parents=True, exist_ok=True)
                os.link(file.at, path, follow_symlinks=False)
                return
        with (
            self._create(path, file.path) as target,
            _disk_errors(self._out),
            file.at.open("rb", buffering=0) as source,
        ):
            shutil.copyfileobj(source, target, _LONG)

    def _create(self, path: Path, name: str) -> FileIO:
        with _disk_errors(self._out):
            try:
                path.parent.mkdir(parents=True, exist_ok=True)
                return path.open("xb", buffering=0)
            except (FileExistsError, NotADirectoryError, IsADirectoryError) as error:
                raise ValueError(f"the output path {name!r} and another are one on some disks") from error

    def add(self, written: Written) -> None:
        """Count a written file in; what is not counted is no part of the folder's list.

        Raises:
            ValueError: its path is that of another on a disk that ignores case (our bug).
        """
        self._paths.add(written.path)
        self._sums[written.path] = bytes.fromhex(written.sha256)

    def __contains__(self, path: object) -> bool:
        return path in self._sums

    def keep_only(self, paths: Container[str]) -> None:
        """Remove the files counted in whose paths are not among these."""
        for path in [path for path in self._sums if path not in paths]:
            with _disk_errors(self._out):
                (self._staging / path).unlink()
            self._paths.remove(path)
            del self._sums[path]

    def finish(self) -> None:
        """Add the list of checksums and force all to the disk."""
        self._paths.add(CHECKSUMS)
        lines = (f"{digest.hex()}  {path}\n" for path, digest in sorted(self._sums.items()))
        with _disk_errors(self._out):
            _write(self._staging / CHECKSUMS, "".join(lines).encode())
            if not flush_disk(self._staging):
                # All are written before the first is forced to the disk: one flush then serves most of them.
                for path in sorted(self._staging.rglob("*")):
                    _force(path)
                _force(self._staging)


@contextmanager
def replacing(out: Path) -> Iterator[Place]:
    """A staging folder beside `out` to write into, which is given the name `out` at the end; with a list of checksums.

    A folder made by an earlier run is replaced as a whole. Whatever fails, `out` stays as it was.

    Raises:
        InputError: `out` holds files that are not ours, or the disk refuses (read-only, full, no permission).
        ValueError: a path leaves the folder, or two paths are one on a disk that ignores case (our bug).
    """
    out = out.resolve()
    if not out.name:
        raise InputError(f"The output folder cannot be {out} itself. Name a folder in it with -o.")
    staging, aside = out.with_name(f".{out.name}.staging"), out.with_name(f".{out.name}.before")
    with _disk_errors(out):
        out.parent.mkdir(parents=True, exist_ok=True)
        lock = _claim(staging, out)
    with ExitStack() as unlock, ExitStack() as undo:
        unlock.callback(os.close, lock)
        undo.callback(shutil.rmtree, staging, ignore_errors=True)
        with _disk_errors(out):
            unfinished, put_back = _clear(staging, out), _recover(out, aside)
            _refuse_foreign(out)
        place = Place(staging, out, put_back or unfinished)
        yield place
        place.finish()
        with _disk_errors(out):
            _swap(staging, out, aside)
        undo.pop_all()


def write_file(path: Path, data: bytes) -> None:
    """Put one file in place as a whole: the old one stays until the new one is on the disk.

    Raises:
        InputError: the disk refuses, or the place is a folder.
    """
    path = path.resolve()
    if path.is_dir():
        raise InputError(f"{path} is a folder. Give the name of a file.")
    staging = path.with_name(f".{path.name}.staging")
    try:
        _write(staging, data)
        _force(staging)
        staging.replace(path)
    except OSError as error:
        staging.unlink(missing_ok=True)
        raise InputError(f"{path} cannot be written: {error.strerror}. What stood there is unchanged.") from error


@contextmanager
def _disk_errors(out: Path) -> Iterator[None]:
    """What the disk refuses, said in one line."""
    try:
        yield
    except OSError as error:
        place = f" ({error.filename})" if error.filename else ""
        raise InputError(
            f"The output folder {out} cannot be written: {error.strerror}{place}. What stood there is unchanged. "
            "Choose another folder with -o, or make room and give write permission."
        ) from error


def _recover(out: Path, aside: Path) -> str:
    """Undo a run that was killed between two renames, or finish one killed after them; says which."""
    if not aside.exists():
        return ""
    if out.exists():
        shutil.rmtree(aside)
        return f"An earlier run into {out} was killed after it had ended; what was left of it is removed."
    aside.rename(out)
    return f"An earlier run into {out} was killed while it replaced the folder; the folder was put back as it was."


def _refuse_foreign(out: Path) -> None:
    if not out.exists():
        return
    if not out.is_dir():
        raise InputError(f"The output folder {out} is a file. Choose another name with -o.")
    present = set(_files_in(out))
    if not present:
        return
    foreign = sorted(present - {CHECKSUMS, *written_sums(out)})
    if foreign:
        more = f" and {len(foreign) - 3} more" if len(foreign) > 3 else ""
        raise InputError(
            f"The output folder {out} holds files this program did not write: {', '.join(foreign[:3])}{more}. "
            "It is replaced as a whole, so they would be lost. Move them, or choose another folder with -o."
        )


def _files_in(folder: Path, inside: str = "") -> Iterator[str]:
    """Paths of all that is no folder; a link is none, wherever it leads."""
    with os.scandir(folder) as entries:
        for entry in entries:
            path = f"{inside}{entry.name}"
            if entry.is_dir(follow_symlinks=False):
                yield from _files_in(Path(entry.path), f"{path}/")
            else:
                yield path


def written_sums(out: Path) -> dict[str, str]:
    """SHA-256 of every file that an earlier run wrote into `out`, by its path; none where the folder is not ours."""
    try:
        ours = _is_ours(out / manifest.PATH)
        lines = (out / CHECKSUMS).read_text(encoding="utf-8").splitlines()
    except (FileNotFoundError, NotADirectoryError, IsADirectoryError, ValueError, KeyError, TypeError):
        return {}
    return {path: digest for digest, _, path in (line.partition("  ") for line in lines)} if ours else {}


def _is_ours(path: Path) -> bool:
    """Whether a manifest is of this program; a long one is not loaded for that."""
    if path.stat().st_size < _LONG:
        return bool(json.loads(path.read_text(encoding="utf-8"))["tool"]["name"] == manifest.TOOL)
    # A line that starts so is a member of the whole document: within a text there is no line break.
    with path.open("rb") as file, mmap(file.fileno(), 0, access=ACCESS_READ) as data:
        return data.find(b'\n  "tool": {\n    "name": "%s"' % manifest.TOOL.encode()) >= 0


def _claim(staging: Path, out: Path) -> int:
    """Make or take over the staging folder; the lock dies with its process, so a killed run bars nobody."""
    for _ in range(_TRIES):
        staging.mkdir(exist_ok=True)
        lock = _lock(staging)
        if lock is None:
            break
        # Between the two steps another run may have ended, and given the folder that is locked now its final name.
        if staging.exists() and os.path.samestat(os.fstat(lock), staging.stat()):
            return lock
        os.close(lock)
    raise InputError(f"Another run is writing {out} now. Wait for it to end, or choose another folder.")


def _lock(folder: Path) -> int | None:
    """A lock on a folder, or None where another process has it; it is kept until it is closed."""
    try:
        lock = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    except FileNotFoundError:
        return None
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(lock)
        return None
    return lock


def _clear(staging: Path, out: Path) -> str:
    """Empty the staging folder; says that a killed run had left something in it."""
    leftovers = list(staging.iterdir())
    for leftover in leftovers:
        shutil.rmtree(leftover) if leftover.is_dir() and not leftover.is_symlink() else leftover.unlink()
    if not leftovers:
        return ""
    return f"An earlier run into {out} was killed; what it left unfinished is removed. The folder itself was whole."


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)


def _force(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _swap(staging: Path, out: Path, aside: Path) -> None:
    if out.exists() and exchange(staging, out):
        _force(out.parent)
        # From here on the staging folder is the old output, and the next run's to take over.
        lock = _lock(staging)
        if lock is not None:
            shutil.rmtree(staging, ignore_errors=True)
            os.close(lock)
        return
    if out.exists():
        out.rename(aside)
    try:
        staging.rename(out)
    except OSError:
        if aside.exists():
            aside.rename(out)
        raise
    _force(out.parent)
    shutil.rmtree(aside, ignore_errors=True)
