"""Text, dots and pictogram field on the plate."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import dots_shape, inside_edge_mm, line_shapes, text_lines
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="plate/edge",
    title="Text, braille and pictogram field to the plate's edge",
    why="Letters at the edge peel, dots at the edge break out, and a finger needs room to read.",
    fix="Use a larger plate.",
    limits=("edge_text", "edge_braille", "edge_field"),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.lines or sign.visual or sign.dots or sign.pictogram),
    otherwise="The sign has neither text, braille nor pictogram.",
    waivable=True,
)
def check_edge(sign: SignLayout) -> Iterator[Measured]:
    """Outlines and dot edges to the edge with its rounded corners; negative outside."""
    for line, shape in zip(text_lines(sign), line_shapes(sign), strict=True):
        value = inside_edge_mm(sign, shape)
        yield Measured(limit="edge_text", value=value, where=f"line {line.text!r}")
    if sign.dots:
        value = inside_edge_mm(sign, dots_shape(sign)) - sign.cell_size.base_mm / 2
        yield Measured(limit="edge_braille", value=value, where="closest dot")
    if sign.pictogram is not None:
        field = sign.pictogram.field
        sides = (field.left_mm, field.bottom_mm, sign.width_mm - field.right_mm, sign.height_mm - field.top_mm)
        # The field may reach the edge and its corner may be rounded away: its margin is part of it.
        yield Measured(limit="edge_field", value=min(sides), where=f"field of {sign.pictogram.name!r}")
