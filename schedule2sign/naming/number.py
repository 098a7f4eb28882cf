"""N21 to N34: a room number is text; what a spreadsheet may have done to it is held, never guessed."""

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from schedule2sign.naming.characters import Characters, clean_characters
from schedule2sign.naming.draft import Draft

_NUMBER_WORD = re.compile(r"^(?:ROOM|RM|NUMBER|NUM|NO|DOOR|DR)(?:\s*[.:#]+\s*|\s+|(?=\d))(?=\S*\d)|^#\s*")
_MONTH = r"(?:JAN|FEB|MAR|APR|MAY|JUN|JUL|AUG|SEP|OCT|NOV|DEC)[A-Z]*"
_DATE = re.compile(
    rf"\d{{4}}-\d\d-\d\d.*|\d{{1,2}}[-/]{_MONTH}(?:[-/]\d+)?|{_MONTH}[-/ ]?\d{{1,4}}|\d{{1,2}}/\d{{1,2}}/\d{{2,4}}.*"
)
_SHORT_DATE = re.compile(r"(\d{1,2})-(\d{1,2})")
_FRACTION = re.compile(r"\d{1,2}/\d{1,2}|.*[\u00bc-\u00be\u2150-\u215e].*")
_EXPONENT = re.compile(r"\d(?:\.\d+)?E\+\d+")
_EXPONENT_LIKE = re.compile(r"\d{1,2}E\d{1,2}")
_RANGE = re.compile(r"([A-Z]{0,2})(\d{2,})[A-Z]?\s*(?:/|&|,| AND | TO | THRU |\+|;)\s*[A-Z]{0,2}\d{2,}[A-Z]?.*")
_DASHED_RANGE = re.compile(r"(\d{2,})\s*-\s*(\d{2,})")
_GROUPED = re.compile(r"\d{1,2},\d{3}")
_POINT_ZERO = re.compile(r"(\d+)\.0+")
_DECIMAL = re.compile(r"(\d+)\.(\d+)")
_SUFFIXED = re.compile(r"(.*\d)([\s.-]*)([A-Z]{1,2})")
_PREFIXED = re.compile(r"(?:L|LVL|B|P)?\d{1,2}[-.]\d{2,4}[A-Z]{0,2}|B[-.]\d{2,4}[A-Z]?")
_LETTER_O = re.compile(r"(?<=\d)[Oo](?=\d)|^[Oo](?=\d{2})")
_LETTER_L = re.compile(r"(?<=\d)[lI|](?=\d)|^[l|](?=\d)")
_ALLOWED = re.compile(r"[A-Z0-9]+(?:[-. ][A-Z0-9]+)*")
_SPACE_INSIDE = re.compile(r"\d \d")
_WORDS_AFTER = re.compile(r"\d\S* [A-Z]{3}")
_SERIALS = range(36526, 60000)  # spreadsheet day numbers of the years 2000 to 2064
_MANY = 3
_MONTHS = 12
_DAYS = 31
_READS_AS_DIGIT = {"I": "1", "O": "0", "Q": "0", "S": "5", "Z": "2", "L": "1"}


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberHabits:
    """How the numbers of one sheet are written: what is odd in one row may be the rule of the sheet.

    Attributes:
        dashed_suffix: more than half of the suffix letters stand behind a dash.
        dashed: half of the numbers or more are two short numbers joined by a dash.
        point_zero: every number with a point ends in .0: the file went through a number column.
        five_digits: other numbers of the sheet have five digits too.
        exponents: several numbers have a single E inside: an E wing.
        padded: level -> digits of its numbers that start with a zero.
        known: every number of the sheet.
        first_prefixed: the first number with a level prefix, and how many there are.
    """

    dashed_suffix: bool
    dashed: bool
    point_zero: bool
    five_digits: bool
    exponents: bool
    padded: Mapping[str, int]
    known: frozenset[str]
    first_prefixed: str
    prefixed_count: int


def read_habits(numbers: Iterable[tuple[str, str]]) -> NumberHabits:
    """Judge the numbers of one sheet, given as (level, number as written)."""
    pairs = [(level, " ".join(number.upper().split())) for level, number in numbers if number.strip()]
    texts = [text for _, text in pairs]
    joints = Counter(found[2] == "-" for text in texts if (found := _SUFFIXED.fullmatch(text)))
    points = [text for text in texts if "." in text]
    prefixed = [text for text in texts if _PREFIXED.fullmatch(text) and not _POINT_ZERO.fullmatch(text)]
    padded = {level: len(text) for level, text in pairs if text.isdigit() and text.startswith("0") and len(text) > 1}
    dashed = sum(bool(re.fullmatch(r"\d{1,2}-\d{1,3}[A-Z]?", text)) for text in texts)
    return NumberHabits(
        dashed_suffix=joints[True] > joints[False],
        dashed=dashed >= _MANY and 2 * dashed >= len(texts),
        point_zero=bool(points) and all(_POINT_ZERO.fullmatch(text) for text in points),
        five_digits=sum(len(text) == len("12345") and text.isdigit() for text in texts) >= _MANY,
        exponents=sum(bool(_EXPONENT_LIKE.fullmatch(text)) for text in texts) >= _MANY,
        padded=padded,
        known=frozenset(texts),
        first_prefixed=prefixed[0] if prefixed else "",
        prefixed_count=len(prefixed),
    )


def clean_mark(draft: Draft, characters: Characters) -> None:
    """A door mark that is not the room's number: spaces, quotes and capitals only, so it still finds its door."""
    if clean_characters(draft, characters):
        draft.change("N03", draft.text.upper())
        draft.change("N30", _NUMBER_WORD.sub("", draft.text).strip() or draft.text)


def clean_number(draft: Draft, characters: Characters, habits: NumberHabits, level: str) -> None:
    """Clean one room number in place."""
    if not _clean_script(draft, characters):
        return
    draft.change("N03", draft.text.upper())
    before = draft.text
    if draft.change("N30", _NUMBER_WORD.sub("", draft.text).strip() or draft.text):
        draft.note("number-form", f"The number word was taken off: {before!r} is now {draft.text!r}.")
    if _hold_mangled(draft, habits):
        return
    _set_form(draft, habits)
    _ask_form(draft, habits, level)


def _clean_script(draft: Draft, characters: Characters) -> bool:
    """Look-alikes are proposed, not taken: the proposal may be the number of another room."""
    if draft.text.isdecimal() and characters.harmless.issuperset(draft.text):
        return True  # digits look like nothing else
    trial = Draft(field=draft.field, given=draft.given, text=draft.text)
    sound = clean_characters(trial, characters)
    proposal = _LETTER_L.sub("1", _LETTER_O.sub("0", trial.text))
    if any(flag.code == "naming/look-alike" for flag in trial.flags) or (sound and proposal != trial.text):
        draft.change("N01", " ".join(draft.text.split()).upper())
        draft.hold(
            "look-alike",
            f"{draft.given!r} holds a character that only looks like a digit or letter of ours; "
            f"proposed: {proposal.upper()!r}.",
            fix=f"Confirm that {proposal.upper()!r} is meant and correct the schedule.",
        )
        return False
    draft.text, draft.changes, draft.flags = trial.text, trial.changes, trial.flags
    return sound


def _hold_mangled(draft: Draft, habits: NumberHabits) -> bool:
    text = draft.text
    is_serial = text.isdecimal() and not habits.five_digits and len(text) == len("45000") and int(text) in _SERIALS
    if text.isdecimal() and not is_serial:
        return False  # digits alone can be nothing else
    short = _SHORT_DATE.fullmatch(text)
    is_short_date = short and not habits.dashed and int(short[1]) <= _DAYS and int(short[2]) <= _DAYS
    if is_short_date and short and min(int(short[1]), int(short[2])) > _MONTHS:
        is_short_date = False
    fix = "Give the room number as text; a spreadsheet program may have opened and saved the file."
    if _FRACTION.fullmatch(text):
        draft.hold("number-fraction", f"{draft.given!r} reads as a fraction, a date or two rooms.", fix=fix)
    elif _DATE.fullmatch(text) or is_short_date or is_serial:
        draft.hold(
            "number-date", f"{draft.given!r} is a date, or was a number that a spreadsheet took for one.", fix=fix
        )
    elif _EXPONENT.fullmatch(text):
        draft.hold("number-exponent", f"{draft.given!r} was changed by a spreadsheet, such as 1E10 to 1E+10.", fix=fix)
    elif _is_range(text):
        draft.hold(
            "number-range",
            f"{draft.given!r} names more than one room.",
            fix="Say whether it is one sign, and what it says, or several: give each room its own row.",
        )
    else:
        return False
    return True


def _is_range(text: str) -> bool:
    dashed = _DASHED_RANGE.fullmatch(text)
    if dashed and len(dashed[1]) == len(dashed[2]) and int(dashed[1]) < int(dashed[2]):
        return True
    return bool(_RANGE.fullmatch(text)) and not _GROUPED.fullmatch(text)


def _set_form(draft: Draft, habits: NumberHabits) -> None:
    before = draft.text
    if before.isdecimal():
        return  # nothing to take off or to join
    if _GROUPED.fullmatch(draft.text):
        draft.change("N34", draft.text.replace(",", ""))
        draft.ask(
            "number-grouping",
            f"{before!r} was read as {draft.text!r}: the comma parts thousands.",
            fix=f"Confirm that the room is {draft.text!r}.",
        )
    whole = _POINT_ZERO.fullmatch(draft.text)
    if whole and habits.point_zero:
        draft.change("N21", whole[1])
        draft.note("number-form", f"A number column made {before!r} of {whole[1]!r}; the point was taken off.")
    suffixed = _SUFFIXED.fullmatch(draft.text)
    if suffixed and suffixed[2] and not (suffixed[2] == "-" and habits.dashed_suffix):
        before = draft.text
        draft.change("N23", suffixed[1] + suffixed[3])
        draft.note("number-form", f"The suffix letter was joined: {before!r} is now {draft.text!r}.")


def _ask_form(draft: Draft, habits: NumberHabits, level: str) -> None:
    text = draft.text
    if not text:
        return
    if text.isascii() and text.isdecimal():
        _ask_zeros(draft, habits, level)
        return  # digits alone are asked nothing else
    if not _ALLOWED.fullmatch(text) or _WORDS_AFTER.search(text):
        draft.hold(
            "number-character",
            f"{draft.given!r} holds words or characters that a room number does not carry.",
            fix="Give the room number alone, in letters, digits, points and dashes.",
        )
    if _SPACE_INSIDE.search(text):
        draft.ask(
            "number-space",
            f"{text!r} has a space between digits; it is kept as written.",
            fix="Confirm that the space is on the doors, or give the number without it.",
        )
    _ask_zeros(draft, habits, level)
    suffixed = _SUFFIXED.fullmatch(text)
    if suffixed and suffixed[3] in _READS_AS_DIGIT:
        digit = _READS_AS_DIGIT[suffixed[3]]
        draft.ask(
            "number-suffix",
            f"The suffix {suffixed[3]} of {text!r} is read by touch and eye as {digit}.",
            fix="Confirm the letter, or choose another with the architect.",
        )
    if _EXPONENT_LIKE.fullmatch(text) and not habits.exponents:
        draft.ask(
            "number-exponent",
            f"A spreadsheet would read {text!r} as a power of ten; it is kept as text.",
            fix=f"Confirm {text!r} and keep the column as text.",
        )
    if text == habits.first_prefixed:
        draft.ask(
            "number-level-prefix",
            f"{habits.prefixed_count} numbers of this sheet, {text!r} first, carry a prefix that may be the level.",
            fix="Confirm that the prefix is on the doors; it is raised as written.",
        )
    decimal = _DECIMAL.fullmatch(text)
    if decimal and not decimal[2].endswith("0") and _lost_zero(decimal[1], decimal[2], habits.known):
        draft.ask(
            "number-decimal",
            f"{text!r} may have been {text + '0'!r}: its neighbors run past .9 and {text + '0'!r} is not among them.",
            fix=f"Confirm {text!r}; the two are different rooms.",
        )


def _ask_zeros(draft: Draft, habits: NumberHabits, level: str) -> None:
    text, width = draft.text, habits.padded.get(level, 0)
    if text.isdigit() and not text.startswith("0") and len(text) < width:
        draft.ask(
            "number-zeros",
            f"{text!r} stands among numbers of {width} digits with leading zeros: zeros may have been lost.",
            fix=f"Confirm {text!r}, or give {text.zfill(width)!r} as text.",
        )


def _lost_zero(whole: str, part: str, known: frozenset[str]) -> bool:
    return len(part) == 1 and f"{whole}.{part}0" not in known and f"{whole}.{part}1" in known
