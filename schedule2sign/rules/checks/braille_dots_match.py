"""The dots are those of the cells."""

from collections import Counter
from collections.abc import Iterator

from schedule2sign.geometry.dotgrid import cell_dots
from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
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
    drilled = Counter((dot.line, dot.cell, dot.number) for dot in sign.dots)
    for index, line in enumerate(sign.braille):
        wanted = Counter((index, cell, number) for cell, sign_ in enumerate(line.cells) for number in cell_dots(sign_))
        found = Counter({place: count for place, count in drilled.items() if place[0] == index})
        wrong = sorted((wanted - found) + (found - wanted))
        value = "as translated" if not wrong else f"wrong from cell {wrong[0][1] + 1}, dot {wrong[0][2]}"
        yield Stated(requirement="dots_as_translated", value=value, code="differs", where=f"braille line {index + 1}")
    for index in sorted({place[0] for place in drilled if not 0 <= place[0] < len(sign.braille)}):
        yield Stated(
            requirement="dots_as_translated",
            value="of no translated line",
            code="differs",
            where=f"dots of braille line {index + 1}",
        )
