"""Files of an output folder against its list of checksums."""

import hashlib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from schedule2sign.errors import InputError
from schedule2sign.verification.difference import Difference

CHECKSUMS = "SHA256SUMS"
MANIFEST = "manifest.json"
_LINE = re.compile(r"([0-9a-f]{64}) [ *](.+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Folder:
    """An output folder as found. `listed` is what the checksum list says, None where there is no list."""

    path: Path
    found: Mapping[str, str]
    listed: Mapping[str, str] | None
    odd: tuple[str, ...]

    def read(self, name: str) -> bytes | None:
        """The bytes of a plain file of the folder; None where there is none."""
        return (self.path / name).read_bytes() if name in self.found else None


def open_folder(path: Path) -> Folder:
    """Hash every file of the folder.

    Raises:
        InputError: no such folder, or it cannot be read.
    """
    if not path.is_dir():
        raise InputError(f"There is no folder {path}. Name an output folder of an earlier run.")
    if not (path / MANIFEST).is_file() and not (path / CHECKSUMS).is_file():
        # Asked before anything is read: it may be a whole disk.
        raise InputError(f"{path} is no output folder of this program: it has neither {MANIFEST} nor {CHECKSUMS}.")
    try:
        inside = sorted(path.rglob("*"))
        odd = tuple(p.relative_to(path).as_posix() for p in inside if p.is_symlink())
        files = [p for p in inside if p.is_file() and not p.is_symlink()]
        found = {p.relative_to(path).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest() for p in files}
        listed = _read_list(path / CHECKSUMS) if CHECKSUMS in found else None
    except OSError as error:
        raise InputError(f"The folder {path} cannot be read: {error.strerror} ({error.filename}).") from error
    return Folder(path=path, found=found, listed=listed, odd=odd)


def compare_files(folder: Folder) -> Iterator[Difference]:
    """Missing, changed, swapped and extra files, each by name."""
    for name in folder.odd:
        yield Difference(code="file-link", file=name, message=f"{name} is a link, not a file of this folder.")
    if folder.listed is None:
        message = f"{CHECKSUMS} is missing, so no file could be compared with its checksum."
        yield Difference(code="file-missing", file=CHECKSUMS, message=message)
        return
    owner = {checksum: name for name, checksum in folder.listed.items()}
    for name, checksum in folder.listed.items():
        now = folder.found.get(name)
        if now is None:
            yield Difference(code="file-missing", file=name, message=f"{name} is listed in {CHECKSUMS} but not there.")
        elif now != checksum:
            other = owner.get(now)
            code = "file-swapped" if other else "file-changed"
            what = f"holds what {other} should hold" if other else "is not the file that was written"
            yield Difference(code=code, file=name, message=f"{name} {what}.", found=now, expected=checksum)
    for name in folder.found:
        if name not in folder.listed and name != CHECKSUMS:
            yield Difference(code="file-extra", file=name, message=f"{name} is there but not listed in {CHECKSUMS}.")


def _read_list(path: Path) -> dict[str, str]:
    lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    matches = [_LINE.fullmatch(line) for line in lines]
    return {match[2]: match[1] for match in matches if match}
