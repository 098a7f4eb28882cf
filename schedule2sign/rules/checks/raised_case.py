"""Capitals only."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import Stated, rule


@rule(
    id="raised/case",
    title="Case of the raised characters",
    why="Capitals are the letters most people have learned to read by touch.",
    fix="Set the message in capitals.",
    requirements=("case",),
    codes={"lower-case": Severity.HOLD},
    applies=lambda sign: bool(sign.lines),
    otherwise="The sign has no raised characters.",
    waivable=False,
)
def check_case(sign: SignLayout) -> Iterator[Stated]:
    """Judge the letters that are cut, not the text they came from."""
    for line in sign.lines:
        cut = "".join(glyph.outline.char for glyph in line.glyphs)
        value = "uppercase" if cut == cut.upper() else "lowercase"
        yield Stated(requirement="case", value=value, code="lower-case", where=f"raised line {line.text!r}")
