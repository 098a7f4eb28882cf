"""What earlier runs left in their output folders for the next one to take over: only what is whole and was made alike."""

import gzip
import hashlib
import io
import json
import os
import zlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, replace
from io import FileIO
from pathlib import Path
from typing import Any, TypeVar

from schedule2sign.fingerprint import digest_of
from schedule2sign.model.job import SignWork
from schedule2sign.model.outfile import KeptFile
from schedule2sign.plainform import Common, from_text
from schedule2sign.shelf import Shelf, copy_common
from schedule2sign.writers.commit import written_sums
from schedule2sign.writers.pieces import Facts, Piece
from schedule2sign.writers.rebuild import DRAWINGS, WORKS, pieces_path

# All that a file which no run of this program wrote could make of the reading; whatever it is, the signs are made anew.
_DAMAGE = (EOFError, zlib.error, ValueError, KeyError, IndexError, TypeError, AttributeError, RecursionError)
_MOST_BYTES = 64_000_000  # unpacked: several times what the largest job writes into one file
_CHUNK = 1 << 17
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
                holder = shelf.put(one.encode("ascii"), is_text=True) if work.plate is not None else None
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
    """Production files and documents of earlier runs, each with what it was made of."""

    _known: tuple[tuple[Path, dict[str, str], dict[str, str]], ...]

    def find(self, path: str, recipe: str) -> KeptFile | None:
        """The file as it would be written now; None where it must be made, or was changed since."""
        for folder, recipes, sums in self._known:
            if recipe and recipes.get(path) == recipe and _is_whole(folder / path, sums.get(path, "")):
                return KeptFile(path, folder / path, sums[path])
        return None

    @contextmanager
    def open(self, path: str) -> Iterator["KeptPieces"]:
        """The pieces of a document, of what was not changed since."""
        with ExitStack() as files:
            pieces = KeptPieces()
            for folder, _, sums in self._known:
                record = _read_plain(folder / pieces_path(path), sums.get(pieces_path(path), ""))
                if record is not None and _is_whole(folder / path, sums.get(path, "")):
                    with suppress(OSError, *_DAMAGE):
                        pieces.add(files.enter_context((folder / path).open("rb", buffering=0)), record)
            yield pieces


class KeptPieces:
    """Pieces of one document as earlier runs wrote it."""

    def __init__(self) -> None:
        self._places: dict[str, tuple[int, int, int, Facts]] = {}

    def add(self, file: FileIO, record: dict[str, Any]) -> None:
        """A document and the record of its pieces; what it has is taken from the one added first.

        Raises:
            KeyError, ValueError, TypeError, AttributeError: no run of this program wrote the record.
        """
        number, facts = file.fileno(), record["facts"]
        rows = list(zip(record["recipes"], record["begins"], record["ends"], strict=True))
        if not all(0 <= begin <= end for _, begin, end in rows):
            raise ValueError("a piece begins where no file has a byte")
        found = {
            recipe: (number, begin, end - begin, facts.get(str(place)))
            for place, (recipe, begin, end) in enumerate(rows)
        }
        self._places = {**found, **self._places}

    def find(self, recipe: str) -> Piece | None:
        """The piece with this recipe."""
        place = self._places.get(recipe)
        if place is None:
            return None
        file, begin, size, facts = place
        data = os.pread(file, size, begin)
        return Piece(data, recipe, facts) if len(data) == size else None


def find_files(folders: Sequence[Path]) -> KeptFiles:
    """The production files and documents of these output folders that a run may take over."""
    known = []
    for folder in (folder.resolve() for folder in folders):
        if sums := written_sums(folder):
            recipes = _read(folder / DRAWINGS, sums.get(DRAWINGS, ""), lambda text: dict(json.loads(text).items()))
            known.append((folder, recipes or {}, sums))
    return KeptFiles(tuple(known))


def _is_whole(path: Path, digest: str) -> bool:
    """Whether the file is there just as it was written; a long one is not held for that."""
    found = hashlib.sha256()
    try:
        # A link somebody put in its place is not what was written.
        with open(path, "rb", buffering=0, opener=_no_link) as file:
            while data := file.read(_CHUNK):
                found.update(data)
    except OSError:
        return False
    return found.hexdigest() == digest


def _no_link(path: str, flags: int) -> int:
    return os.open(path, flags | os.O_NOFOLLOW)


def _read_plain(path: Path, digest: str) -> dict[str, Any] | None:
    data = _bytes_of(path, digest)
    try:
        found = json.loads(data) if data is not None else None
    except ValueError:
        return None
    return found if isinstance(found, dict) else None


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
