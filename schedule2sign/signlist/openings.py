"""Each row as an opening: which room its sign names, under which number, and where a visitor comes from."""

import re
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from schedule2sign.model.flag import Flag, Severity, holds
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Field
from schedule2sign.model.settings import Settings, SuffixMeaning
from schedule2sign.signlist.phrases import plain
from schedule2sign.signlist.questions import ask_row
from schedule2sign.signlist.rooms import Kind, Room, Rooms, adjacent_rooms

_SUFFIXED = re.compile(r"(.*\d)[-. ]?([A-Z]{1,2})")
# Letters, digits, one letter suffix or two, joined by hyphens or periods: 101, 101AB, B-014, 2-104, P1.07, S-101A.
_POSTABLE = re.compile(r"[A-Z]{0,4}[-.]?\d{1,6}[A-Z]{0,3}(?:[-.][A-Z]{0,3}\d{0,5}[A-Z]{0,3}){0,3}")
_MADE_DATE = re.compile(r"(?:19|20)\d\d-\d\d-\d\d.*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """What one row says about a door or a room.

    Attributes:
        number: as posted on the finished door, "" where none is known.
        room: identity of the room: level and number in the schedule.
        name, level: of the room the sign names.
        room_row: the room schedule's row of the room, for a door; what it says holds at its doors too.
        named_row: the row that the name comes from.
        came_from: what the visitor stands in; `from_text` is the cell's own text.
        alone: the file names one space only at this door.
        flags: questions about number, joining and sides.
    """

    row: NamedRow
    number: str
    room: tuple[str, str]
    name: str
    level: str
    came_from: Kind
    from_text: str
    alone: bool
    room_row: NamedRow | None
    named_row: NamedRow
    flags: tuple[Flag, ...]

    @property
    def label(self) -> str:
        """What messages call it."""
        row = self.row
        head = f"Door {row.door}" if row.door else f"Room {row.room_number}" if row.room_number else "The row"
        if row.door and self.number not in ("", row.door):
            head += f" of {self.number}"
        name = self.name or self.name_as_given
        return f"{head} ({name})" if name else head

    @property
    def name_as_given(self) -> str:
        """The name cell the sign's name was made from."""
        return self.named_row.name_as_given

    @property
    def given_flags(self) -> tuple[Flag, ...]:
        """What reading and naming said of the row, of the room's row and of the row that names it."""
        rows = [row for row in (self.row, self.room_row, self.named_row) if row]
        return tuple(dict.fromkeys(flag for row in rows for flag in (*row.raw.flags, *row.flags)))

    def text(self, field: Field) -> str:
        """The row's own cell, else the cell of the room's row."""
        return self.row.raw.text(field) or (self.room_row.raw.text(field) if self.room_row else "")


class Opener:
    """Makes openings, knowing every row of the job."""

    def __init__(self, rows: Sequence[NamedRow], rooms: Rooms, settings: Settings) -> None:
        self._rooms = rooms
        self._settings = settings
        self._has_final = any(row.raw.text(Field.FINAL_NUMBER) for row in rows)
        self._siblings = Counter(found[1] for row in rows if row.door and (found := _SUFFIXED.fullmatch(row.door)))
        self._marks = frozenset(row.door for row in rows if row.door)
        bare = [row for row in rows if row.door and not row.room_number and not row.raw.text(Field.TO_ROOM)]
        fitting = sum(rooms.begins(row.level, row.door) is not None or bool(adjacent_rooms(row)) for row in bare)
        self._misfit = rooms.any_listed and 2 * fitting < len(bare)
        self.suffixed = 0  # rows whose number hangs on what a suffix letter means
        self.sideless = 0  # doors whose reading side is assumed

    def open(self, row: NamedRow, level: str) -> Opening:
        """The opening of one row.

        Args:
            level: its settled level, "" where unknown.
        """
        flags: list[Flag] = []
        room = self._find_room(row, level, flags)
        from_text = plain(row.raw.text(Field.FROM_ROOM))
        spaces = adjacent_rooms(row)
        beside = [number for number in spaces if room is None or number != room.number]
        alone = bool(spaces) and not beside
        if not from_text and len(beside) == 1:
            from_text = beside[0]
        joined, (room, from_text) = room, self._turn(row, room, from_text, flags)
        level = level or (room.level if room else "")
        if room and self._rooms.find(level, from_text) == self._rooms.find(level, room.number) is not None:
            from_text = ""  # a schedule that reads from the room out does not say where people come from
        came_from = self._rooms.kind(level, from_text)
        if row.door and came_from is Kind.UNKNOWN:
            self.sideless += 1
        number = room.number if room else self._mark_as_number(row, flags)
        known = self._rooms.find(level, number)
        room_row = known.row if known and row.door and not known.row.door else None
        names_itself = bool(row.name) and room is joined
        if known and room is joined:
            self._compare_names(row, known, flags)
        return Opening(
            row=row,
            number=self._posted(row, room_row, number, flags),
            room=(known.level, known.number) if known else (level, number),
            name=row.name if names_itself or room is None else room.name,
            level=level,
            came_from=came_from,
            from_text=from_text,
            alone=alone,
            room_row=room_row,
            named_row=row if names_itself or known is None else known.row,
            flags=tuple(flags),
        )

    def _compare_names(self, row: NamedRow, known: Room, flags: list[Flag]) -> None:
        """A joined room whose name is not the row's own; rows with a room column are compared with each other elsewhere."""
        own, others = row.name, set(known.names) - {row.name}
        if (own and others and not row.room_number) or (not own and len(others) > 1):
            self._disagree(row, f"this row calls it {own or 'nothing'}", known, flags)

    def _find_room(self, row: NamedRow, level: str, flags: list[Flag]) -> Room | None:
        """The room the row belongs to: its room column, its TO column, else the longest number that begins the mark."""
        if row.room_number:
            return self._suffix_is_door(row, level) or self._numbered_room(row, level)
        if not row.door:
            return None
        begun = self._rooms.begins(level, row.door)
        to_text = plain(row.raw.text(Field.TO_ROOM))
        led = self._rooms.find(level, to_text) if to_text else None
        if led and begun and led.number != begun.number and not self._leads_back(row, level, begun):
            self._disagree(row, f"its TO room is {led.number}", begun, flags)
        if led:
            return led
        spaces = adjacent_rooms(row)
        if begun and spaces and begun.number not in spaces:
            self._disagree(row, f"the spaces beside it are {', '.join(spaces)}", begun, flags)
        if begun:
            if self._misfit:
                message = (
                    f"Door {row.door} begins with the number of room {begun.number} {' or '.join(begun.names)}, but most "
                    "doors of the file fit no room of the room schedule."
                )
                fix = "Say whether door and room schedule number alike; else name the room of each door."
                flags.append(ask_row(row, "weak-join", Severity.HOLD, message, fix, "architect"))
            return begun
        known = [found for number in spaces if (found := self._rooms.find(level, number))]
        inner = [found for found in known if self._rooms.kind_of_name(found.name) is Kind.ROOM]
        if len(inner) == 1:
            flags.append(
                ask_row(
                    row, "room-by-side", Severity.ASK,
                    f"Door {row.door} begins with no known room number; of the spaces beside it "
                    f"({', '.join(spaces)}) only {inner[0].number} {inner[0].name} is a room: its sign names that.",
                    "Confirm the room.", "architect",
                )
            )  # fmt: skip
            return inner[0]
        return None

    def _numbered_room(self, row: NamedRow, level: str) -> Room:
        known = self._rooms.find(level, row.room_number)
        name = row.name or (known.name if known else "")
        return Room(number=row.room_number, level=level, name=name, names=(name,), row=row, listed=not row.door)

    def _leads_back(self, row: NamedRow, level: str, begun: Room) -> bool:
        """The mark belongs to the FROM room: a schedule that reads from the room out."""
        return self._rooms.find(level, plain(row.raw.text(Field.FROM_ROOM))) == begun

    def _disagree(self, row: NamedRow, said: str, begun: Room, flags: list[Flag]) -> None:
        flags.append(
            ask_row(
                row, "sources-disagree", Severity.HOLD,
                f"Door {row.door} belongs to room {begun.number} {' or '.join(begun.names)} by its number, but {said}.",
                "Say which room this door leads to.", "architect",
            )
        )  # fmt: skip

    def _suffix_is_door(self, row: NamedRow, level: str) -> Room | None:
        """Where the job says that a letter is a second door, 121A in the room column is room 121 if there is one."""
        found = _SUFFIXED.fullmatch(row.room_number)
        if not found or self._settings.suffix is not SuffixMeaning.DOOR or row.room_number != row.door:
            return None
        base = self._rooms.find(level, found[1])
        return base if base and row.name in ("", base.name) else None

    def _turn(self, row: NamedRow, room: Room | None, from_text: str, flags: list[Flag]) -> tuple[Room | None, str]:
        """A door named after the space people walk in names the room behind it."""
        if room is None or not row.door or self._rooms.kind_of_name(room.name) is not Kind.PUBLIC:
            return room, from_text
        other = self._rooms.find(row.level or room.level, from_text)
        if other is None or not other.name or self._rooms.kind_of_name(other.name) is not Kind.ROOM:
            return room, from_text
        explicit = bool(row.room_number or row.raw.text(Field.TO_ROOM))
        if explicit and self._rooms.begins(row.level, row.door) != other:
            return room, from_text
        flags.append(
            ask_row(
                row, "read-from-circulation", Severity.ASK,
                f"Door {row.door} stands between {room.number} {room.name} and {other.number} {other.name}; "
                f"people come from {room.number}, so its sign names {other.number}.",
                "Confirm, or omit the sign.", "architect",
            )
        )  # fmt: skip
        return other, room.number

    def _mark_as_number(self, row: NamedRow, flags: list[Flag]) -> str:
        """The door mark where nothing else gives a number: asked, or held where it may well be wrong."""
        if not row.door:
            return ""
        found = _SUFFIXED.fullmatch(row.door)
        several = bool(found) and (self._siblings[found[1]] > 1 or found[1] in self._marks) if found else False
        if self._rooms.any_listed:
            message = f"Door mark {row.door} begins with no room number of the room schedule: which room is it?"
            severity = Severity.HOLD
        elif found and several and self._settings.suffix is SuffixMeaning.ASK:
            self.suffixed += 1
            message = (
                f"Door {row.door} is one of several marks that begin with {found[1]}, and no room column says more."
            )
            severity = Severity.HOLD
        else:
            nothing = "neither room number nor name" if not row.name else "no room number"
            message = f"The row has {nothing}; the door mark {row.door} is taken for the number."
            severity = Severity.ASK
        flags.append(
            ask_row(row, "door-mark-as-number", severity, message, "Give the room number to be posted.", "architect")
        )
        if found and several and self._settings.suffix is SuffixMeaning.DOOR:
            return found[1]
        return row.door

    def _posted(self, row: NamedRow, room_row: NamedRow | None, number: str, flags: list[Flag]) -> str:
        """The number on the finished door, and whether it can be one."""
        said = row.raw.text(Field.FINAL_NUMBER) or (room_row.raw.text(Field.FINAL_NUMBER) if room_row else "")
        final = plain(said).replace(" ", "")
        if final and final != number:
            message = f"Posted as {final}; {number or 'no number'} is the construction number."
            flags.append(ask_row(row, "final-number", Severity.NOTE, message, "", "shop"))
        elif not final and self._has_final and number:
            message = f"Other rows give a final number, this one does not: {number} is the construction number."
            flags.append(ask_row(row, "no-final-number", Severity.ASK, message, "Give the final number.", "owner"))
        posted = final or number
        told = any(
            "number" in flag.code or "look-alike" in flag.code or "date" in flag.code
            for flag in row.flags
            if holds((flag,))
        )
        told = told or any(flag.code == "signlist/door-mark-as-number" and holds((flag,)) for flag in flags)
        if posted and not told and (not _POSTABLE.fullmatch(posted) or _MADE_DATE.fullmatch(posted)):
            message = f"{posted!r} does not read as one room number: a range, a date, a look-alike letter or a word?"
            flags.append(
                ask_row(row, "odd-number", Severity.HOLD, message, "Give the number to be posted.", "architect")
            )
        return posted


def doors_by_room(openings: Sequence[Opening]) -> dict[tuple[str, str], list[Opening]]:
    """Openings with a door mark, by the room they name."""
    groups: defaultdict[tuple[str, str], list[Opening]] = defaultdict(list)
    for opening in openings:
        if opening.row.door and opening.room[1]:
            groups[opening.room].append(opening)
    return groups
