"""Distance between the same dot of neighboring cells."""

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.grid import cell_pitches, pitch_series
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Series, rule


@rule(
    id="braille/cell-pitch",
    title="Distance between the same dot of neighboring cells",
    why="Cells too close or too far apart are read as other cells.",
    fix="Use a braille size whose cell pitch is inside the range.",
    limits=("cell_pitch",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(cell_pitches(sign)),
    otherwise="No line of braille has two cells.",
    waivable=False,
)
def check_cell_pitch(sign: SignLayout) -> Series:
    """Center to center, from the dots as they will be drilled."""
    return pitch_series("cell_pitch", cell_pitches(sign))
