"""Space between upright-walled characters."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import gaps_mm, name_pair, word_pairs
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="raised/gap-upright",
    title="Closest points of neighboring raised characters with upright walls",
    why="A finger needs a gap to feel where a letter ends, and no wider one than keeps a word together.",
    fix="Set the letters further apart or closer, pair by pair.",
    limits=("gap", "gap_strokes"),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: sign.build.side_deg == 0 and bool(word_pairs(sign)),
    otherwise="The walls lean, or no word has two characters.",
    waivable=False,
)
def check_gap_upright(sign: SignLayout) -> Iterator[Measured]:
    """Rectangular cross-section: one gap from face to base. Spaces between words are excluded."""
    pairs = word_pairs(sign)
    for pair, gap_mm in zip(pairs, gaps_mm(sign, pairs), strict=True):
        stroke_mm = sign.font.stroke_ratio * pair[0].height_mm
        where = f"{name_pair(sign, pair)} in raised line {pair[0].text!r}"
        yield Measured(limit="gap", value=gap_mm, where=where)
        yield Measured(limit="gap_strokes", value=gap_mm / stroke_mm, where=where, unit_mm=stroke_mm)
