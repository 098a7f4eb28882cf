"""Height of the pictogram field."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="pictogram/field-height",
    title="Height of the pictogram field",
    why="The field is what makes a pictogram stand out from afar; the drawing in it may be smaller.",
    fix="Use a plate that leaves the whole field free.",
    limits=("pictogram_field",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: sign.pictogram is not None,
    otherwise="The sign has no pictogram.",
    waivable=False,
)
def check_field_height(sign: SignLayout) -> Iterator[Measured]:
    """The field kept free, not the drawing in it."""
    if sign.pictogram is not None:
        where = f"field of {sign.pictogram.name!r}"
        yield Measured(limit="pictogram_field", value=sign.pictogram.field.height_mm, where=where)
