"""Space between characters that are read by eye."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.eye import lines_by_eye
from schedule2sign.rules.ink import gaps_mm, name_pair
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="visual/spacing",
    title="Closest points of neighboring characters as a share of the character height",
    why="Letters that touch or drift apart no longer make a word to the eye.",
    fix="Set the letters closer or further apart.",
    limits=("visual_spacing",),
    codes={TOO_SMALL: Severity.ASK, TOO_LARGE: Severity.ASK},
    applies=lambda sign: any(line.pairs for line in lines_by_eye(sign)),
    otherwise="All characters are raised and have braille (ADA 703.5 Exception), and the job declares no viewing "
    "distance; or no word has two characters.",
    waivable=True,
)
def check_visual_spacing(sign: SignLayout) -> Iterator[Measured]:
    """At the face. Spaces between words are excluded."""
    for line in lines_by_eye(sign):
        for pair, gap_mm in zip(line.pairs, gaps_mm(sign, line.pairs), strict=True):
            value = 100 * gap_mm / line.height_mm
            where = f"{name_pair(sign, pair)} in {line.name}"
            yield Measured(limit="visual_spacing", value=value, where=where, unit_mm=line.height_mm / 100)
