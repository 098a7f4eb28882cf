"""Height of the characters for the distance they are read from."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.measure import inches
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.eye import height_rows, lines_by_eye, row_for
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="visual/height",
    title="Height of characters read by eye, less what the viewing distance adds",
    why="The farther away a reader must stand, the larger the letters must be.",
    fix="Use larger characters, or let the reader come closer.",
    limits=tuple(row.limit for row in height_rows()),
    codes={TOO_SMALL: Severity.ASK, TOO_LARGE: Severity.ASK},
    applies=lambda sign: bool(lines_by_eye(sign)),
    otherwise="All characters are raised and have braille (ADA 703.5 Exception), and the job declares no viewing distance.",
    waivable=True,
)
def check_visual_height(sign: SignLayout) -> Iterator[Measured]:
    """The row of the table goes by the baseline's height above the floor."""
    top_mm = sign.build.top_mm
    for line in lines_by_eye(sign):
        row = row_for(None if top_mm is None else top_mm - sign.height_mm + line.baseline_mm)
        added_mm = row.added_mm(sign.build.viewing_mm)
        where = f"{line.name}, {inches(line.height_mm):.4f} in high, less {inches(added_mm):.4f} in"
        yield Measured(limit=row.limit, value=line.height_mm - added_mm, where=where)
