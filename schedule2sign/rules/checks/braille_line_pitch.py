"""Distance between the same dot of a cell and the cell directly below."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.grid import line_pitches, name_dot
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="braille/line-pitch",
    title="Distance between the same dot of a cell and the cell directly below",
    why="Lines too close run into each other; lines too far apart are missed.",
    fix="Use a braille size whose line pitch is inside the range.",
    limits=("braille_line_pitch",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: any(line_pitches(sign)),
    otherwise="The sign has one line of braille at most.",
    waivable=False,
)
def check_line_pitch(sign: SignLayout) -> Iterator[Measured]:
    """Center to center, from the dots as they will be drilled."""
    for value, a, b in line_pitches(sign):
        yield Measured(limit="braille_line_pitch", value=value, where=f"{name_dot(a)} to {name_dot(b)}")
