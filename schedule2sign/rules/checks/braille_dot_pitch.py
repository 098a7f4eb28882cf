"""Distance between neighboring dots of one cell."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.grid import dot_pitches, name_dot
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="braille/dot-pitch",
    title="Distance between neighboring dots of one cell",
    why="A finger reads a cell as one shape only when its dots sit a fixed way apart.",
    fix="Use a braille size whose dot pitch is inside the range.",
    limits=("dot_pitch",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: any(dot_pitches(sign)),
    otherwise="No cell has two dots.",
    waivable=False,
)
def check_dot_pitch(sign: SignLayout) -> Iterator[Measured]:
    """Center to center, from the dots as they will be drilled."""
    for value, a, b in dot_pitches(sign):
        yield Measured(limit="dot_pitch", value=value, where=f"{name_dot(a)} to {name_dot(b)}")
