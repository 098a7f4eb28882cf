"""Width of O against height of I."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="raised/proportion",
    title="Width of the letter O as a share of the height of the letter I",
    why="Letters squeezed or stretched too far lose the shape a reader expects.",
    fix="Use a font of normal width.",
    limits=("proportion",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.lines),
    otherwise="The sign has no raised characters.",
    waivable=False,
)
def check_proportion(sign: SignLayout) -> Iterator[Measured]:
    """The font's own O and I; and every O that is cut, since letters may have been squeezed after setting."""
    unit_mm = min(line.height_mm for line in sign.lines) / 100
    where = f"font {sign.font.name}"
    yield Measured(limit="proportion", value=100 * sign.font.o_ratio, where=where, unit_mm=unit_mm)
    for line in sign.lines:
        for glyph in line.glyphs:
            if glyph.outline.char == "O":
                value = 100 * (glyph.right_mm - glyph.left_mm) / line.height_mm
                where = f"O in raised line {line.text!r}"
                yield Measured(limit="proportion", value=value, where=where, unit_mm=line.height_mm / 100)
