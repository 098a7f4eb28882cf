"""One mounting height that suits every tactile character."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.grid import tactile_baselines
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
    """With braille counted."""
    baselines = tactile_baselines(sign)
    yield Measured(limit="mounting_span", value=max(baselines) - min(baselines), where="tactile text")
