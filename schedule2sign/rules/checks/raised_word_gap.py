"""Space between words."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import gaps_mm, name_pair, word_gaps
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="raised/word-gap",
    title="Closest points of neighboring words of a raised line",
    why="Words are felt apart only if the space between them is clearly wider than the gap between letters.",
    fix="Widen the space between the words.",
    limits=("word_gap",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(word_gaps(sign)),
    otherwise="No raised line has two words.",
    waivable=True,
)
def check_word_gap(sign: SignLayout) -> Iterator[Measured]:
    """From the last character of a word to the first of the next."""
    pairs = word_gaps(sign)
    for pair, gap_mm in zip(pairs, gaps_mm(sign, pairs), strict=True):
        yield Measured(
            limit="word_gap", value=gap_mm, where=f"{name_pair(sign, pair, ' ')} in raised line {pair[0].text!r}"
        )
