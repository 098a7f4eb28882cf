"""Distance between the same dot of neighboring cells."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.grid import cell_pitches, name_dot
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="braille/cell-pitch",
    title="Distance between the same dot of neighboring cells",
    why="Cells too close or too far apart are read as other cells.",
    fix="Use a braille size whose cell pitch is inside the range.",
    limits=("cell_pitch",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: any(cell_pitches(sign)),
    otherwise="No line of braille has two cells.",
    waivable=False,
)
def check_cell_pitch(sign: SignLayout) -> Iterator[Measured]:
    """Center to center, from the dots as they will be drilled."""
    for value, a, b in cell_pitches(sign):
        yield Measured(limit="cell_pitch", value=value, where=f"{name_dot(a)} to {name_dot(b)}")
