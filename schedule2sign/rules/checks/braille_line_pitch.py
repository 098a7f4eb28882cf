"""Distance between the same dot of a cell and the cell directly below."""

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.grid import line_pitches, pitch_series
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Series, rule


@rule(
    id="braille/line-pitch",
    title="Distance between the same dot of a cell and the cell directly below",
    why="Lines too close run into each other; lines too far apart are missed.",
    fix="Use a braille size whose line pitch is inside the range.",
    limits=("braille_line_pitch",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(line_pitches(sign)),
    otherwise="The sign has one line of braille at most.",
    waivable=False,
)
def check_line_pitch(sign: SignLayout) -> Series:
    """Center to center, from the dots as they will be drilled."""
    return pitch_series("braille_line_pitch", line_pitches(sign))
