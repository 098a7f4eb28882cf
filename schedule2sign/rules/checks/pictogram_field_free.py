"""Nothing but the pictogram in its field."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import Box, SignLayout
from schedule2sign.rules.rule import Stated, rule


@rule(
    id="pictogram/field-free",
    title="What stands in the pictogram field",
    why="Characters or braille in the field spoil the picture.",
    fix="Move text and braille out of the field, or the drawing into it.",
    requirements=("pictogram_field_holds",),
    codes={"text-in-field": Severity.HOLD, "braille-in-field": Severity.HOLD, "drawing-outside": Severity.HOLD},
    applies=lambda sign: sign.pictogram is not None,
    otherwise="The sign has no pictogram.",
    waivable=False,
)
def check_field_free(sign: SignLayout) -> Iterator[Stated]:
    """Outline boxes and dot edges against the field; the drawing must lie inside it."""
    if sign.pictogram is None:
        return
    field, radius = sign.pictogram.field, sign.cell_size.base_mm / 2
    boxes = [glyph.box for line in sign.lines for glyph in line.glyphs]
    text = any(_overlap(box, field) for box in boxes)
    braille = any(
        field.left_mm - radius < dot.x_mm < field.right_mm + radius
        and field.bottom_mm - radius < dot.y_mm < field.top_mm + radius
        for dot in sign.dots
    )
    points = [point for ring in sign.pictogram.rings for point in ring]
    outside = any(
        not (field.left_mm <= x <= field.right_mm and field.bottom_mm <= y <= field.top_mm) for x, y in points
    )
    where = f"field of {sign.pictogram.name!r}"
    for wrong, value, code in (
        (text, "raised characters", "text-in-field"),
        (braille, "braille", "braille-in-field"),
        (outside, "part of the drawing", "drawing-outside"),
    ):
        yield Stated(
            requirement="pictogram_field_holds", value=value if wrong else "the pictogram only", code=code, where=where
        )


def _overlap(a: Box, b: Box) -> bool:
    return a.left_mm < b.right_mm and b.left_mm < a.right_mm and a.bottom_mm < b.top_mm and b.bottom_mm < a.top_mm
