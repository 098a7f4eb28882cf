"""Capital signs only where the standard allows them."""

from collections.abc import Iterator

from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import Stated, rule

_CAPITAL_SIGN = "\u2820"  # dot 6, UEB 8.3; the American code before it has the same
_BLANK = "\u2800"


@rule(
    id="braille/capitals",
    title="Words written with a capital sign in braille",
    why="Raised text is all capitals; marking each word so in braille only makes it longer to read.",
    fix="Send common words to the translator in lower case; name the word's kind in the job's lexicon.",
    requirements=("braille_capitals",),
    codes={"not-allowed": Severity.HOLD},
    applies=lambda sign: any(line.tokens for line in sign.braille) or any(map(_has_sign, sign.braille)),
    otherwise="The sign's braille has no word on record and no capital sign.",
    waivable=False,
)
def check_capitals(sign: SignLayout) -> Iterator[Stated]:
    """A word's kind decides. "no capital sign" is allowed everywhere; a sign no word accounts for, nowhere."""
    for index, line in enumerate(sign.braille):
        where = f"braille line {index + 1}"
        capitalized = [token for token in line.tokens if token.typed != token.typed.lower()]
        for token in capitalized:
            yield _state(str(token.kind), f"{token.text!r}, {where}")
        if _has_sign(line) and not capitalized:
            yield _state("of no word on record", where)
        elif not capitalized:
            yield _state("no capital sign", where)


def _has_sign(line: BrailleLine) -> bool:
    if line.code.startswith("us-"):
        # The American code before UEB also writes -ation and -ally with dot 6, never at the start of a word.
        return any(word.startswith(_CAPITAL_SIGN) for word in line.cells.split(_BLANK))
    return _CAPITAL_SIGN in line.cells and line.code.startswith("ueb-")


def _state(value: str, where: str) -> Stated:
    return Stated(requirement="braille_capitals", value=value, code="not-allowed", where=where)
