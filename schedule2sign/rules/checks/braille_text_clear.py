"""Braille clear of other tactile characters."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import distance_mm, dots_shape, raised_shapes
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="braille/text-clear",
    title="Braille dots to the raised characters",
    why="A finger that touches a letter while it reads dots loses its place.",
    fix="Move the braille down; letters with tails hang below the baseline.",
    limits=("braille_clearance",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.dots and sign.lines),
    otherwise="The sign has no braille, or no raised text.",
    waivable=False,
)
def check_text_clear(sign: SignLayout) -> Iterator[Measured]:
    """Closest outline to closest dot edge, for every raised line."""
    dots = dots_shape(sign)
    radius = sign.cell_size.base_mm / 2
    for line, shape in raised_shapes(sign):
        value = distance_mm(shape, dots) - radius
        yield Measured(limit="braille_clearance", value=value, where=f"raised line {line.text!r}")
