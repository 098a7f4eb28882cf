"""Sans serif, upright letters."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import TOO_LARGE, Measured, Stated, rule


@rule(
    id="raised/style",
    title="Style of the raised characters",
    why="Serifs and slant blur the shape a finger has to recognize.",
    fix="Use an upright sans serif font.",
    limits=("slant",),
    requirements=("letter_style",),
    codes={"serif": Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.lines),
    otherwise="The sign has no raised characters.",
    waivable=False,
)
def check_style(sign: SignLayout) -> Iterator[Measured | Stated]:
    """Both facts were measured on the font's capital I."""
    where = f"capital I of the font {sign.font.name}"
    value = "serif" if sign.font.i_has_serifs else "sans serif"
    yield Stated(requirement="letter_style", value=value, code="serif", where=where)
    yield Measured(limit="slant", value=abs(sign.font.slant_deg), where=f"slant of {where}")
