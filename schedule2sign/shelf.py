"""Made signs put away while a job is worked on: packed in a file without a name, opened when they are drawn."""

import hashlib
import json
import marshal
import os
import re
import tempfile
import weakref
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, fields, replace
from functools import cached_property
from itertools import accumulate, islice, pairwise
from struct import Struct
from typing import Any, TypeVar

from schedule2sign.errors import InputError
from schedule2sign.model.bench import SignCut
from schedule2sign.model.job import Holder, InHand, Made, MadeSign, SignWork
from schedule2sign.model.plate import Close, Cutting, DrillRows, Plate
from schedule2sign.model.rule import Verdict
from schedule2sign.model.shape import SignLayout
from schedule2sign.plainform import DIGEST, Common, form_text, from_form, to_form, to_text

_OPEN = 100  # signs that stay open: those of a stock sheet
# What this run put away can be read; the checksums of an earlier run's folder say only that it is unchanged.
_FOREIGN = (
    "What an earlier run left for this one (folder rebuild in its output) was not written by this program. "
    "Build with --anew, or into another folder."
)
_Part = TypeVar("_Part")
_Same = TypeVar("_Same", bound=Hashable)
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
        self._written: dict[str, Any] = {}
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

    def share(self, work: SignWork) -> SignWork:
        """The work with the one value of all that is equal in many: what comes from elsewhere has its own copies."""
        one = self.one
        return replace(
            work,
            made_with=one(work.made_with),
            braille=tuple(map(one, work.braille)),
            plate=self._share_plate(work.plate) if work.plate is not None else None,
            findings=one(work.findings),
            close=self._share_close(work.close),
        )

    def one(self, value: _Same) -> _Same:
        """The one value of those that are equal; of numbers only where no two equal ones are written otherwise."""
        known: _Same = self._known.setdefault(value, value)
        return known

    def _share_plate(self, plate: Plate) -> Plate:
        exact = self._exact
        # Plates have few sizes, and what stands on them begins and ends in few places.
        return replace(
            plate,
            build=self.one(plate.build),
            cell_size=self.one(plate.cell_size),
            texts=tuple(map(self.one, plate.texts)),
            remedies=self.one(plate.remedies),
            width_mm=exact(plate.width_mm),
            height_mm=exact(plate.height_mm),
            corner_radius_mm=exact(plate.corner_radius_mm),
            tactile_mm=exact(plate.tactile_mm),
            span_mm=exact(plate.span_mm),
            patches=exact(plate.patches),
            holes=exact(plate.holes),
            window=exact(plate.window),
            outline=exact(plate.outline),
        )

    def _share_close(self, close: tuple[Close, ...]) -> tuple[Close, ...]:
        found = []
        for one in close:
            measured = one.measurement
            numbers = repr((measured.value, measured.margin, measured.margin_mm))
            found.append(self._known.setdefault((one.rule, measured.limit, numbers, measured.where), one))
        known: tuple[Close, ...] = self._known.setdefault(tuple(map(id, found)), tuple(found))
        return known

    def _exact(self, value: _Same) -> _Same:
        """The one value of those that are written alike: 0.0 and -0.0 are equal, and are two."""
        known: _Same = self._written.setdefault(repr(value), value)
        return known

    def forget(self) -> None:
        """All signs are made: nothing more is shared."""
        self._known.clear()
        self._written.clear()

    def know(self, values: Iterable[Hashable]) -> None:
        """These are the ones to share where equal ones come."""
        self._known.update((value, value) for value in values)

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
                return _Opened(self.common, _split_text(split_kept(packed)[2]), json.loads)
        return _Opened(self.common, _split(packed), marshal.loads)

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
        self._common, self._parts, self._load = common, dict(zip(_PARTS, parts, strict=True)), load

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


def pack(made: Made, common: Common) -> bytes:
    """A made sign as bytes for this run alone, which takes a third of the time of a text; what is common goes there."""
    parts = [marshal.dumps(to_form(getattr(made, name), common)) for name in _PARTS]
    return _HEAD.pack(*map(len, parts)) + b"".join(parts)


def _split(packed: bytes) -> list[bytes]:
    """The parts of what `pack` packed."""
    ends = [*accumulate(_HEAD.unpack_from(packed), initial=_HEAD.size)]
    return [packed[begin:end] for begin, end in pairwise(ends)]


def _split_text(text: bytes) -> list[bytes]:
    """The parts of what `written_out` wrote."""
    parts = text.split(_TAB.encode())
    if len(parts) != len(_PARTS):
        raise ValueError(f"a made sign has {len(_PARTS)} parts, not {len(parts)}")
    return parts


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
    if isinstance(holder, Kept):
        text = split_kept(packed)[2].decode("ascii")
    else:
        text = _TAB.join(form_text(marshal.loads(part)) for part in _split(packed))  # noqa: S302
    copy_common(_COMMON.findall(text), holder.shelf.common, common)
    return text


def join_kept(light: str, made: str) -> bytes:
    """A work as an earlier run leaves it: the digests of what it has in common with others, and itself in two lines."""
    digests = sorted({*_COMMON.findall(light), *_COMMON.findall(made)})
    rest = f"{''.join(digests)}\n{light}\n{made}\n".encode("ascii")
    return b"%s\n%s" % (hashlib.sha256(rest).hexdigest().encode("ascii"), rest)


def split_kept(data: bytes) -> tuple[bytes, bytes, bytes]:
    """Digests of what is common, the work and the made sign of what `join_kept` joined.

    Raises:
        ValueError: it is not what was joined.
    """
    check, _, rest = data.partition(b"\n")
    digests, light, made, end = rest.split(b"\n")
    if end or check != hashlib.sha256(rest).hexdigest().encode("ascii"):
        raise ValueError("a work of an earlier run is not as it was written")
    return digests, light, made


def copy_kept(place: Kept, to: Common) -> bytes:
    """A work as an earlier run left it, to be left again; what it has in common with others goes there."""
    data = place.shelf.read(place)
    digests = split_kept(data)[0].decode("ascii")
    copy_common((digests[begin : begin + DIGEST] for begin in range(0, len(digests), DIGEST)), place.shelf.common, to)
    return data


def copy_common(digests: Iterable[str], given: Common, to: Common) -> None:
    """Give common values to where they will be read, and what these are made of."""
    left = set(digests)
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
