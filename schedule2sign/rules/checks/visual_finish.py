"""Non-glare finish."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.figures import is_figure_alone
from schedule2sign.rules.rule import Stated, rule


@rule(
    id="visual/finish",
    title="Finish of the characters and their background",
    why="Glare hides letters from people with low vision.",
    fix="Use matte material and declare its finish in the job file.",
    requirements=("finish",),
    codes={"glare": Severity.HOLD},
    applies=lambda sign: bool(sign.lines or sign.visual or sign.pictogram or is_figure_alone(sign)),
    otherwise="The sign has nothing to see.",
    waivable=True,
)
def check_finish(sign: SignLayout) -> Iterator[Stated]:
    """A drawing has no finish: the job's declared one is judged."""
    yield Stated(requirement="finish", value=sign.build.finish, code="glare", where="as declared by the job")
