"""Letters of one raised line clear of those of the next."""

from collections.abc import Iterator
from itertools import pairwise

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import distance_mm, raised_shapes
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="raised/line-clear",
    title="Closest points of two raised lines",
    why="A tail that hangs into the next line joins two letters under a finger, and no cutter passes between them.",
    fix="Set the lines further apart.",
    limits=("line_clearance",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: len(sign.lines) > 1,
    otherwise="The sign has one raised line at most.",
    waivable=True,
)
def check_line_clear(sign: SignLayout) -> Iterator[Measured]:
    """Also between messages, where no line spacing is prescribed."""
    downward = sorted(raised_shapes(sign), key=lambda line: -line[0].baseline_mm)
    for (upper, upper_shape), (lower, lower_shape) in pairwise(downward):
        value = distance_mm(upper_shape, lower_shape)
        yield Measured(limit="line_clearance", value=value, where=f"lines {upper.text!r} and {lower.text!r}")
