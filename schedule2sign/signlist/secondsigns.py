"""Signs that a row makes beside its first: floor level, symbol on the door, occupant load."""

import re
from dataclasses import dataclass, replace

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.settings import Settings
from schedule2sign.model.sign import Message, Role, Side, SignRequest
from schedule2sign.signlist.identity import level_code
from schedule2sign.signlist.leaves import Leaves
from schedule2sign.signlist.loads import LOAD_CLAUSE
from schedule2sign.signlist.openings import Opening
from schedule2sign.signlist.questions import ask_row
from schedule2sign.signlist.rulebook import RuleBook
from schedule2sign.signlist.sides import Choice

UNNAMED = "signlist/stair-unnamed"
LOAD, SYMBOLS = "occupant-load", ("door-men", "door-women", "door-all")
_LEVEL = re.compile(r"(?:LEVEL|FLOOR|STORY) ?([A-Z]?\d+)")
_ON_DOOR = "on the door itself, its center 58 to 60 in above the floor (CBC 11B-703.7.2.6, from memory)"


def level_sign(
    first: SignRequest,
    opening: Opening,
    leaves: Leaves,
    settings: Settings,
    book: RuleBook,
    discharge: frozenset[str],
) -> SignRequest:
    """The floor level on the stair side of the same door.

    Args:
        discharge: codes of the levels of exit discharge, empty where nobody says.
    """
    found = _LEVEL.fullmatch(opening.level)
    text = f"{settings.wording.level.upper()} {found[1]}" if found else opening.level
    flags = tuple(flag for flag in first.flags if flag.code != UNNAMED)
    if not text:
        text = settings.wording.level.upper()
        message = f"{first.door or first.room_number or 'The stair'}: the schedule does not say which level this is."
        fix = "Give the level in a column or a heading."
        flags = (
            *flags,
            ask_row(opening.row, "no-level", Severity.HOLD, message, fix, "architect", clause="IBC 1023.9"),
        )
    starred = book.wants("star", settings.standard)
    if starred and not discharge:
        message = f"{text}: whether this is the level of exit discharge, which takes a raised star, nobody has said."
        fix = 'Set discharge_level = "LEVEL 1" (or whichever it is) under [job]; accept this one where it is another level.'
        flag = ask_row(
            opening.row, "stair-star", Severity.HOLD, message, fix, "architect", clause="CBC 1023.9, 11B-504.8"
        )
        flags = (*flags, flag)
    return replace(
        first,
        messages=(Message(role=Role.LEVEL, text=text),),
        template="stair-level",
        side=Side.STAIR,
        rule="L2",
        reason="floor level on the stair side of the same door",
        flags=flags,
        pictogram="star" if starred and opening.level and level_code(opening.level) in discharge else "",
        insert_text="",
        hand=leaves.place(book, Side.STAIR),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Second:
    """What differs from the first sign of the row."""

    template: str
    side: Side
    rule: str
    reason: str
    flags: tuple[Flag, ...]
    insert_text: str = ""
    hand: str = ""


def second_signs(
    opening: Opening, choice: Choice, flags: tuple[Flag, ...], settings: Settings, book: RuleBook
) -> tuple[Second, ...]:
    """Signs without raised text that hang beside the first.

    Args:
        flags: of the row. What holds the first sign holds these; what is only asked about it is not asked again.
    """
    flags = tuple(flag for flag in flags if flag.severity is Severity.HOLD)
    found = []
    if choice.symbol and book.wants("door-symbol", settings.standard):
        found.append(
            Second(
                template=choice.symbol,
                side=choice.side,
                rule="T5",
                reason="symbol on the toilet-room door itself, beside the sign on the wall",
                flags=flags,
                hand=_ON_DOOR,
            )
        )
    if choice.load is not None:
        found.append(
            Second(
                template=LOAD,
                side=Side.ROOM,
                rule="A2",
                reason="occupant load as the schedule gives it, near the room's main exit: flat text",
                flags=(*flags, _ask_load(opening, choice.load, choice.load_said)),
                insert_text=f"MAXIMUM OCCUPANCY\n{choice.load}" if choice.load else "",
            )
        )
    return tuple(found)


def put_beside(first: SignRequest, second: Second) -> SignRequest:
    """The second sign as a request of its own."""
    return replace(
        first,
        messages=(),
        template=second.template,
        side=second.side,
        rule=second.rule,
        reason=second.reason,
        flags=second.flags,
        pictogram="",
        insert_text=second.insert_text,
        hand=second.hand,
    )


def _ask_load(opening: Opening, load: str, said: str) -> Flag:
    if load:
        message = (
            f"{opening.label}: its occupant load sign says {load}. The schedule says {said!r}; the wording is common practice, and "
            "which exit is the main one nobody has said."
        )
        fix = "Have the designer of record or the building official confirm number, wording and place."
        return ask_row(opening.row, LOAD, Severity.ASK, message, fix, "building official", clause=LOAD_CLAUSE)
    message = (
        f"{opening.label}: it has an occupant load to post, and no one number to post. The schedule says {said!r}; none is ever "
        "computed."
    )
    fix = "Get the number from the designer of record; give it in the schedule, or as a new name of this sign."
    return ask_row(
        opening.row, "occupant-load-unknown", Severity.HOLD, message, fix, "building official", clause=LOAD_CLAUSE
    )
