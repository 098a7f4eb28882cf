"""A sign that was decided on: what it says, where it goes, and why."""

from dataclasses import dataclass
from enum import StrEnum

from schedule2sign.model.flag import Flag
from schedule2sign.model.named import Change, NamedRow
from schedule2sign.model.source import Source


class Role(StrEnum):
    """What a message is on its sign."""

    NUMBER = "number"
    NAME = "name"
    LEVEL = "level"


class Side(StrEnum):
    """The side of the door the sign is read from."""

    CORRIDOR = "C"
    ROOM = "R"
    STAIR = "S"
    EXTERIOR = "X"


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """One raised message before it is broken into lines. `text` is in capitals, as it is cut.

    `code` names the braille code; "" means the job's own.
    """

    role: Role
    text: str
    code: str = ""


class Verb(StrEnum):
    """What a person may decide about a sign or a row."""

    ACCEPT = "accept"
    HOLD = "hold"
    OMIT = "omit"
    RENAME = "rename"
    RENUMBER = "renumber"


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One decision of a person, as a returned sign list has it.

    Attributes:
        sign_ids: the signs it is about, () for a row that makes none.
        row: level, door, room number and name as given, which find a row that makes no sign.
        seen: number and name of the schedule that the person saw; None where the list does not say.
        questions: codes of the questions the person saw; None where the list does not say.
        text: the new name or number, "" where none is needed.
        who: who answered, "" where the list does not say.
        earlier: given in an earlier round and carried along; a newer answer takes its place.
        fate: why it was not applied, "" where it was.
        source: where the answer stands.
    """

    verb: Verb
    sign_ids: tuple[str, ...]
    row: tuple[str, str, str, str]
    seen: tuple[str, str] | None
    text: str
    who: str
    source: Source
    questions: tuple[str, ...] | None = None
    earlier: bool = False
    fate: str = ""

    @property
    def about(self) -> tuple[str, ...]:
        """The signs, else the row, that the answer is about."""
        return self.sign_ids or self.row

    @property
    def said_about(self) -> tuple[str, ...]:
        """What was answered about what, wherever it stands and whoever said so."""
        return (self.verb.value, self.text, *self.about)


@dataclass(frozen=True, slots=True, kw_only=True)
class SignRequest:
    """One sign position.

    Attributes:
        sign_id: stable, built from the source identity, never the row position; safe as a file name.
        messages: top to bottom.
        template: name of the sign template.
        rule: id of the decision rule that fired; `reason` says it in words.
        pictogram: name of the pictogram, or "".
        insert_text: visual text for a changeable window, or "".
        quantity: how many identical pieces.
        number_as_given: the number before a person's answer changed it.
        answers: a person's answers that were applied.
    """

    sign_id: str
    source: Source
    door: str
    room_number: str
    level: str
    name_as_given: str
    messages: tuple[Message, ...]
    template: str
    side: Side
    rule: str
    reason: str
    changes: tuple[Change, ...] = ()
    flags: tuple[Flag, ...] = ()
    pictogram: str = ""
    insert_text: str = ""
    quantity: int = 1
    hand: str = ""
    number_as_given: str = ""
    answers: tuple[Answer, ...] = ()


class RowOutcome(StrEnum):
    """What became of a data row; exactly one each."""

    SIGNED = "signed"
    UNSIGNED = "unsigned"
    HELD = "held"
    MERGED = "merged"


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What became of one data row, why, and which signs it made; `answers` are those to the row itself."""

    row: NamedRow
    outcome: RowOutcome
    rule: str
    reason: str
    sign_ids: tuple[str, ...] = ()
    flags: tuple[Flag, ...] = ()
    answers: tuple[Answer, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SignList:
    """Every data row's decision and every sign, both in source order, and flags of the whole file.

    `unused` are answers that were not applied, each with its fate.
    """

    decisions: tuple[Decision, ...]
    requests: tuple[SignRequest, ...]
    flags: tuple[Flag, ...]
    unused: tuple[Answer, ...] = ()
