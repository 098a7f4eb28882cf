"""Rooms that may have to post their occupant load: the number comes from the file or there is none; it is never computed."""

import re
from dataclasses import replace

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Field
from schedule2sign.signlist.openings import Opening
from schedule2sign.signlist.phrases import plain
from schedule2sign.signlist.questions import ask_row
from schedule2sign.signlist.sides import Choice

LOAD_CLAUSE = "IBC 1004.9"
_GROUP = re.compile(r"\bA ?-? ?[1-5]\b|^A$|\bASSEMBLY\b")
_ANY_GROUP = re.compile(r"\b(?:[ABEFHIMRSU] ?-? ?[1-5]|ASSEMBLY|BUSINESS|EDUCATIONAL|GROUP|USE)\b|^[ABEFHIMRSU]$")
_NUMBER = re.compile(r"(\d{1,2},\d{3}|\d{1,4})(?:\.0+)?(?: ?(?:PERSONS?|PEOPLE|OCCUPANTS?|OCC\.?|PPL\.?|MAX\.?))?")
_POSTED = re.compile(r"(?:MAX(?:IMUM)?\.? ?)?\bOCC(?:UPANT|UPANCY|UPANTS)?\.?(?: LOAD)?\b(?: ?(?:IS|OF))?[ :=-]*")
_SAYS_LOAD = re.compile(r"\bOCC(?:UPANT|UPANCY)?\.? ?LOAD\b|\bMAX(?:IMUM)?\.? OCC")
_PARTED = re.compile(r"[;|]|,(?!\d{3}\b)")
_LEAST = 50  # below, only assembly rooms post a load: common practice, no source
_CATEGORIES = ("assembly", "named", "open", "changeable")


def with_occupant_load(opening: Opening, choice: Choice) -> Choice:
    """The choice with the load to post: a number of the file, "" where the file names a load and gives no number."""
    if not choice.template or choice.category not in _CATEGORIES:
        return choice
    given, remarks = plain(opening.text(Field.OCCUPANCY)), plain(opening.text(Field.REMARKS))
    if not (given or remarks or choice.category == "assembly"):
        return choice  # as most
    posted = next((part.strip() for part in _PARTED.split(remarks) if _SAYS_LOAD.search(part)), "")
    cell = _ANY_GROUP.sub(" ", given).strip(" ,/;:-()")
    remark = _POSTED.sub("", posted).strip(" .")
    numbers = {_number(text) for text in (cell, remark) if text}
    known = numbers - {""}
    largest = max((int(number) for number in known), default=0)
    if not (choice.category == "assembly" or _GROUP.search(given) or posted or largest >= _LEAST):
        return choice
    said = " and ".join(dict.fromkeys(part for part in (given, posted) if part))
    few = bool(known) and largest < _LEAST and not posted and not _GROUP.search(given)
    if few or not numbers:
        so = f"below {_LEAST}" if few else "the schedule gives no number"
        return replace(choice, flags=(*choice.flags, _candidate(opening, said, so)))
    load = known.pop() if len(numbers) == 1 and len(known) == 1 else ""
    return replace(choice, load=load, load_said=said)


def _number(text: str) -> str:
    """The load that a text is, "" where it is anything else: TBD, two numbers, an area, a number of seats."""
    found = _NUMBER.fullmatch(text)
    return found[1].replace(",", "").lstrip("0") if found else ""


def _candidate(opening: Opening, said: str, so: str) -> Flag:
    """No number that has to be posted: no sign, only the question."""
    says = f" The schedule says {said!r}." if said else ""
    message = (
        f"{opening.label} may have to post its occupant load near its main exit, on a visual sign of its own.{says} None "
        f"is made: {so}, and none is ever computed."
    )
    fix = "Get the number from the designer of record, and give it in an occupant-load column."
    return ask_row(opening.row, "occupant-load", Severity.ASK, message, fix, "building official", clause=LOAD_CLAUSE)
