"""Made signs put away while a job is worked on: packed in a file without a name, opened when they are drawn."""

import json
import marshal
import os
import re
import sys
import tempfile
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, fields, replace
from functools import cached_property
from itertools import islice
from struct import Struct
from typing import Any, TypeVar

from schedule2sign.errors import InputError
from schedule2sign.model.bench import SignCut
from schedule2sign.model.job import Holder, InHand, Made, MadeSign, SignWork
from schedule2sign.model.plate import Close, Cutting, DrillRows
from schedule2sign.model.rule import Verdict
from schedule2sign.model.shape import SignLayout
from schedule2sign.plainform import Common, form_text, from_form, to_form, to_text

_OPEN = 1000  # signs that stay open
# What this run put away can be read; the checksums of an earlier run's folder say only that it is unchanged.
_FOREIGN = (
    "What an earlier run left for this one (folder rebuild in its output) was not written by this program. "
    "Build with --anew, or into another folder."
)
_Part = TypeVar("_Part")
_PARTS = tuple(field.name for field in fields(MadeSign))
_HEAD = Struct(f"<{len(_PARTS)}I")  # sizes of the parts, before them
_TAB = "\t"  # between the parts of a text: none of them has one
_COMMON = re.compile(r'\["@","([0-9a-f]+)"\]')


class Shelf:
    """Made signs, packed, and what is common to them.

    Processes forked from this one read what was put away before; each has its own open signs.
    """

    def __init__(self, *, keep_open: int = _OPEN) -> None:
        self.common = Common()
        self._most_open = keep_open
        self._known: dict[Any, Any] = {}
        self._end = 0
        self._file: int | None = None
        self._open: OrderedDict[int, Made] = OrderedDict()

    def put(self, packed: bytes, *, is_text: bool = False) -> "Shelved":
        """Put a made sign away: as `pack` gives it, or as `pack_text` does the text that an earlier run left.

        Raises:
            InputError: the disk for temporary files refuses.
        """
        data = memoryview(packed)
        place = Shelved(self, self._end, len(data), is_text)
        try:
            if self._file is None:
                with tempfile.TemporaryFile() as file:
                    self._file = os.dup(file.fileno())
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

    def share(self, work: SignWork) -> SignWork:
        """The work with the one value of all that is equal in many: what comes from elsewhere has its own copies."""
        known, plate = self._known, work.plate
        if plate is not None:
            build, size = known.setdefault(plate.build, plate.build), known.setdefault(plate.cell_size, plate.cell_size)
            texts = tuple(known.setdefault(text, text) for text in plate.texts)
            remedies = known.setdefault(plate.remedies, plate.remedies)
            plate = replace(plate, build=build, cell_size=size, texts=texts, remedies=remedies)
        return replace(
            work,
            made_with=known.setdefault(work.made_with, work.made_with),
            braille=tuple(known.setdefault(line, line) for line in work.braille),
            plate=plate,
            close=tuple(self._share_limit(one) for one in work.close),
        )

    def _share_limit(self, close: Close) -> Close:
        limit = self._known.setdefault(close.measurement.limit, close.measurement.limit)
        return replace(close, rule=sys.intern(close.rule), measurement=replace(close.measurement, limit=limit))

    def know(self, values: Iterable[Hashable]) -> None:
        """These are the ones to share where equal ones come."""
        self._known.update((value, value) for value in values)

    def open(self, place: "Shelved") -> Made:
        """A sign; those asked for last stay open."""
        start = place.start
        found = self._open.pop(start, None)
        if found is None:
            found = _Opened(self.common, self.read(place), json.loads if place.is_text else marshal.loads)
            if len(self._open) >= self._most_open:
                self._open.popitem(last=False)
        self._open[start] = found
        return found

    def read(self, place: "Shelved") -> bytes:
        """A sign as it was put away."""
        data = os.pread(self._file, place.size, place.start) if self._file is not None else b""
        if len(data) != place.size:
            raise ValueError(f"{place.size} bytes were put away and {len(data)} are left")
        return data

    def __del__(self) -> None:
        if self._file is not None:
            os.close(self._file)


class _Opened:
    """A sign as it was put away, each part read when it is first asked for: no document needs all of them."""

    def __init__(self, common: Common, packed: bytes, load: Callable[[bytes], Any]) -> None:
        self._common, self._packed, self._load = common, packed, load

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
            found = from_form(self._load(_part(self._packed, name)), self._common)
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
    is_text: bool

    def open(self) -> Made:
        return self.shelf.open(self)


def pack(made: Made, common: Common) -> bytes:
    """A made sign as bytes for this run alone, which takes a third of the time of a text; what is common goes there."""
    return _join([marshal.dumps(to_form(getattr(made, name), common)) for name in _PARTS])


def pack_text(text: str) -> bytes:
    """The text of a made sign, each part where it can be read alone.

    Raises:
        ValueError: it has not as many parts.
    """
    return _join([part.encode("ascii") for part in text.split(_TAB)])


def _join(parts: Sequence[bytes]) -> bytes:
    if len(parts) != len(_PARTS):
        raise ValueError(f"a made sign has {len(_PARTS)} parts, not {len(parts)}")
    return _HEAD.pack(*map(len, parts)) + b"".join(parts)


def _part(packed: bytes, name: str) -> bytes:
    sizes, at = _HEAD.unpack_from(packed), _PARTS.index(name)
    start = _HEAD.size + sum(sizes[:at])
    return packed[start : start + sizes[at]]


def written_out(holder: Holder, common: Common) -> str:
    """A made sign as text, with what it has in common with others.

    Raises:
        TypeError: the holder is none of this program's.
    """
    if isinstance(holder, InHand):
        return _TAB.join(to_text(getattr(holder.made, name), common) for name in _PARTS)
    if not isinstance(holder, Shelved):
        raise TypeError(f"what a {type(holder).__name__} holds cannot be written out")
    packed = holder.shelf.read(holder)
    parts = [_part(packed, name) for name in _PARTS]
    texts = [part.decode("ascii") if holder.is_text else form_text(marshal.loads(part)) for part in parts]  # noqa: S302
    text = _TAB.join(texts)
    copy_common(text, holder.shelf.common, common)
    return text


def copy_common(text: str, given: Common, to: Common) -> None:
    """Give a text's common values to where it will be read, and what these are made of."""
    left = set(_COMMON.findall(text))
    while left:
        digest = left.pop()
        if digest not in to.texts:
            to.texts[digest] = given.texts[digest]
            left.update(_COMMON.findall(given.texts[digest]))


def put_away(holders: Iterable[Holder | None], common: Common) -> tuple[list[bytes], dict[str, str]]:
    """Made signs packed, and the texts of what is new in common: as one process sends them to another."""
    known = len(common.texts)
    packed = [pack(holder.open(), common) for holder in holders if holder is not None]
    return packed, dict(islice(common.texts.items(), known, None))
