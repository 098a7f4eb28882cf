"""Distance between neighboring dots of one cell."""

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.grid import dot_pitches, pitch_series
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Series, rule


@rule(
    id="braille/dot-pitch",
    title="Distance between neighboring dots of one cell",
    why="A finger reads a cell as one shape only when its dots sit a fixed way apart.",
    fix="Use a braille size whose dot pitch is inside the range.",
    limits=("dot_pitch",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(dot_pitches(sign)),
    otherwise="No cell has two dots.",
    waivable=False,
)
def check_dot_pitch(sign: SignLayout) -> Series:
    """Center to center, from the dots as they will be drilled."""
    return pitch_series("dot_pitch", dot_pitches(sign))
