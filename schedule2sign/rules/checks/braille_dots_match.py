"""The dots are those of the cells."""

from collections.abc import Iterator

from schedule2sign.geometry.dotgrid import cell_dots
from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.grid import dots_by_line, name_difference
from schedule2sign.rules.rule import Stated, rule


@rule(
    id="braille/dots-match",
    title="Dots drilled against the cells translated",
    why="One dot more or less is another letter.",
    fix="This is a fault of the program: report it with the schedule row.",
    requirements=("dots_as_translated",),
    codes={"differs": Severity.HOLD},
    applies=lambda sign: bool(sign.braille or sign.dots),
    otherwise="The sign has no braille.",
    waivable=False,
)
def check_dots_match(sign: SignLayout) -> Iterator[Stated]:
    """Line by line: which dots of which cell, each once."""
    drilled = dots_by_line(sign)
    for index, line in enumerate(sign.braille):
        wanted = [(cell, number) for cell, sign_ in enumerate(line.cells) for number in cell_dots(sign_)]
        found = [(dot.cell, dot.number) for dot in drilled.get(index, ())]
        value = "as translated" if found == wanted else f"wrong from {name_difference(found, wanted)}"
        yield Stated(requirement="dots_as_translated", value=value, code="differs", where=f"braille line {index + 1}")
    for index in sorted(line for line in drilled if not 0 <= line < len(sign.braille)):
        yield Stated(
            requirement="dots_as_translated",
            value="of no translated line",
            code="differs",
            where=f"dots of braille line {index + 1}",
        )
