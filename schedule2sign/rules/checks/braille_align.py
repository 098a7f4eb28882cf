"""Braille flush left or centered under the text."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import Dot, SignLayout
from schedule2sign.rules.grid import column, dots_by_line, typical_dot_pitch_mm
from schedule2sign.rules.ink import text_box
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="braille/align",
    title="Braille off the left edge and off the center of the text",
    why="Where braille starts is easier to find if it always stands the same way under the letters.",
    fix="Set the braille flush left with the text, or centered under it.",
    limits=("braille_align",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.dots and sign.lines),
    otherwise="The sign has no braille, or no raised text.",
    waivable=False,
)
def check_align(sign: SignLayout) -> Iterator[Measured]:
    """Full cells from dot edge to dot edge, against the outlines: the lesser of the two distances, line by line."""
    left, right = text_box(sign).left_mm, text_box(sign).right_mm
    pitch, radius = typical_dot_pitch_mm(sign), sign.cell_size.base_mm / 2
    for line, dots in dots_by_line(sign).items():
        start = min(_left_column_mm(dot, pitch) for dot in dots) - radius
        end = max(_left_column_mm(dot, pitch) for dot in dots) + pitch + radius
        value = min(abs(start - left), abs((start + end) / 2 - (left + right) / 2))
        yield Measured(limit="braille_align", value=value, where=f"braille line {line + 1}")


def _left_column_mm(dot: Dot, pitch_mm: float) -> float:
    return dot.x_mm - column(dot) * pitch_mm
