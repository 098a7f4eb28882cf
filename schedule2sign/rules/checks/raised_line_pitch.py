"""Line spacing inside a raised message."""

from collections.abc import Iterator
from itertools import pairwise

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import RaisedLine, SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


def line_pairs(sign: SignLayout) -> Iterator[tuple[RaisedLine, RaisedLine]]:
    """Lines of the same message, each with the one below it."""
    for message in dict.fromkeys(line.message for line in sign.lines):
        lines = [line for line in sign.lines if line.message == message]
        yield from pairwise(sorted(lines, key=lambda line: -line.baseline_mm))


@rule(
    id="raised/line-pitch",
    title="Baseline to baseline of a raised message, as a share of the character height",
    why="Lines too close run together under a finger; lines too far apart are missed.",
    fix="Change the line spacing of the sign template.",
    limits=("line_pitch",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: any(line_pairs(sign)),
    otherwise="No raised message has two lines.",
    waivable=False,
)
def check_line_pitch(sign: SignLayout) -> Iterator[Measured]:
    """Where two lines differ in height the taller counts. Separate messages have no such rule."""
    for upper, lower in line_pairs(sign):
        height_mm = max(upper.height_mm, lower.height_mm)
        value = 100 * (upper.baseline_mm - lower.baseline_mm) / height_mm
        where = f"lines {upper.text!r} and {lower.text!r}"
        yield Measured(limit="line_pitch", value=value, where=where, unit_mm=height_mm / 100)
