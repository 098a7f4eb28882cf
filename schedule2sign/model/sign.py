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


class RowOutcome(StrEnum):
    """What became of a data row; exactly one each."""

    SIGNED = "signed"
    UNSIGNED = "unsigned"
    HELD = "held"
    MERGED = "merged"


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """What became of one data row, why, and which signs it made."""

    row: NamedRow
    outcome: RowOutcome
    rule: str
    reason: str
    sign_ids: tuple[str, ...] = ()
    flags: tuple[Flag, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SignList:
    """Every data row's decision and every sign, both in source order, and flags of the whole file."""

    decisions: tuple[Decision, ...]
    requests: tuple[SignRequest, ...]
    flags: tuple[Flag, ...]
