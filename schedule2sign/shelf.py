"""Made signs put away while a job is worked on: packed in a file without a name, opened when they are drawn."""

import json
import marshal
import os
import tempfile
import weakref
from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from itertools import islice
from typing import Any, TypeVar

from schedule2sign.errors import InputError
from schedule2sign.model.bench import SignCut
from schedule2sign.model.job import Holder, InHand, Made
from schedule2sign.model.plate import Cutting, DrillRows
from schedule2sign.model.rule import Verdict
from schedule2sign.model.shape import SignLayout
from schedule2sign.plainform import Common, from_form
from schedule2sign.sharing import Shared
from schedule2sign.worktext import (
    PARTS,
    common_in,
    common_of_kept,
    copy_common,
    made_text,
    pack,
    split_bytes,
    split_kept,
    split_text,
    unpacked_text,
)

_OPEN = 100  # signs that stay open: those of a stock sheet
# What this run put away can be read; the checksums of an earlier run's folder say only that it is unchanged.
_FOREIGN = (
    "What an earlier run left for this one (folder rebuild in its output) was not written by this program. "
    "Build with --anew, or into another folder."
)
_Part = TypeVar("_Part")


class Shelf:
    """Made signs, packed, and what is common to them.

    Processes forked from this one read what was put away before; each has its own open signs.
    """

    def __init__(self, *, keep_open: int = _OPEN) -> None:
        self.common = Common()
        self._most_open = keep_open
        self.shared = Shared()
        self._end = 0
        self._file: int | None = None
        self._files: list[int] = []  # to be closed when the shelf goes, at the latest at the end of the process
        weakref.finalize(self, _close, self._files)
        self._open: OrderedDict[tuple[int, int | None], Made] = OrderedDict()

    def lend(self, file: int) -> int:
        """The same file, open as long as the shelf is there."""
        self._files.append(os.dup(file))
        return self._files[-1]

    def put(self, packed: bytes) -> "Shelved":
        """Put a made sign away, as `pack` gives it.

        Raises:
            InputError: the disk for temporary files refuses.
        """
        data = memoryview(packed)
        place = Shelved(self, self._end, len(data))
        try:
            if self._file is None:
                with tempfile.TemporaryFile() as file:
                    self._file = self.lend(file.fileno())
            while data:
                written = os.pwrite(self._file, data, self._end)
                data, self._end = data[written:], self._end + written
        except OSError as error:
            raise InputError(
                f"The signs of so large a job are kept in a temporary file, which cannot be written: {error.strerror}. "
                f"Make room in {tempfile.tempdir or 'the folder for temporary files'}, or name another folder in the "
                "environment variable TMPDIR."
            ) from error
        return place

    def open(self, place: "Shelved") -> Made:
        """A sign; those asked for last stay open."""
        start = place.start, place.file if isinstance(place, Kept) else None
        found = self._open.pop(start, None)
        if found is None:
            found = self._unpack(place)
            if len(self._open) >= self._most_open:
                self._open.popitem(last=False)
        self._open[start] = found
        return found

    def _unpack(self, place: "Shelved") -> Made:
        packed = self.read(place)
        with _ours():
            if isinstance(place, Kept):
                return _Opened(self.common, split_text(split_kept(packed)[2]), json.loads)
        return _Opened(self.common, split_bytes(packed), marshal.loads)

    def read(self, place: "Shelved") -> bytes:
        """A sign as it was put away; the whole work where an earlier run left it."""
        file = place.file if isinstance(place, Kept) else self._file
        data = os.pread(file, place.size, place.start) if file is not None else b""
        if len(data) != place.size:
            raise ValueError(f"{place.size} bytes were put away and {len(data)} are left")
        return data


def _close(files: Iterable[int]) -> None:
    for file in files:
        os.close(file)


class _Opened:
    """A sign as it was put away, each part read when it is first asked for: no document needs all of them."""

    def __init__(self, common: Common, parts: Sequence[bytes], load: Callable[[bytes], Any]) -> None:
        self._common, self._parts, self._load = common, dict(zip(PARTS, parts, strict=True)), load

    @cached_property
    def layout(self) -> SignLayout:
        return self._read("layout", SignLayout)

    @cached_property
    def verdicts(self) -> tuple[Verdict, ...]:
        return self._read("verdicts", tuple)

    @cached_property
    def cut(self) -> SignCut | None:
        return self._find("cut", SignCut)

    @cached_property
    def cutting(self) -> Cutting | None:
        return self._find("cutting", Cutting)

    @cached_property
    def drilled(self) -> DrillRows:
        return self._read("drilled", DrillRows)

    def _read(self, name: str, kind: type[_Part]) -> _Part:
        with _ours():
            if (found := self._find(name, kind)) is None:
                raise TypeError(f"nothing lies where a {kind.__name__} should")
            return found

    def _find(self, name: str, kind: type[_Part]) -> _Part | None:
        with _ours():
            found = from_form(self._load(self._parts[name]), self._common)
            if not isinstance(found, kind | None):
                raise TypeError(f"a {type(found).__name__} lies where a {kind.__name__} should")
            return found


@contextmanager
def _ours() -> Iterator[None]:
    """What cannot be read was not written by this program."""
    try:
        yield
    except (ValueError, EOFError, KeyError, IndexError, TypeError, AttributeError, RecursionError) as error:
        raise InputError(_FOREIGN) from error


@dataclass(frozen=True, slots=True)
class Shelved:
    """A made sign that lies on a shelf."""

    shelf: Shelf
    start: int
    size: int

    def open(self) -> Made:
        return self.shelf.open(self)


@dataclass(frozen=True, slots=True)
class Kept(Shelved):
    """A work that an earlier run left in its own folder, in a file that the shelf keeps open.

    Attributes:
        tolerance_mm: with which the work was made.
    """

    file: int
    tolerance_mm: float


def written_out(holder: Holder, common: Common) -> str:
    """A made sign as text, with what it has in common with others.

    Raises:
        TypeError: the holder is none of this program's.
    """
    if isinstance(holder, InHand):
        return made_text(holder.made, common)
    if not isinstance(holder, Shelved):
        raise TypeError(f"what a {type(holder).__name__} holds cannot be written out")
    packed = holder.shelf.read(holder)
    text = split_kept(packed)[2].decode("ascii") if isinstance(holder, Kept) else unpacked_text(packed)
    copy_common(common_in(text), holder.shelf.common, common)
    return text


def copy_kept(place: Kept, to: Common) -> bytes:
    """A work as an earlier run left it, to be left again; what it has in common with others goes there."""
    data = place.shelf.read(place)
    copy_common(common_of_kept(data), place.shelf.common, to)
    return data


def put_away(holders: Iterable[Holder | None], common: Common) -> tuple[list[bytes], dict[str, str]]:
    """Made signs packed, and the texts of what is new in common: as one process sends them to another."""
    known = len(common.texts)
    packed = [pack(holder.open(), common) for holder in holders if holder is not None]
    return packed, dict(islice(common.texts.items(), known, None))
