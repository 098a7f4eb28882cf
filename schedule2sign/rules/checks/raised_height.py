"""Height of the raised characters, from their outlines."""

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import PlacedGlyph, RaisedLine, SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, Series, rule

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
def check_height(sign: SignLayout) -> Series:
    """The set height of I for every line, and the outline of every flat-topped letter in it."""
    found: list[tuple[RaisedLine, PlacedGlyph | None]] = []
    for line in sign.lines:
        found.append((line, None))
        found += [(line, glyph) for glyph in line.glyphs if glyph.outline.char in _FLAT_TOPPED]
    values = [line.height_mm if glyph is None else glyph.top_mm - line.baseline_mm for line, glyph in found]

    def single(index: int) -> Measured:
        line, glyph = found[index]
        what = "height set for I," if glyph is None else f"{glyph.outline.char} in"
        return Measured(limit="character_height", value=values[index], where=f"{what} raised line {line.text!r}")

    return Series(limits=("character_height",), values=values, single=single)
