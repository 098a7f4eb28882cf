"""A choice becomes signs: what each says, top to bottom, and where it hangs."""

import re
from functools import lru_cache

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Field
from schedule2sign.model.settings import Finality, Settings
from schedule2sign.model.sign import Message, Role, Side, SignRequest
from schedule2sign.signlist.leaves import Leaves
from schedule2sign.signlist.openings import Opening
from schedule2sign.signlist.phrases import plain
from schedule2sign.signlist.questions import ask_row
from schedule2sign.signlist.rulebook import RuleBook
from schedule2sign.signlist.secondsigns import UNNAMED, level_sign, put_beside, second_signs
from schedule2sign.signlist.sides import Choice

_PICTOGRAM = {"restroom": "all", "all-gender": "toilet"}
_NAME_FIRST = (*_PICTOGRAM, "changing", "elevator-equipment")  # the number stands below the name
_WITHOUT_NUMBER = ("utility", "lactation", "exterior")
_INDOORS = ("room", "number", "name", "utility", "elevator-equipment")  # outside, their words go on the exterior sign
_DESIGNATED = re.compile(
    r".*\b(?:[A-Z]|[A-Z]?-?\d{1,3}[A-Z]?|NORTH|SOUTH|EAST|WEST|N[EW]|S[EW])$|^(?:NORTH|SOUTH|EAST|WEST|MAIN)\b.*"
)


def make_requests(
    opening: Opening,
    choice: Choice,
    leaves: Leaves,
    flags: tuple[Flag, ...],
    settings: Settings,
    book: RuleBook,
    discharge: frozenset[str] = frozenset(),
) -> tuple[SignRequest, ...]:
    """The signs of one opening, without ids yet; none where there is nothing that may be raised.

    Args:
        discharge: codes of the levels of exit discharge, empty where nobody says.
    """
    template, messages, found = _say(opening, choice)
    if not messages:
        return ()
    beside = second_signs(opening, choice, flags, settings, book)
    flags = (*flags, *found, *_provisional(opening, messages, settings))
    row = opening.row
    insert = plain(opening.text(Field.INSERT))
    if insert and template in ("room", "number"):
        template = "room-insert"
    if template == "room-insert" and not insert:
        insert = choice.name or plain(opening.name_as_given)
    if choice.side is Side.EXTERIOR and template in _INDOORS:
        template = "exterior"
    first = SignRequest(
        sign_id="",
        source=row.raw.source,
        door=row.door,
        room_number=opening.number,
        level=opening.level,
        name_as_given=opening.name_as_given,
        messages=messages,
        template=template,
        side=choice.side,
        rule=choice.rule,
        reason=choice.reason,
        changes=row.changes if opening.named_row is row else (*row.changes, *opening.named_row.changes),
        flags=flags,
        pictogram=(choice.pictogram or _PICTOGRAM[template]) if template in _PICTOGRAM else "",
        insert_text=insert if template in ("room-insert", "suite") else "",
        hand=leaves.place(book, choice.side),
        number_as_given=opening.number,
    )
    if choice.also == "stair-level":
        return first, level_sign(first, opening, leaves, settings, book, discharge)
    return first, *(put_beside(first, second) for second in beside)


def _say(opening: Opening, choice: Choice) -> tuple[str, tuple[Message, ...], tuple[Flag, ...]]:
    """Template, messages in the order they are cut, and what had to be asked about them."""
    number = (Message(role=Role.NUMBER, text=opening.number),) if opening.number else ()
    name = (_name_message(choice.name),) if choice.name else ()
    template = choice.template
    if choice.person:  # whatever a column says about the kind of sign
        return "room-insert", number, ()
    if template in _NAME_FIRST and name:
        told = () if number or template in _PICTOGRAM else (_no_number(opening, choice),)
        return template, (*name, *number), told
    if template in ("exit", "name", "refuge"):
        return template, (_exit_words(choice) if template == "exit" else name) or number, ()
    if template == "stair":
        known = bool(_DESIGNATED.fullmatch(choice.name))
        return (
            template,
            name if known else (*number, *name),
            () if known or number else (_which_stair(opening, choice),),
        )
    if template == "suite":
        text = choice.name if re.search(r"\d", choice.name) or not number else f"{choice.name} {opening.number}"
        return template, (Message(role=Role.NAME, text=text),) if choice.name else number, ()
    if not number and name:
        flag = _no_number(opening, choice)
        return template if template in _WITHOUT_NUMBER else "name", name, (flag,)
    if template == "number" or (template == "room-insert" and not opening.text(Field.INSERT)):
        return template, number, ()
    if template == "room-insert" and choice.category in ("office", "changeable"):
        return template, number, ()
    return (template if name else "number"), (*number, *name), ()


@lru_cache(maxsize=1024)  # one message stands for all that say the same
def _name_message(text: str) -> Message:
    return Message(role=Role.NAME, text=text)


def _no_number(opening: Opening, choice: Choice) -> Flag:
    """A name alone; held where the rule would keep the name off the sign."""
    severity, so = Severity.ASK, "its sign shows the name only"
    if choice.template == "number":
        severity, so = Severity.HOLD, f"a number alone was to be raised ({choice.reason}), so nothing is made"
    elif choice.template == "room-insert":
        so = f"its sign raises the name instead of the number ({choice.reason})"
    fix = "Give the number, or accept the name alone."
    return ask_row(opening.row, "no-number", severity, f"{choice.name} has no number: {so}.", fix, "owner")


def _which_stair(opening: Opening, choice: Choice) -> Flag:
    message = f"{choice.name} has neither a number nor a letter: its sign says {choice.name} like that of any other."
    fix = "Give the stair's own number or letter, as the life-safety plan has it."
    return ask_row(
        opening.row, UNNAMED.partition("/")[2], Severity.ASK, message, fix, "architect", clause="ADA 216.4.1"
    )


def _exit_words(choice: Choice) -> tuple[Message, ...]:
    # L4 says EXIT and nothing else; other wordings are held, with the schedule's own words shown.
    text = "EXIT" if choice.rule == "L4" else choice.name
    return (Message(role=Role.NAME, text=text),) if text else ()


def _provisional(opening: Opening, messages: tuple[Message, ...], settings: Settings) -> tuple[Flag, ...]:
    numbered = any(message.role is Role.NUMBER for message in messages)
    if settings.finality is not Finality.NOT_FINAL or not numbered or opening.text(Field.FINAL_NUMBER):
        return ()
    message = f"{opening.number} is a construction number; the job file says that numbers are not final."
    fix = 'Give a column of final numbers, or set numbers = "final" when they are.'
    return (ask_row(opening.row, "number-not-final", Severity.HOLD, message, fix, "owner"),)
