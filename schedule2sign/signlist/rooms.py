"""The rooms a job knows, by number: what a door mark belongs to and where a door leads from."""

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from schedule2sign.model.flag import worst_severity
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Field
from schedule2sign.signlist.phrases import plain
from schedule2sign.signlist.rulebook import RuleBook

_NUMBER_WORD = re.compile(r"^(?:ROOM|RM|NO|NUMBER)\.? ?|^# ?")
_SEPARATORS = re.compile(r"\s*[;,\n]\s*|\s+[&/]\s+")


class Kind(StrEnum):
    """What a space is to a visitor."""

    OUTSIDE = "outside"
    PUBLIC = "public space"
    ROOM = "room"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A room number of the job.

    Attributes:
        name: "" where no row names it, or rows name it differently.
        names: every name that rows give it.
        row: the row that stands for it, a row without a door first; where it got its name.
        listed: a row without a door stands for it.
    """

    number: str
    level: str
    name: str
    names: tuple[str, ...]
    row: NamedRow
    listed: bool


class Rooms:
    """Looks rooms up by number, level first."""

    def __init__(self, rows: Sequence[NamedRow], levels: Sequence[str], book: RuleBook) -> None:
        self._book = book
        self._kinds: dict[str, Kind] = {}
        grouped: defaultdict[tuple[str, str], list[NamedRow]] = defaultdict(list)
        for row, level in zip(rows, levels, strict=True):
            if row.room_number:
                grouped[level, row.room_number].append(row)
        self._rooms: dict[tuple[str, str], Room] = {}
        self._by_number: defaultdict[str, list[Room]] = defaultdict(list)
        for (level, number), group in sorted(grouped.items()):
            names = tuple(sorted({row.name for row in group if row.name}))
            best = group[0] if len(group) == 1 else min(group, key=_rank)
            room = Room(
                number=number,
                level=level,
                name=names[0] if len(names) == 1 else "",
                names=names,
                row=best,
                listed=any(not row.door for row in group),
            )
            self._rooms[level, number] = room
            self._by_number[number].append(room)
        self.any_listed = any(room.listed for room in self._rooms.values())

    def find(self, level: str, number: str) -> Room | None:
        """The room on that level, or the only one of that number where one of the levels is not known."""
        if found := self._rooms.get((level, number)):
            return found
        others = self._by_number.get(number, [])
        return others[0] if len(others) == 1 and not (level and others[0].level) else None

    def begins(self, level: str, mark: str) -> Room | None:
        """The room with the longest number that begins the door mark: 143AA is a door of 143A, not of 143."""
        for end in range(len(mark), 0, -1):
            # 101 is no door of room 10.
            if end < len(mark) and mark[end].isdigit() and mark[end - 1].isdigit():
                continue
            if room := self.find(level, mark[:end]):
                return room
        return None

    def kind(self, level: str, text: str) -> Kind:
        """What the space of a FROM cell is: by its number, else by its words."""
        words = plain(text)
        if not words:
            return Kind.UNKNOWN
        if self._book.outside.search(words):
            return Kind.OUTSIDE
        number = _NUMBER_WORD.sub("", words)
        room = self.find(level, number) or self.find(level, words)
        if room is None:
            return self.kind_of_name(words) if re.search(r"[A-Z]{3}", words) else Kind.UNKNOWN
        return self.kind_of_name(room.name) if room.name else Kind.UNKNOWN

    def kind_of_name(self, name: str) -> Kind:
        """Public where a visitor walks in: corridors, lobbies, open offices, stairs."""
        if name not in self._kinds:
            self._kinds[name] = self._judge_name(name)
        return self._kinds[name]

    def _judge_name(self, name: str) -> Kind:
        rule = self._book.name_rule(name)
        if rule and (rule.category in ("circulation", "lobby", "open") or rule.id == "L1"):
            return Kind.PUBLIC
        return Kind.PUBLIC if self._book.public.search(name) else Kind.ROOM


def _rank(row: NamedRow) -> tuple[object, ...]:
    """Independent of where the rows stand, unless they are the same to the letter; of those the one in most doubt."""
    worst = worst_severity((*row.raw.flags, *row.flags))
    return (bool(row.door), not row.name, row.raw.as_given, -worst.rank if worst else 1, row.raw.source)


def adjacent_rooms(row: NamedRow) -> tuple[str, ...]:
    """Room numbers of the cell that names the spaces on both sides, in no known order."""
    text = plain(row.raw.text(Field.ADJACENT))
    return tuple(sorted({part for part in _SEPARATORS.split(text) if part})) if text else ()
