"""Stable sign ids, from what the source says of a door, never from where its row stands."""

import hashlib
import re
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from schedule2sign.model.sign import Side

MOST_CHARACTERS = 40
_MOST_JOB, _MOST_LEVEL, _MOST_PLACE, _HASH = 12, 4, 15, 4
_NUMBERED_LEVEL = re.compile(r"(LEVEL|FLOOR|STORY|BASEMENT|PARKING)? ?([A-Z]?)0*(\d{1,3})")
# A period or a blank in a mark is common and becomes "_"; what else a file name cannot carry leaves a hash behind.
_ODD = re.compile(r"[^A-Z0-9-]+")
_POISON = re.compile(r"[^A-Za-z0-9 ._-]|\.\.|^(?:CON|PRN|AUX|NUL|COM\d|LPT\d)(?:\.|$)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """What a sign's id is made from.

    Attributes:
        mark: door mark, else room number, else name, cleaned.
        given: the same as the cell has it; tells twins apart that differ in case only.
        content: the rest of the row's text; tells apart rows that claim one mark.
        kind: of a sign that hangs beside another on one side: "D" symbol on the door, "L" occupant load.
    """

    level: str
    mark: str
    given: str
    content: tuple[str, ...]
    side: Side
    kind: str = ""

    @property
    def letter(self) -> str:
        """The end of the id: the side, or the kind of a second sign on that side."""
        return self.kind or self.side.value


def make_ids(job: str, places: Sequence[Place]) -> tuple[tuple[str, ...], frozenset[int]]:
    """An id for each place, unique, and the indexes of those that had to be told apart.

    The ids depend on the set of places, not on their order. Places that share an id get a hash of their own text;
    those whose text is the same to the letter are interchangeable and are counted.
    """
    plain = [sign_id(job, place.level, place.mark, place.letter) for place in places]
    shared = Counter(plain)
    # A hash may meet the plain id of another place in theory; then everybody who shares anything gets one.
    ids = [
        base if shared[base] == 1 else sign_id(job, place.level, place.mark, place.letter, _digest(*_whole(place)))
        for base, place in zip(plain, places, strict=True)
    ]
    groups: defaultdict[str, list[int]] = defaultdict(list)
    for index, name in enumerate(ids):
        groups[name].append(index)
    taken = set(groups)
    for name in sorted(name for name, indexes in groups.items() if len(indexes) > 1):
        for copy, index in enumerate(sorted(groups[name], key=lambda at: _whole(places[at]))):
            if copy:
                number = copy + 1
                while (numbered := _numbered(name, number)) in taken:
                    number += 1
                taken.add(numbered)
                ids[index] = numbered
    return tuple(ids), frozenset(index for index, base in enumerate(plain) if shared[base] > 1)


def sign_id(job: str, level: str, mark: str, letter: str, digest: str = "") -> str:
    """JOB-LEVEL-MARK-LETTER in capitals, digits, "-" and "_", at most 40 characters: a file name on any system."""
    return "-".join((_job_code(job), level_code(level), mark_code(mark, digest), letter))


def is_marked(mark: str) -> bool:
    """True when the id of this mark carries a hash because a file name cannot carry the mark itself."""
    if mark[:1].isdigit() and mark.isascii() and mark.isalnum() and len(mark) <= _MOST_PLACE:
        return False  # 101A, as most
    return bool(_POISON.search(mark)) or not 0 < len(_code(mark, len(mark))) <= _MOST_PLACE


def mark_code(mark: str, digest: str = "") -> str:
    """The mark as part of a file name; with a hash where too much of it was lost."""
    digest = digest or (_digest(mark) if is_marked(mark) else "")
    if not digest:
        return _code(mark, _MOST_PLACE)
    return f"{_code(mark, _MOST_PLACE - _HASH - 1) or 'X'}_{digest}"


@lru_cache(maxsize=1)
def _job_code(job: str) -> str:
    return _code(job, _MOST_JOB) or "JOB"


@lru_cache(maxsize=1024)  # a building has a few levels for its thousands of doors
def level_code(level: str) -> str:
    """LEVEL 2 -> 02, BASEMENT 1 -> B1, LEVEL P1 -> P1, UPPER MEZZANINE -> UM, unknown -> X."""
    if found := _NUMBERED_LEVEL.fullmatch(level.upper()):
        word, letter, number = found.groups()
        letter = letter or {"BASEMENT": "B", "PARKING": "P"}.get(word, "")
        return f"{letter}{number}" if letter else number.zfill(2)
    words = re.findall(r"[A-Z0-9]+", level.upper())
    return "".join(word[0] for word in words)[:_MOST_LEVEL] or "X"


def _whole(place: Place) -> tuple[str, ...]:
    return (place.level, place.mark, place.given, *place.content)


def _numbered(name: str, number: int) -> str:
    head, _, side = name.rpartition("-")
    tail = f"_{number}"
    return f"{head[: MOST_CHARACTERS - len(side) - 1 - len(tail)]}{tail}-{side}"


def _code(text: str, most: int) -> str:
    if text.isascii() and text.isalnum():
        return text.upper()[:most]
    return _ODD.sub("_", text.upper())[:most].strip("-_")


def _digest(*texts: str) -> str:
    return hashlib.sha256("\x1f".join(texts).encode("utf-8", "replace")).hexdigest()[:_HASH].upper()
