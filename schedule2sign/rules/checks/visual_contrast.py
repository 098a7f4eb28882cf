"""Contrast from declared reflectances."""

from collections.abc import Iterator
from math import inf

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


def reflectances(sign: SignLayout) -> list[float]:
    """Those of plate and letters that the job declares."""
    declared = (sign.build.base_reflectance, sign.build.letter_reflectance)
    return [percent for percent in declared if percent is not None]


@rule(
    id="visual/contrast",
    title="Contrast of characters and background by their light reflectance",
    why="People with low vision read by the difference of light and dark.",
    fix="Choose letters much lighter or much darker than the plate.",
    limits=("contrast",),
    codes={TOO_SMALL: Severity.ASK, TOO_LARGE: Severity.ASK},
    applies=lambda sign: bool(sign.lines or sign.visual) and len(reflectances(sign)) == 2,
    otherwise="The job declares no light reflectance: compare samples by eye.",
    waivable=True,
)
def check_contrast(sign: SignLayout) -> Iterator[Measured]:
    """(lighter - darker) / lighter, in percent."""
    darker, lighter = sorted(reflectances(sign))
    value = 100 * (lighter - darker) / (lighter or inf)
    yield Measured(limit="contrast", value=value, where=f"{sign.build.letter_color} on {sign.build.base_color}")
