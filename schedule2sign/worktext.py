"""A made sign as bytes for this run, and a work as text for the next one: in parts that are read one by one."""

import hashlib
import marshal
import re
from collections.abc import Iterable, Iterator
from dataclasses import fields
from itertools import accumulate, pairwise
from struct import Struct

from schedule2sign.model.job import Made, MadeSign
from schedule2sign.plainform import DIGEST, Common, form_text, to_form, to_text

PARTS = tuple(field.name for field in fields(MadeSign))
_HEAD = Struct(f"<{len(PARTS)}I")  # sizes of the parts, before them
_TAB = "\t"  # between the parts of a text: none of them has one
_COMMON = re.compile(r'\["@","([0-9a-f]+)"\]')


def pack(made: Made, common: Common) -> bytes:
    """A made sign as bytes for this run alone, which takes a third of the time of a text; what is common goes there."""
    parts = [marshal.dumps(to_form(getattr(made, name), common)) for name in PARTS]
    return _HEAD.pack(*map(len, parts)) + b"".join(parts)


def split_bytes(packed: bytes) -> list[bytes]:
    """The parts of what `pack` packed."""
    ends = [*accumulate(_HEAD.unpack_from(packed), initial=_HEAD.size)]
    return [packed[begin:end] for begin, end in pairwise(ends)]


def made_text(made: Made, common: Common) -> str:
    """A made sign as text; what is common goes there."""
    return _TAB.join(to_text(getattr(made, name), common) for name in PARTS)


def unpacked_text(packed: bytes) -> str:
    """The same text, of what `pack` packed."""
    return _TAB.join(form_text(marshal.loads(part)) for part in split_bytes(packed))  # noqa: S302 - this run packed it


def split_text(text: bytes) -> list[bytes]:
    """The parts of such a text.

    Raises:
        ValueError: it has others.
    """
    parts = text.split(_TAB.encode())
    if len(parts) != len(PARTS):
        raise ValueError(f"a made sign has {len(PARTS)} parts, not {len(parts)}")
    return parts


def join_kept(light: str, made: str) -> bytes:
    """A work as an earlier run leaves it: the digests of what it has in common with others, and itself in two lines."""
    digests = sorted({*common_in(light), *common_in(made)})
    rest = f"{''.join(digests)}\n{light}\n{made}\n".encode("ascii")
    return b"%s\n%s" % (hashlib.sha256(rest).hexdigest().encode("ascii"), rest)


def split_kept(data: bytes) -> tuple[bytes, bytes, bytes]:
    """Digests of what is common, one after another, the work and the made sign of what `join_kept` joined.

    Raises:
        ValueError: it is not what was joined.
    """
    check, _, rest = data.partition(b"\n")
    digests, light, made, end = rest.split(b"\n")
    if end or check != hashlib.sha256(rest).hexdigest().encode("ascii"):
        raise ValueError("a work of an earlier run is not as it was written")
    return digests, light, made


def common_of_kept(data: bytes) -> Iterator[str]:
    """Digests of what the work has in common with others; raises as `split_kept`."""
    digests = split_kept(data)[0].decode("ascii")
    return (digests[begin : begin + DIGEST] for begin in range(0, len(digests), DIGEST))


def common_in(text: str) -> list[str]:
    """Digests of the common values that a text names."""
    return _COMMON.findall(text)


def copy_common(digests: Iterable[str], given: Common, to: Common) -> None:
    """Give common values to where they will be read, and what these are made of."""
    left = set(digests)
    while left:
        digest = left.pop()
        if digest not in to.texts:
            to.texts[digest] = given.texts[digest]
            left.update(common_in(given.texts[digest]))
