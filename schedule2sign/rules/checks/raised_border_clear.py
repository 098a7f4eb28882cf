"""Raised characters clear of raised borders and decoration."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import decoration, distance_mm, raised_shapes
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="raised/border-clear",
    title="Raised characters to a raised border or pictogram",
    why="A border or picture close to a letter is felt as part of it.",
    fix="Move the border or pictogram away, use a larger plate, or leave the border away.",
    limits=("border_clearance",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.lines and any(decoration(sign))),
    otherwise="The sign has no raised border and no pictogram, or no raised characters.",
    waivable=False,
)
def check_border_clear(sign: SignLayout) -> Iterator[Measured]:
    """Each raised line's outlines to the contours of the border and of the pictogram, which is cut raised."""
    for name, shape in decoration(sign):
        for line, letters in raised_shapes(sign):
            value = distance_mm(letters, shape)
            yield Measured(limit="border_clearance", value=value, where=f"raised line {line.text!r} and {name}")
