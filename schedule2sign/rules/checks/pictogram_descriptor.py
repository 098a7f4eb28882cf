"""The pictogram's text descriptor directly below its field."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.rule import FLOAT_NOISE_MM
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import line_box
from schedule2sign.rules.rule import Stated, rule


@rule(
    id="pictogram/descriptor",
    title="Place of the pictogram's text descriptor",
    why="A pictogram says nothing to a finger: the words under it do.",
    fix="Put the raised text directly below the pictogram field, and its braille below the text.",
    requirements=("descriptor_position",),
    codes={"no-descriptor": Severity.HOLD, "not-below": Severity.HOLD},
    applies=lambda sign: sign.pictogram is not None,
    otherwise="The sign has no pictogram.",
    waivable=False,
)
def check_descriptor(sign: SignLayout) -> Iterator[Stated]:
    """The next tactile thing under the field, within its width, is a raised line."""
    if sign.pictogram is None:
        return
    field = sign.pictogram.field
    where = f"field of {sign.pictogram.name!r}"
    if not sign.lines:
        yield Stated(requirement="descriptor_position", value="missing", code="no-descriptor", where=where)
        return
    boxes = [line_box(line) for line in sign.lines]
    under = [
        box.top_mm
        for box in boxes
        if box.top_mm <= field.bottom_mm + FLOAT_NOISE_MM
        and box.left_mm < field.right_mm
        and box.right_mm > field.left_mm
    ]
    between = [dot for dot in sign.dots if under and max(under) < dot.y_mm < field.bottom_mm]
    value = "directly below the field" if under and not between else "not directly below the field"
    yield Stated(requirement="descriptor_position", value=value, code="not-below", where=where)
