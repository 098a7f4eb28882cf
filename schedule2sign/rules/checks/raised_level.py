"""Raised lines run level."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


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
def check_level(sign: SignLayout) -> Iterator[Measured]:
    """Baseline of each character against that of its line."""
    for line in sign.lines:
        for glyph in line.glyphs:
            where = f"{glyph.outline.char} in raised line {line.text!r}"
            yield Measured(limit="baseline_off", value=abs(glyph.baseline_mm - line.baseline_mm), where=where)
