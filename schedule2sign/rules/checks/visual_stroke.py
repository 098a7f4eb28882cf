"""Stroke of characters that are read by eye."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="visual/stroke",
    title="Stroke of the letter I where characters are read by eye",
    why="Hairline letters disappear for people with low vision.",
    fix="Use a regular weight.",
    limits=("visual_stroke", "flat_stroke"),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.lines or sign.visual),
    otherwise="The sign has no characters.",
    waivable=True,
)
def check_visual_stroke(sign: SignLayout) -> Iterator[Measured]:
    """The font's own I: for raised characters that are the visual ones too, and for flat text."""
    where = f"font {sign.font.name}"
    for limit, lines in (("visual_stroke", sign.lines), ("flat_stroke", sign.visual)):
        if lines:
            unit_mm = min(line.height_mm for line in lines) / 100
            yield Measured(limit=limit, value=100 * sign.font.stroke_ratio, where=where, unit_mm=unit_mm)
