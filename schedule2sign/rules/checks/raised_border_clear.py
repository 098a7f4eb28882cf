"""Raised characters clear of a raised border."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import distance_mm, line_shape, rings_shape
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="raised/border-clear",
    title="Raised characters to the raised border",
    why="A border close to a letter is felt as part of it.",
    fix="Move the border out, use a larger plate, or leave the border away.",
    limits=("border_clearance",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.lines and sign.border),
    otherwise="The sign has no raised border, or no raised characters.",
    waivable=False,
)
def check_border_clear(sign: SignLayout) -> Iterator[Measured]:
    """Each raised line's outlines to the border's contours."""
    border = rings_shape(sign.border)
    for line in sign.lines:
        value = distance_mm(line_shape(line), border)
        yield Measured(limit="border_clearance", value=value, where=f"raised line {line.text!r}")
