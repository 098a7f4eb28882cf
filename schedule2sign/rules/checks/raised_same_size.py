"""Letters cut at the size they were set at."""

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, Series, rule

_CAPITALS_AND_DIGITS = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789")


@rule(
    id="raised/same-size",
    title="Top of each capital or digit as a share of the height set for its line",
    why="A number without one flat-topped letter shows its size only if its digits are as tall as capitals.",
    fix="Use a font with lining digits as tall as its capitals, and do not scale letters after setting.",
    limits=("same_size",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: any(
        glyph.outline.char in _CAPITALS_AND_DIGITS for line in sign.lines for glyph in line.glyphs
    ),
    otherwise="The sign has no raised capital or digit.",
    waivable=True,
)
def check_same_size(sign: SignLayout) -> Series:
    """Accented letters and punctuation stand higher or lower by nature and are left out."""
    found = [
        (line, glyph) for line in sign.lines for glyph in line.glyphs if glyph.outline.char in _CAPITALS_AND_DIGITS
    ]
    values = [100 * (glyph.top_mm - line.baseline_mm) / line.height_mm for line, glyph in found]

    def single(index: int) -> Measured:
        line, glyph = found[index]
        where = f"{glyph.outline.char} in raised line {line.text!r}"
        return Measured(limit="same_size", value=values[index], where=where, unit_mm=line.height_mm / 100)

    return Series(limits=("same_size",), values=values, single=single)
