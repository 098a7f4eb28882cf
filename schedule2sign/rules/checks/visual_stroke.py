"""Stroke of raised characters that are also read by eye."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="visual/stroke",
    title="Stroke of the letter I where the raised characters are the visual ones too",
    why="Hairline letters disappear for people with low vision.",
    fix="Use a regular weight.",
    limits=("visual_stroke",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.lines),
    otherwise="The sign has no characters.",
    waivable=True,
)
def check_visual_stroke(sign: SignLayout) -> Iterator[Measured]:
    """The font's own I."""
    yield Measured(limit="visual_stroke", value=100 * sign.font.stroke_ratio, where=f"font {sign.font.name}")
