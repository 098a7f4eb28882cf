"""Height of a braille dot."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="braille/dot-height",
    title="Height of a braille dot",
    why="Low dots cannot be read; high ones scratch and wear off.",
    fix="Change the depth of the holes, or the size of the spheres.",
    limits=("dot_height",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.dots),
    otherwise="The sign has no braille.",
    waivable=False,
)
def check_dot_height(sign: SignLayout) -> Iterator[Measured]:
    """Dots are drawn as centers: the size they are drawn to is judged."""
    yield Measured(limit="dot_height", value=sign.cell_size.height_mm, where=f"braille size {sign.cell_size.name}")
