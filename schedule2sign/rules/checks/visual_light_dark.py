"""Light on dark or dark on light."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.figures import is_figure_alone
from schedule2sign.rules.rule import Stated, rule


@rule(
    id="visual/light-dark",
    title="Characters against their background",
    why="Letters of the background's color can only be felt, not seen.",
    fix="Choose letters much lighter or much darker than the plate.",
    requirements=("light_dark",),
    codes={"same-color": Severity.HOLD},
    applies=lambda sign: bool(sign.lines or sign.visual or (is_figure_alone(sign) and sign.border)),
    otherwise="The sign has no characters.",
    waivable=True,
)
def check_light_dark(sign: SignLayout) -> Iterator[Stated]:
    """Color names tell only that two colors are the same one; the reflectances tell which is lighter."""
    build = sign.build
    same = build.base_color.casefold() == build.letter_color.casefold()
    if build.base_reflectance is not None and build.letter_reflectance is not None:
        same = build.base_reflectance == build.letter_reflectance
    yield Stated(
        requirement="light_dark",
        value="one color" if same else "two colors",
        code="same-color",
        where=f"{build.letter_color} on {build.base_color}",
    )
