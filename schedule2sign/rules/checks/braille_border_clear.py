"""Braille clear of raised borders and decoration."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import decoration, distance_mm, dots_shape
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="braille/border-clear",
    title="Braille dots to a raised border or pictogram",
    why="A border or picture beside braille is felt instead of the dots.",
    fix="Move the border or pictogram away, use a larger plate, or leave the border away.",
    limits=("braille_border_clearance",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.dots and any(decoration(sign))),
    otherwise="The sign has no raised border and no pictogram, or no braille.",
    waivable=False,
)
def check_border_clear(sign: SignLayout) -> Iterator[Measured]:
    """Closest dot edge to the contours of the border and of the pictogram, which is cut raised."""
    for name, shape in decoration(sign):
        value = distance_mm(dots_shape(sign), shape) - sign.cell_size.base_mm / 2
        yield Measured(limit="braille_border_clearance", value=value, where=f"closest dot and {name}")
