"""One mounting height that suits every tactile character."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.grid import row, typical_dot_pitch_mm
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="mounting/span",
    title="Highest to lowest baseline of the tactile characters",
    why="All of it must be in reach of a hand held at one height, and the published band is 12 inches deep.",
    fix="Shorten the message, or divide it over two signs.",
    limits=("mounting_span",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.lines or sign.dots),
    otherwise="The sign has no tactile characters.",
    waivable=False,
)
def check_span(sign: SignLayout) -> Iterator[Measured]:
    """Braille is tactile text too, whatever a figure may show (an editor's note on ADA Figure 703.4.1 says so)."""
    pitch, radius = typical_dot_pitch_mm(sign), sign.cell_size.base_mm / 2
    # The bottom edge of a full cell is its baseline, whether or not its lowest dots are there.
    baselines = [dot.y_mm - (2 - row(dot)) * pitch - radius for dot in sign.dots]
    baselines += [line.baseline_mm for line in sign.lines]
    yield Measured(limit="mounting_span", value=max(baselines) - min(baselines), where="tactile text")
