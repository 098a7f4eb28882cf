"""RawRow in, NamedRow out: the order in which the naming rules run."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Field, RawRow, RowKind
from schedule2sign.model.settings import Settings, Wording
from schedule2sign.model.source import Source
from schedule2sign.naming.characters import clean_characters, upper_case
from schedule2sign.naming.debris import strip_debris, strip_marks, strip_number
from schedule2sign.naming.draft import Draft
from schedule2sign.naming.expansion import expand_words
from schedule2sign.naming.joining import drop_punctuation, join_slashes, join_words
from schedule2sign.naming.level import clean_level
from schedule2sign.naming.number import NumberHabits, clean_mark, clean_number, read_habits
from schedule2sign.naming.ordering import order_parts, place_asides, repeated_tails
from schedule2sign.naming.people import ask_proper_names, check_people
from schedule2sign.naming.spelling import check_characters, check_words
from schedule2sign.naming.terms import flag_terms
from schedule2sign.naming.vocabulary import Vocabulary
from schedule2sign.naming.wording import house_wordings, use_house_words

_NUMBER_AND_NAME = re.compile(r"([A-Za-z]?\d+[A-Za-z]?)\s*[-:]?\s+([A-Za-z]{3}.*)")
_FORMULA = re.compile(r"[=@+|]|-\d")


def name_rows(rows: Sequence[RawRow], vocabulary: Vocabulary, settings: Settings) -> tuple[NamedRow, ...]:
    """Clean name, number, door mark and level of every data row: one out for each in, in order."""
    data = [row for row in rows if row.kind is RowKind.DATA]
    namer = _Namer(data, vocabulary, settings.wording)
    return tuple(namer.name_row(row) for row in data)


class _Namer:
    """Knows the habits of each sheet, and remembers names: a building says CORRIDOR a hundred times."""

    def __init__(self, rows: Sequence[RawRow], vocabulary: Vocabulary, wording: Wording) -> None:
        self._vocabulary = vocabulary
        self._wording = wording
        self._names: dict[tuple[str, str], Draft] = {}
        self._tails = repeated_tails(row.text(Field.ROOM_NAME) for row in rows)
        self._habits = _sheet_habits(rows)
        self._prefix_asked: set[tuple[str, str]] = set()
        self._asked: dict[tuple[str, str], Source] = {}

    def name_row(self, row: RawRow) -> NamedRow:
        level = clean_level(row.level or row.text(Field.LEVEL))
        given, given_number, swapped = self._cells(row)
        number = self._number(row, given_number, "number", level)
        door = self._door(row, level, is_number=not given_number)
        name = self._name(given, number.text or door.text)
        flags = (
            *self._placed(door, row, Field.DOOR),
            *self._placed(number, row, Field.ROOM_NUMBER),
            *self._placed(name, row, Field.ROOM_NAME),
            *swapped,
        )
        return NamedRow(
            raw=row,
            door=door.text,
            room_number=number.text,
            name=name.text,
            name_as_given=row.text(Field.ROOM_NAME),
            level=level,
            changes=(*door.changes, *number.changes, *name.changes),
            flags=flags,
        )

    def _cells(self, row: RawRow) -> tuple[str, str, tuple[Flag, ...]]:
        """Name and number; exchanged where each plainly stands in the other's column, parted where one cell has both."""
        name, number = row.text(Field.ROOM_NAME), row.text(Field.ROOM_NUMBER)
        both = _NUMBER_AND_NAME.fullmatch(number.strip())
        if both and not name:
            draft = Draft(field="number", given=number, text=number)
            draft.ask(
                "split-cell",
                f"The number cell says {number!r}; it was read as number {both[1]!r} and name {both[2]!r}.",
                fix="Confirm, and give the name its own column.",
            )
            return both[2], both[1], self._placed(draft, row, Field.ROOM_NUMBER)
        if not is_swapped(name, number, self._vocabulary):
            return name, number, ()
        draft = Draft(field="name", given=name, text=name)
        draft.ask(
            "swapped-cells",
            f"The number cell says {number!r} and the name cell {name!r}; they were exchanged.",
            fix="Confirm, and correct the schedule.",
        )
        return number, name, self._placed(draft, row, Field.ROOM_NAME)

    def _number(self, row: RawRow, given: str, label: str, level: str) -> Draft:
        draft = Draft(field=label, given=given, text=given)
        if self._vocabulary.characters.tidy(given).upper() in self._vocabulary.empty:
            draft.change("N01", "")
            return draft
        sheet = (row.source.file, row.source.sheet)
        habits = self._habits[sheet]
        if sheet in self._prefix_asked:
            habits = replace(habits, first_prefixed="")
        clean_number(draft, self._vocabulary.characters, habits, level)
        if any(flag.code == "naming/number-level-prefix" for flag in draft.flags):
            self._prefix_asked.add(sheet)
        return draft

    def _door(self, row: RawRow, level: str, *, is_number: bool) -> Draft:
        given = row.text(Field.DOOR)
        if is_number:
            return self._number(row, given, "door", level)
        draft = Draft(field="door", given=given, text=given)
        clean_mark(draft, self._vocabulary.characters)
        return draft

    def _name(self, given: str, number: str) -> Draft:
        key = (given, number if number and number in given.upper() else "")
        if key not in self._names:
            self._names[key] = clean_name(given, key[1], self._vocabulary, self._wording, self._tails)
        return self._names[key]

    def _placed(self, draft: Draft, row: RawRow, field: Field) -> tuple[Flag, ...]:
        """The draft's flags at this row's cell; a question already asked elsewhere is only told here."""
        placed = []
        for flag in draft.flags:
            here = replace(flag, source=row.source_of(field))
            subject = draft.subjects.get(flag)
            if subject is not None:
                first = self._asked.setdefault((flag.code, subject), row.source)
                if first != row.source:
                    here = replace(
                        here,
                        severity=Severity.NOTE,
                        message=f"{flag.message} Asked at {first}.",
                        fix="One answer serves.",
                    )
            placed.append(here)
        return tuple(placed)


def clean_name(
    given: str, number: str, vocabulary: Vocabulary, wording: Wording, tails: frozenset[str] = frozenset()
) -> Draft:
    """One room name through every rule, safest first.

    Args:
        given: the cell as read.
        number: the row's own number where the name repeats it, else "".
        vocabulary: the words known.
        wording: the job's words.
        tails: what stands after the comma in many names of the file.
    """
    draft = Draft(field="name", given=given, text=given)
    approved = vocabulary.approved.get(vocabulary.characters.tidy(given).upper())
    if approved is not None:
        draft.change("N10", approved)
        return draft
    if not clean_characters(draft, vocabulary.characters):
        draft.change("N03", upper_case(draft.text))
        return draft
    draft.change("N03", upper_case(draft.text))
    if draft.text in vocabulary.empty:
        draft.note("no-name", f"{draft.given!r} says that there is no name.")
        draft.change("N01", "")
    if _is_settled(draft.text, vocabulary):
        return draft
    if _FORMULA.match(draft.text) or not any(char.isalnum() for char in draft.text):
        draft.hold(
            "character",
            f"{draft.given!r} is no name: it starts like a formula or holds no letter; it is kept as text.",
            fix="Give the name of the room in the schedule, or the wording under [lexicon.approved] in the job file.",
        )
        return draft
    before = ""
    while draft.text != before:
        before = draft.text
        strip_marks(draft)
        strip_debris(draft)
    strip_number(draft, number)
    if _is_settled(draft.text, vocabulary) or check_people(draft, vocabulary):
        return draft
    order_parts(draft, vocabulary, tails)
    place_asides(draft)
    flag_terms(draft, vocabulary.terms)
    expand_words(draft, vocabulary)
    join_words(draft, wording.ampersand.upper())
    use_house_words(draft, vocabulary.house, wording)
    join_slashes(draft, vocabulary, wording.ampersand.upper())
    drop_punctuation(draft)
    if draft.text not in house_wordings(wording):
        check_words(draft, vocabulary)
        ask_proper_names(draft, vocabulary)
        check_characters(draft, vocabulary)
    return draft


def is_swapped(name: str, number: str, vocabulary: Vocabulary) -> bool:
    """True when the number cell holds a word and the name cell a number."""
    looks_number = bool(name) and name.strip().replace("-", "").isalnum() and any(char.isdigit() for char in name)
    plain = vocabulary.characters.tidy(number).upper()
    return (
        looks_number
        and " " not in name.strip()
        and len(plain) >= len("LAB")
        and plain not in vocabulary.empty | vocabulary.status
        and not any(char.isdigit() for char in plain)
    )


def _sheet_habits(rows: Sequence[RawRow]) -> Mapping[tuple[str, str], NumberHabits]:
    sheets: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for row in rows:
        level = clean_level(row.level or row.text(Field.LEVEL))
        number = row.text(Field.ROOM_NUMBER) or row.text(Field.DOOR)
        sheets.setdefault((row.source.file, row.source.sheet), []).append((level, number))
    return {sheet: read_habits(numbers) for sheet, numbers in sheets.items()}


def _is_settled(text: str, vocabulary: Vocabulary) -> bool:
    """True for a status the sign list reads itself, for wording already approved, and for nothing at all."""
    if not text or text in vocabulary.approved.values():
        return True
    return text in vocabulary.status or text.startswith(vocabulary.status_starts)
