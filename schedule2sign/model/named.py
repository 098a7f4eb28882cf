"""A row after its name and number were cleaned, with every change on record."""

from dataclasses import dataclass

from schedule2sign.model.flag import Flag
from schedule2sign.model.schedule import RawRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change of text: which rule, from what, to what. `field` is "name", "number" or "door"."""

    rule: str
    field: str
    before: str
    after: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedRow:
    """A data row with approved-form text.

    Attributes:
        raw: the row as read.
        door: cleaned door mark, "" where the table has none.
        room_number: cleaned number, leading zeros and suffix letters kept.
        name: cleaned name in capitals as it would be raised, "" where none.
        name_as_given: name cell exactly as read.
        level: cleaned level text, "LEVEL 2" style, or "" where unknown.
        changes: every change in the order made.
    """

    raw: RawRow
    door: str
    room_number: str
    name: str
    name_as_given: str
    level: str
    changes: tuple[Change, ...] = ()
    flags: tuple[Flag, ...] = ()
