"""Braille not too far below the text."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import ink_bottom_mm
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="braille/gap-to-text",
    title="Lowest point of the raised text to the top edge of the braille",
    why="Braille far below the letters is not found.",
    fix="Move the braille closer to the text.",
    limits=("braille_gap",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.dots and sign.lines),
    otherwise="The sign has no braille, or no raised text.",
    waivable=False,
)
def check_gap(sign: SignLayout) -> Iterator[Measured]:
    """Straight down, from the outlines to the edge of the highest dot."""
    top_mm = max(dot.y_mm for dot in sign.dots) + sign.cell_size.base_mm / 2
    yield Measured(limit="braille_gap", value=ink_bottom_mm(sign) - top_mm, where="braille block")
