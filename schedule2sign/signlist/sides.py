"""What the spaces on both sides of a door change about its sign."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.sign import Side
from schedule2sign.signlist.openings import Opening
from schedule2sign.signlist.questions import ask_row
from schedule2sign.signlist.rooms import Kind
from schedule2sign.signlist.rulebook import RuleBook

_EXTERIOR = re.compile(r"\bEXTERIOR (?:VESTIBULE|ENTRY|DOOR|LOBBY)\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What was decided about one opening. `name` is the room name the sign works with; `template` "" makes no sign.

    `load` is the occupant load as the schedule gives it, "" where it gives none that can be used, None where none is due;
    `load_said` is what it says of it, in its own words.
    `final` decisions stand whatever else is doubtful about the row: a row that is not used needs no right name.
    """

    rule: str
    reason: str
    category: str
    template: str
    name: str
    side: Side = Side.CORRIDOR
    also: str = ""
    pictogram: str = ""
    symbol: str = ""
    load: str | None = None
    load_said: str = ""
    person: bool = False
    final: bool = False
    flags: tuple[Flag, ...] = ()


class Sides:
    """Knows which doors lead into a room, and which rooms doors lead on from."""

    def __init__(
        self, book: RuleBook, openings: Sequence[Opening], doors: Mapping[tuple[str, str], Sequence[Opening]]
    ) -> None:
        self._book = book
        self._doors = doors
        self._left_from = frozenset((opening.level, opening.from_text) for opening in openings if opening.from_text)

    def apply(self, opening: Opening, choice: Choice) -> Choice:
        """What the space in front of the door changes."""
        outside = opening.came_from is Kind.OUTSIDE or bool(_EXTERIOR.search(choice.name))
        others = [door for door in self._doors.get(opening.room, ()) if door is not opening]
        if choice.category == "lobby" and (opening.level, opening.room[1]) in self._left_from:
            choice = replace(choice, rule="N1", category="circulation", template="", flags=())
            choice = replace(choice, reason=self._book.rule("N1").reason)
        if choice.category in ("circulation", "life-safety") and choice.rule in ("N1", "E1", "L1"):
            beside_stair = choice.rule != "L1" or outside or any(not other.alone for other in others)
            if opening.row.door and (outside or opening.alone) and beside_stair:
                return self._exit_candidate(opening, choice)
            return choice
        if choice.category == "open" and not opening.row.door:
            what = choice.reason.partition(":")[0]
            reason = f"{what} without a door of its own: no sign unless the owner wants one"
            return replace(choice, template="", reason=reason)
        if choice.rule == "C2" and opening.came_from is not Kind.PUBLIC:
            inside = opening.came_from is Kind.ROOM
            reason = "closet inside a room: no sign" if inside else "closet: no sign"
            return replace(choice, rule="C1", template="", reason=reason, flags=() if inside else choice.flags)
        if not choice.template or choice.category == "life-safety":
            return choice
        if opening.came_from is Kind.ROOM:
            return self._inner_room(opening, choice, others)
        if outside:
            message = f"{opening.label} opens from outside: its sign is built and fixed for the weather."
            fix = (
                "Say whether a sign is wanted outside, and whether the door is an exit that needs its own sign inside."
            )
            flag = ask_row(
                opening.row, "exterior", Severity.ASK, message, fix, "architect", clause="ADA 216.2 exception"
            )
            return replace(choice, side=Side.EXTERIOR, flags=(*choice.flags, flag))
        if opening.alone and opening.row.door:
            message = f"{opening.label}: the file names only one space at this door; the other side may be outside."
            fix = "Say where the door leads from; from outside the sign is built for the weather and EXIT may be due inside."
            flag = ask_row(opening.row, "other-side-unknown", Severity.ASK, message, fix, "architect")
            return replace(choice, flags=(*choice.flags, flag))
        return choice

    def _exit_candidate(self, opening: Opening, choice: Choice) -> Choice:
        message = (
            f"{opening.label} is or may be an outside door of a way out; a tactile EXIT sign may be due inside. "
            "None is made from a door schedule."
        )
        fix = "Compare with the life-safety plan; add a row named EXIT where one is due."
        flag = ask_row(
            opening.row, "exit-candidate", Severity.ASK, message, fix, "building official", clause="ADA 216.4.1"
        )
        reason = "outside door of a corridor, lobby, vestibule or stair: candidate for an EXIT sign, none made"
        return replace(choice, rule="L4", template="", also="", reason=reason, flags=(*choice.flags, flag))

    def _inner_room(self, opening: Opening, choice: Choice, others: Sequence[Opening]) -> Choice:
        """A door between two rooms: a second way in needs no sign, an only way in does."""
        place = f"{opening.label} is entered from {opening.from_text}, which is a room"
        outer = [door.row.door for door in others if door.came_from is not Kind.ROOM]
        small = choice.category in ("storage", "closet", "toilet")
        if outer or small:
            why = f"; it has another way in by {', '.join(sorted(outer))}" if outer else ""
            message = f"{place}{why}: no sign is made."
            flag = ask_row(opening.row, "inner-door", Severity.ASK, message, "Say whether one is wanted.", "owner")
            reason = "door between two rooms: no sign"
            return replace(choice, rule="N2", template="", reason=reason, flags=(flag,))
        message = f"{place}; no door of it is known to lead from a corridor, so it gets its sign there."
        flag = ask_row(opening.row, "inner-room", Severity.ASK, message, "Say whether one is wanted.", "owner")
        return replace(choice, flags=(*choice.flags, flag))
