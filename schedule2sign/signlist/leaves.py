"""What the cells about the door itself say: leaves, hand, glass, quantity."""

import re
from dataclasses import dataclass

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Field
from schedule2sign.model.sign import Side
from schedule2sign.signlist.phrases import plain
from schedule2sign.signlist.questions import ask_row
from schedule2sign.signlist.rulebook import RuleBook

_COUNT = re.compile(r"(\d+)(?:\.0+)?(?: ?(?:EA|PC|PCS|DOORS?)\.?)?")
_PAIR_PLACE = "pair: on the inactive leaf if one leaf is active, right of the right-hand door if both are (ADA 703.4.2)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaves:
    """Questions about the door, and on which side of it a sign goes."""

    hand: str
    pair: bool
    flags: tuple[Flag, ...]

    def place(self, book: RuleBook, side: Side) -> str:
        """Where the sign goes, in an installer's words; "" where only the field can tell.

        Hand is judged from the corridor side: hinges left, latch right. Seen from the other side it is the other way round.
        """
        given = plain(self.hand)
        if self.pair:
            return f"{given}; {_PAIR_PLACE}" if given else _PAIR_PLACE
        hinges = book.hands.get(given)
        if hinges is None:
            return ""
        latch_right = (hinges == "left") == (side in (Side.CORRIDOR, Side.EXTERIOR))
        return f"{given}, so to the {'RIGHT' if latch_right else 'LEFT'} of the door as you face it"


_FIELDS = (Field.LEAF, Field.QUANTITY, Field.GLASS, Field.HAND)
_NOTHING_SAID = Leaves(hand="", pair=False, flags=())


def read_leaves(row: NamedRow, book: RuleBook, *, hands_given: bool) -> Leaves:
    """Read the cells of one row.

    Args:
        hands_given: the schedule has a hand column, so a blank cell in it is worth a question.
    """
    leaf, quantity, glass, hand = (plain(row.raw.text(field)) for field in _FIELDS)
    if not (leaf or quantity or glass or hand or (row.door and hands_given)):
        return _NOTHING_SAID
    label = f"Door {row.door}" if row.door else f"Room {row.room_number or row.name}"
    flags: list[Flag] = []
    pair = bool(book.pair.search(f"{leaf} | {quantity}"))
    if pair:
        message = f"{label} is a pair: one sign; the schedule does not say for certain which leaf is active."
        fix = "Say which leaf is active. One: the sign goes on the inactive leaf. Both: right of the right-hand door."
        flags.append(
            ask_row(row, "pair", Severity.ASK, message, fix, "architect", clause="ADA 703.4.2", field=Field.LEAF)
        )
    count = _COUNT.fullmatch(quantity)
    if count and count[1].lstrip("0") not in ("", "1"):
        message = f"{label}: quantity {count[1]} may count doors or leaves, not signs; one sign is made."
        fix = "Say how many signs."
        flags.append(ask_row(row, "quantity", Severity.ASK, message, fix, "architect", field=Field.QUANTITY))
    if book.glass.search(glass):
        message = f"{label} has glass ({glass}) where its sign would hang: on glass a blank plate backs it up."
        fix = "Say whether it goes on glass; then add one matching back plate."
        flags.append(ask_row(row, "glass", Severity.ASK, message, fix, "architect", field=Field.GLASS))
    if row.door and hands_given and not pair and hand not in book.hands:
        message = (
            f"{label}: hand {hand!r} does not say on which side the latch is." if hand else f"{label}: no hand given."
        )
        fix = "Check the latch side in the field."
        flags.append(
            ask_row(row, "hand", Severity.ASK, message, fix, "architect", clause="ADA 703.4.2", field=Field.HAND)
        )
    return Leaves(hand=hand, pair=pair, flags=tuple(flags))
