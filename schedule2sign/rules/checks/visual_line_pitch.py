"""Line spacing of flat, visual text."""

from collections.abc import Iterator
from itertools import pairwise

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="visual/line-pitch",
    title="Baseline to baseline of flat text, as a share of the character height",
    why="Lines too close run together to the eye; lines too far apart no longer make one message.",
    fix="Change the line spacing of the sign template.",
    limits=("visual_line_pitch",),
    codes={TOO_SMALL: Severity.ASK, TOO_LARGE: Severity.ASK},
    applies=lambda sign: len(sign.visual) > 1,
    otherwise="The sign has one flat line at most.",
    waivable=True,
)
def check_visual_line_pitch(sign: SignLayout) -> Iterator[Measured]:
    """Where two lines differ in height the taller counts."""
    for upper, lower in pairwise(sorted(sign.visual, key=lambda line: -line.baseline_mm)):
        height_mm = max(upper.height_mm, lower.height_mm)
        value = 100 * (upper.baseline_mm - lower.baseline_mm) / height_mm
        where = f"flat lines {upper.text!r} and {lower.text!r}"
        yield Measured(limit="visual_line_pitch", value=value, where=where, unit_mm=height_mm / 100)
