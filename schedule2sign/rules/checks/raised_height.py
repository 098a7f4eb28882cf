"""Height of the raised characters, from their outlines."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule

# Their tops are level with the top of I; round and pointed letters overshoot it.
_FLAT_TOPPED = frozenset("BDEFHIKLPRTUVWXYZ")


@rule(
    id="raised/height",
    title="Height of the raised characters, from the baseline, based on the letter I",
    why="Smaller letters run together under a finger; larger ones no longer fit under it.",
    fix="Change the character height of the sign template.",
    limits=("character_height",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.lines),
    otherwise="The sign has no raised characters.",
    waivable=False,
)
def check_height(sign: SignLayout) -> Iterator[Measured]:
    """The set height of I for every line, and the outline of every flat-topped letter in it."""
    for line in sign.lines:
        where = f"raised line {line.text!r}"
        yield Measured(limit="character_height", value=line.height_mm, where=f"height set for I, {where}")
        for glyph in line.glyphs:
            if glyph.outline.char in _FLAT_TOPPED:
                height_mm = glyph.top_mm - line.baseline_mm
                yield Measured(limit="character_height", value=height_mm, where=f"{glyph.outline.char} in {where}")
