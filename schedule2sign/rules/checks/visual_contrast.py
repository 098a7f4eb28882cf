"""Contrast from declared reflectances."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="visual/contrast",
    title="Contrast of characters and background by their light reflectance",
    why="People with low vision read by the difference of light and dark.",
    fix="Choose letters much lighter or much darker than the plate.",
    limits=("contrast",),
    codes={TOO_SMALL: Severity.ASK, TOO_LARGE: Severity.ASK},
    applies=lambda sign: (
        bool(sign.lines) and sign.build.base_reflectance is not None and sign.build.letter_reflectance is not None
    ),
    otherwise="The job declares no light reflectance: compare samples by eye.",
    waivable=True,
)
def check_contrast(sign: SignLayout) -> Iterator[Measured]:
    """(lighter - darker) / lighter, in percent."""
    lighter = max(sign.build.base_reflectance or 0.0, sign.build.letter_reflectance or 0.0)
    darker = min(sign.build.base_reflectance or 0.0, sign.build.letter_reflectance or 0.0)
    value = 100 * (lighter - darker) / lighter if lighter else 0.0
    yield Measured(limit="contrast", value=value, where=f"{sign.build.letter_color} on {sign.build.base_color}")
