"""What earlier runs left in their output folders for the next one to take over: only what is whole and was made alike."""

import gzip
import hashlib
import io
import json
import os
import zlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from schedule2sign.model.job import SignWork
from schedule2sign.model.outfile import KeptFile
from schedule2sign.plainform import from_text
from schedule2sign.shelf import Kept, Shelf
from schedule2sign.worktext import split_kept
from schedule2sign.writers.commit import written_sums
from schedule2sign.writers.pieces import Facts, Piece
from schedule2sign.writers.rebuild import COMMON, DRAWINGS, WORKS, pieces_path

# All that a file which no run of this program wrote could make of the reading; whatever it is, the signs are made anew.
_DAMAGE = (EOFError, zlib.error, ValueError, KeyError, IndexError, TypeError, AttributeError, RecursionError)
_MOST_BYTES = 64_000_000  # unpacked: several times what the largest job writes into one file
_CHUNK = 1 << 17
_Content = TypeVar("_Content")


class KeptWorks:
    """Works of earlier runs by their key, each read when it is asked for."""

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        self._places: dict[str, tuple[int, int, int]] = {}

    def __bool__(self) -> bool:
        return bool(self._places)

    def add(self, pieces: "KeptPieces") -> None:
        """The works of a folder.

        Raises:
            ValueError, TypeError, AttributeError, OSError: no run of this program left them.
        """
        found = pieces.find(COMMON)
        self._shelf.common.texts.update(json.loads(found.data) if found is not None else {})
        files = {file: self._shelf.lend(file) for file in {place.file for place in pieces.places.values()}}
        self._places |= {key: (files[at.file], at.begin, at.size) for key, at in pieces.places.items()}

    def get(self, key: str) -> SignWork | None:
        """The work with this key; None where there is none, or what was left of it is not as it was written."""
        place = self._places.get(key)
        if place is None:
            return None
        file, begin, size = place
        with suppress(*_DAMAGE):
            _, light, _ = split_kept(os.pread(file, size, begin))
            work = from_text(light.decode("ascii"), self._shelf.common)
            if isinstance(work, SignWork) and work.key == key:
                holder = Kept(self._shelf, begin, size, file, work.tolerance_mm) if work.plate is not None else None
                return self._shelf.shared.work(replace(work, holder=holder))
        return None


def read_works(folders: Sequence[Path], shelf: Shelf) -> KeptWorks:
    """The works that runs left in these output folders; none from a folder that is missing or damaged.

    Args:
        shelf: it keeps the files open, and gets what is common to the works.
    """
    works = KeptWorks(shelf)
    for folder in folders:
        with ExitStack() as files, suppress(OSError, *_DAMAGE):
            works.add(_open_pieces(folder, WORKS, written_sums(folder), files))
    return works


@dataclass(frozen=True, slots=True)
class KeptFiles:
    """Production files and documents of earlier runs, each with what it was made of."""

    _known: tuple[tuple[Path, dict[str, str], dict[str, str]], ...]

    def find(self, path: str, recipe: str) -> KeptFile | None:
        """The file as it would be written now; None where it must be made, or was changed since."""
        for folder, recipes, sums in self._known:
            if recipe and recipes.get(path) == recipe and is_as_written(folder / path, sums.get(path, "")):
                return KeptFile(path, folder / path, sums[path])
        return None

    @contextmanager
    def open(self, path: str) -> Iterator["KeptPieces"]:
        """The pieces of a document, of what was not changed since."""
        pieces = KeptPieces({})
        with ExitStack() as files:
            for folder, _, sums in self._known:
                with suppress(OSError, *_DAMAGE):
                    pieces = KeptPieces(_open_pieces(folder, path, sums, files).places | pieces.places)
            yield pieces


class _Place(NamedTuple):
    file: int
    begin: int
    size: int
    facts: Facts


@dataclass(frozen=True, slots=True)
class KeptPieces:
    """Where pieces of a document lie in the files of earlier runs, by recipe."""

    places: dict[str, _Place]

    @classmethod
    def of(cls, record: dict[str, Any], file: int) -> "KeptPieces":
        """The pieces that a record tells of a file.

        Raises:
            KeyError, ValueError, TypeError, AttributeError: no run of this program wrote the record.
        """
        facts = record["facts"]
        rows = list(zip(record["recipes"], record["begins"], record["ends"], strict=True))
        if not all(0 <= begin <= end for _, begin, end in rows):
            raise ValueError("a piece begins where no file has a byte")
        return cls(
            {
                recipe: _Place(file, begin, end - begin, facts.get(str(number)))
                for number, (recipe, begin, end) in enumerate(rows)
            }
        )

    def find(self, recipe: str) -> Piece | None:
        """The piece with this recipe."""
        place = self.places.get(recipe)
        if place is None:
            return None
        data = os.pread(place.file, place.size, place.begin)
        return Piece(data, recipe, place.facts) if len(data) == place.size else None


def _open_pieces(folder: Path, path: str, sums: Mapping[str, str], files: ExitStack) -> KeptPieces:
    """The pieces of one file; none where it or their record was changed since.

    Raises:
        KeyError, ValueError, TypeError, AttributeError, OSError: no run of this program wrote the record.
    """
    data = _bytes_of(folder / pieces_path(path), sums.get(pieces_path(path), ""))
    if data is None or not is_as_written(folder / path, sums.get(path, "")):
        return KeptPieces({})
    file = files.enter_context((folder / path).open("rb", buffering=0))
    return KeptPieces.of(json.loads(data), file.fileno())


def find_files(folders: Sequence[Path]) -> KeptFiles:
    """The production files and documents of these output folders that a run may take over."""
    known = []
    for folder in (folder.resolve() for folder in folders):
        if sums := written_sums(folder):
            recipes = _read(folder / DRAWINGS, sums.get(DRAWINGS, ""), lambda text: dict(json.loads(text).items()))
            known.append((folder, recipes or {}, sums))
    return KeptFiles(tuple(known))


def is_as_written(path: Path, digest: str) -> bool:
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
    """The file, if it is there, no longer than what a run writes, and just as it was written."""
    try:
        data = path.read_bytes() if path.stat().st_size <= _MOST_BYTES else b""
    except OSError:
        return None
    return data if hashlib.sha256(data).hexdigest() == digest else None
