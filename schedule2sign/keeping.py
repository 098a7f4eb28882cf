"""What earlier runs left in their output folders for the next one to take over: only what is whole and was made alike."""

import gzip
import hashlib
import io
import json
import zlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

from schedule2sign.fingerprint import digest_of
from schedule2sign.model.job import SignWork
from schedule2sign.plainform import Common, from_text
from schedule2sign.shelf import Shelf, copy_common, pack_text
from schedule2sign.writers.commit import written_sums
from schedule2sign.writers.rebuild import DRAWINGS, WORKS

# All that a file which no run of this program wrote could make of the reading; whatever it is, the signs are made anew.
_DAMAGE = (EOFError, zlib.error, ValueError, KeyError, IndexError, TypeError, AttributeError, RecursionError)
_MOST_BYTES = 64_000_000  # unpacked: several times what the largest job writes into one file
_Content = TypeVar("_Content")


def read_works(folders: Sequence[Path], made_with: str, shelf: Shelf) -> dict[str, SignWork]:
    """Works by their key; none from a folder that is missing, damaged or was made otherwise.

    Args:
        made_with: hash of what the job's signs are made with; only work made with the same is taken.
        shelf: where the made signs are put.
    """

    def works_of(text: str) -> dict[str, SignWork]:
        head, light, *made = text.split("\n")
        record = json.loads(head)
        if record["made_with"] != made_with:
            return {}
        common = Common(record["common"])
        works = from_text(light, common)
        if len(works) != len(made) or record["made"] != [digest_of(one) for one in made]:
            raise ValueError("the made signs are not those of the works")
        found = {}
        for work, one in zip(works, made, strict=True):
            if isinstance(work, SignWork) and work.made_with == made_with:
                if work.plate is not None:
                    copy_common(one, common, shelf.common)
                holder = shelf.put(pack_text(one), is_text=True) if work.plate is not None else None
                found[work.key] = shelf.share(replace(work, holder=holder))
        return found

    found: dict[str, SignWork] = {}
    for folder in folders:
        for path, digest in written_sums(folder).items():
            if path.startswith(WORKS):
                found.update(_read(folder / path, digest, works_of) or {})
    return found


@dataclass(frozen=True, slots=True)
class KeptFiles:
    """Production files of earlier runs: the recipe and the checksum of each, by folder and path."""

    _known: tuple[tuple[Path, dict[str, str], dict[str, str]], ...]

    def take(self, path: str, recipe: str) -> bytes | None:
        """The file as it would be written now; None where it must be made, or was changed since."""
        for folder, recipes, sums in self._known:
            if recipe and recipes.get(path) == recipe:
                data = _bytes_of(folder / path, sums.get(path, ""))
                if data is not None:
                    return data
        return None


def find_files(folders: Sequence[Path]) -> KeptFiles:
    """The production files of these output folders that a run may take over."""
    known = []
    for folder in folders:
        sums = written_sums(folder)
        recipes = _read(folder / DRAWINGS, sums.get(DRAWINGS, ""), lambda text: dict(json.loads(text).items()))
        if recipes:
            known.append((folder, recipes, sums))
    return KeptFiles(tuple(known))


def _read(path: Path, digest: str, content: Callable[[str], _Content]) -> _Content | None:
    data = _bytes_of(path, digest)
    if data is None:
        return None
    try:
        with gzip.GzipFile(fileobj=io.BytesIO(data)) as packed:
            text = packed.read(_MOST_BYTES + 1)
        return content(text.decode("ascii")) if len(text) <= _MOST_BYTES else None
    except _DAMAGE:
        return None


def _bytes_of(path: Path, digest: str) -> bytes | None:
    """The file, if it is there and just as it was written."""
    try:
        data = path.read_bytes()
    except OSError:
        return None
    return data if hashlib.sha256(data).hexdigest() == digest else None
