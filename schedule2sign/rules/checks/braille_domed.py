"""Shape of the dots."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import Stated, rule


@rule(
    id="braille/domed",
    title="Shape of the braille dots",
    why="Flat-topped or pointed dots are harder to tell apart and wear out a finger.",
    fix="Make the dots domed or rounded, and declare it in the job file.",
    requirements=("dot_shape",),
    codes={"not-domed": Severity.HOLD},
    applies=lambda sign: bool(sign.dots),
    otherwise="The sign has no braille.",
    waivable=False,
)
def check_domed(sign: SignLayout) -> Iterator[Stated]:
    """A drawing shows circles only: the job's declared shape is judged."""
    shape = sign.build.dot_shape
    yield Stated(requirement="dot_shape", value=shape, code="not-domed", where="as declared by the job")
