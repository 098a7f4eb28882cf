"""A window for a changeable insert clear of everything."""

from collections.abc import Iterator
from typing import Any

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import Box, SignLayout
from schedule2sign.rules.ink import distance_mm, dots_shape, ink_bottom_mm, inside_edge_mm, raised_shapes
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, Stated, rule


@rule(
    id="plate/window",
    title="Window for an insert to text, braille and the plate's edge",
    why="A window's lip beside braille is felt instead of it, and one between text and braille parts what belongs together.",
    fix="Move the window above the text or below the braille, or use a larger plate.",
    limits=("window_text", "window_braille", "window_edge"),
    requirements=("window_place",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD, "between": Severity.HOLD},
    applies=lambda sign: sign.window is not None,
    otherwise="The sign has no window.",
    waivable=True,
)
def check_window(sign: SignLayout) -> Iterator[Measured | Stated]:
    """From the edge of the opening."""
    if sign.window is None:
        return
    opening = _fill(sign.window)
    yield Measured(limit="window_edge", value=inside_edge_mm(sign, opening), where="window")
    for line, shape in raised_shapes(sign):
        value = distance_mm(opening, shape)
        yield Measured(limit="window_text", value=value, where=f"window and raised line {line.text!r}")
    if sign.dots:
        value = distance_mm(opening, dots_shape(sign)) - sign.cell_size.base_mm / 2
        yield Measured(limit="window_braille", value=value, where="window and closest dot")
    value_ = "between text and braille" if _is_between(sign, sign.window) else "above the text or below the braille"
    yield Stated(requirement="window_place", value=value_, code="between", where="window")


def _fill(box: Box) -> Any:
    import shapely

    return shapely.box(box.left_mm, box.bottom_mm, box.right_mm, box.top_mm)


def _is_between(sign: SignLayout, window: Box) -> bool:
    if not (sign.lines and sign.dots):
        return False
    return window.top_mm <= ink_bottom_mm(sign) and window.bottom_mm >= max(dot.y_mm for dot in sign.dots)
