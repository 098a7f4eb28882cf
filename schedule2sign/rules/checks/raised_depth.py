"""How far the characters stand out."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="raised/depth",
    title="Height of the raised characters above the background",
    why="A finger finds a letter by its edge, so it needs a step it can feel.",
    fix="Use a thicker letter sheet, or cut the background deeper, and declare its measured height in the job file.",
    limits=("raised_depth",),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.lines),
    otherwise="The sign has no raised characters.",
    waivable=False,
)
def check_depth(sign: SignLayout) -> Iterator[Measured]:
    """A drawing has no depth: the job's declared one is judged."""
    yield Measured(limit="raised_depth", value=sign.build.raised_mm, where="as declared by the job")
