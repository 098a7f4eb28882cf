"""Braille clear of a raised border."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import distance_mm, dots_shape, rings_shape
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="braille/border-clear",
    title="Braille dots to the raised border",
    why="A border beside braille is felt instead of the dots.",
    fix="Move the border out, use a larger plate, or leave the border away.",
    limits=("braille_border_clearance",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.dots and sign.border),
    otherwise="The sign has no raised border, or no braille.",
    waivable=False,
)
def check_border_clear(sign: SignLayout) -> Iterator[Measured]:
    """Closest dot edge to the border's contours."""
    value = distance_mm(dots_shape(sign.dots), rings_shape(sign.border)) - sign.cell_size.base_mm / 2
    yield Measured(limit="braille_border_clearance", value=value, where="closest dot")
