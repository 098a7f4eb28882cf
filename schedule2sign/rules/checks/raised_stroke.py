"""Stroke of the raised characters."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="raised/stroke",
    title="Stroke of the letter I",
    why="Two fingertips' worth of edge tell a letter; a wide stroke feels like a bar.",
    fix="Use a regular weight: a medium or bold one is too wide.",
    limits=("stroke", "stroke_width"),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.lines),
    otherwise="The sign has no raised characters.",
    waivable=False,
)
def check_stroke(sign: SignLayout) -> Iterator[Measured]:
    """At the face; a leaning wall makes the base wider. Each line's set height, and every I that is cut."""
    for line in sign.lines:
        where = f"raised line {line.text!r}"
        unit_mm = line.height_mm / 100
        yield Measured(
            limit="stroke", value=100 * sign.font.stroke_ratio, where=f"font {sign.font.name}, {where}", unit_mm=unit_mm
        )
        yield Measured(limit="stroke_width", value=sign.font.stroke_ratio * line.height_mm, where=where)
        for glyph in line.glyphs:
            # An I without serifs is a bar, so its box is its stroke; with serifs it fails the style rule.
            if glyph.outline.char == "I" and not sign.font.i_has_serifs:
                value = 100 * (glyph.right_mm - glyph.left_mm) / line.height_mm
                yield Measured(limit="stroke", value=value, where=f"I in {where}", unit_mm=unit_mm)
