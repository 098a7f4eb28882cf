"""Braille below the entire text."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.rule import FLOAT_NOISE_MM
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.grid import dots_by_line
from schedule2sign.rules.ink import ink_bottom_mm, text_box
from schedule2sign.rules.rule import Stated, rule


@rule(
    id="braille/position",
    title="Place of the braille against the raised text",
    why="A reader who found the letters looks for the braille under them, and nowhere else.",
    fix="Put all braille below the lowest raised line, within its width.",
    requirements=("braille_position",),
    codes={"not-below": Severity.HOLD},
    applies=lambda sign: bool(sign.dots and sign.lines),
    otherwise="The sign has no braille, or no raised text.",
    waivable=False,
)
def check_position(sign: SignLayout) -> Iterator[Stated]:
    """Dot edges against outlines: below the lowest point of all letters, and not off to a side of them."""
    radius = sign.cell_size.base_mm / 2
    lowest_mm = ink_bottom_mm(sign)
    left, right = text_box(sign).left_mm, text_box(sign).right_mm
    for line, dots in dots_by_line(sign).items():
        if max(dot.y_mm for dot in dots) + radius > lowest_mm + FLOAT_NOISE_MM:
            value = "not below the entire text"
        elif min(dot.x_mm for dot in dots) > right or max(dot.x_mm for dot in dots) < left:
            value = "beside the text"
        else:
            value = "below the entire text"
        yield Stated(requirement="braille_position", value=value, code="not-below", where=f"braille line {line + 1}")
