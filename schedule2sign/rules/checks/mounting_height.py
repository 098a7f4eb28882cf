"""Height of the tactile characters above the floor, where the job fixes it."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.grid import tactile_baselines
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="mounting/height",
    title="Tactile characters above the floor",
    why="A hand looks for signs at one height along the whole corridor.",
    fix="Hang this sign at another height: the installer's list gives the band; never below or above it.",
    limits=("mounting_height",),
    codes={TOO_SMALL: Severity.ASK, TOO_LARGE: Severity.ASK},
    applies=lambda sign: sign.build.top_mm is not None and bool(sign.lines or sign.dots),
    otherwise="The job does not fix the height of the plates, or the sign has no tactile characters.",
    waivable=False,
)
def check_mounting_height(sign: SignLayout) -> Iterator[Measured]:
    """Baselines of the lowest and highest tactile line, braille counted, with the plate's top edge as declared."""
    if sign.build.top_mm is None:
        return
    bottom_mm = sign.build.top_mm - sign.height_mm
    baselines = tactile_baselines(sign)
    for words, baseline_mm in (("lowest", min(baselines)), ("highest", max(baselines))):
        yield Measured(limit="mounting_height", value=bottom_mm + baseline_mm, where=f"{words} tactile line")
