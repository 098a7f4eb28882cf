"""Nothing but the pictogram in its field."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.rule import FLOAT_NOISE_MM
from schedule2sign.model.shape import Box, SignLayout
from schedule2sign.rules.ink import dot_box, text_lines
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
    boxes = [glyph.box for line in text_lines(sign) for glyph in line.glyphs]
    text = any(_overlap(box, field) for box in boxes)
    braille = any(_overlap(dot_box(dot, radius), field) for dot in sign.dots)
    points = [point for ring in sign.pictogram.rings for point in ring]
    outside = any(
        not (
            field.left_mm - FLOAT_NOISE_MM <= x <= field.right_mm + FLOAT_NOISE_MM
            and field.bottom_mm - FLOAT_NOISE_MM <= y <= field.top_mm + FLOAT_NOISE_MM
        )
        for x, y in points
    )
    where = f"field of {sign.pictogram.name!r}"
    for wrong, value, code in (
        (text, "characters", "text-in-field"),
        (braille, "braille", "braille-in-field"),
        (outside, "part of the drawing", "drawing-outside"),
    ):
        yield Stated(
            requirement="pictogram_field_holds", value=value if wrong else "the pictogram only", code=code, where=where
        )


def _overlap(a: Box, b: Box) -> bool:
    across = min(a.right_mm, b.right_mm) - max(a.left_mm, b.left_mm)
    along = min(a.top_mm, b.top_mm) - max(a.bottom_mm, b.bottom_mm)
    return min(across, along) > FLOAT_NOISE_MM
