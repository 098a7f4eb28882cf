"""Base diameter of a braille dot."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="braille/dot-base",
    title="Base diameter of a braille dot",
    why="Dots too thin prick, dots too wide run together.",
    fix="Use spheres and a drill of the right size.",
    limits=("dot_base",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.dots),
    otherwise="The sign has no braille.",
    waivable=False,
)
def check_dot_base(sign: SignLayout) -> Iterator[Measured]:
    """Dots are drawn as centers: the size they are drawn to is judged."""
    yield Measured(limit="dot_base", value=sign.cell_size.base_mm, where=f"braille size {sign.cell_size.name}")
