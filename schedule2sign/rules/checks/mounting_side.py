"""Side of the door, from the door's own data."""

import re
from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.model.sign import Side
from schedule2sign.rules.rule import Stated, rule

_PAIR = re.compile(r"\b(?:PAIR|PR|DOUBLE)\b")
_HAND = re.compile(r"(LH|RH)R?A?\b")
_SAID = re.compile(r"\b(RIGHT|LEFT) OF THE DOOR\b")
_AT_PAIRS = "inactive leaf, or right of the right-hand door"


def read_side(sign: SignLayout) -> str:
    """Where the request puts the sign; "" where the door's data do not tell."""
    text = " ".join(sign.request.hand.upper().replace(".", "").split())
    if _PAIR.search(text):
        placed = "INACTIVE LEAF" in text and "RIGHT OF THE RIGHT-HAND DOOR" in text
        return _AT_PAIRS if placed else "a pair, without saying which leaf"
    hand, said = _HAND.match(text), _SAID.search(text)
    if hand is None or said is None:
        return ""
    # Hands are judged from outside: hinges left leave the latch right. From inside it is the other way round.
    outside = sign.request.side in (Side.CORRIDOR, Side.EXTERIOR)
    latch = "RIGHT" if (hand[1] == "LH") is outside else "LEFT"
    return "latch side" if said[1] == latch else "hinge side"


@rule(
    id="mounting/side",
    title="Side of the door the sign goes to",
    why="Beside the latch nobody is hit by the door while reading, and everybody knows where to feel for the sign.",
    fix="Correct the hand in the schedule, or the place on the installer's list.",
    requirements=("mounting_side",),
    codes={"other-side": Severity.ASK},
    applies=lambda sign: bool(read_side(sign)),
    otherwise="The door's data do not tell the latch side: the installer checks it on site.",
    waivable=False,
)
def check_side(sign: SignLayout) -> Iterator[Stated]:
    """The place written for the installer against the door's hand, worked out anew."""
    yield Stated(
        requirement="mounting_side", value=read_side(sign), code="other-side", where=f"door {sign.request.door}"
    )
