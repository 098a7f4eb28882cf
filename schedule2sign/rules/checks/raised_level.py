"""Raised lines run level."""

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, Series, rule


@rule(
    id="raised/level",
    title="Characters off the baseline of their raised line",
    why="A finger follows a line sideways; characters that climb or fall are lost.",
    fix="Set every line of text horizontally.",
    limits=("baseline_off",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.lines),
    otherwise="The sign has no raised characters.",
    waivable=True,
)
def check_level(sign: SignLayout) -> Series:
    """Baseline of each character against that of its line."""
    found = [(line, glyph) for line in sign.lines for glyph in line.glyphs]
    values = [abs(glyph.baseline_mm - line.baseline_mm) for line, glyph in found]

    def single(index: int) -> Measured:
        line, glyph = found[index]
        where = f"{glyph.outline.char} in raised line {line.text!r}"
        return Measured(limit="baseline_off", value=values[index], where=where)

    return Series(limits=("baseline_off",), values=values, single=single)
