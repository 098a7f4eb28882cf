"""The raised star of the exit discharge level."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.figures import find_stars
from schedule2sign.rules.ink import line_box
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, Stated, rule

_STAR = "star"  # as a request's pictogram


@rule(
    id="raised/star",
    title="Star of the exit discharge level, as a share of the character height, and its place",
    why="The star tells a hand, without a word, on which level the way out is.",
    fix="Draw the star as high as the level's characters and to their left.",
    limits=("star_size",),
    requirements=("star_place",),
    codes={
        TOO_SMALL: Severity.HOLD,
        TOO_LARGE: Severity.HOLD,
        "no-star": Severity.HOLD,
        "not-left": Severity.HOLD,
    },
    applies=lambda sign: sign.request.pictogram == _STAR or bool(find_stars(sign)),
    otherwise="The sign is not asked to have a star.",
    waivable=False,
)
def check_star(sign: SignLayout) -> Iterator[Measured | Stated]:
    """The circle through the star's points, against the raised line it stands beside."""
    stars = find_stars(sign)
    if not stars:
        yield Stated(requirement="star_place", value="missing", code="no-star", where="star")
    for star in stars:
        beside = [
            (line, line_box(line))
            for line in sign.lines
            if line_box(line).bottom_mm < star.center[1] < line_box(line).top_mm
        ]
        left = [line for line, box in beside if star.center[0] < box.left_mm]
        value = "left of the level" if left else "not left of a raised line"
        yield Stated(requirement="star_place", value=value, code="not-left", where="star")
        for line, _ in beside:
            value_ = 100 * star.diameter_mm / line.height_mm
            where = f"star beside raised line {line.text!r}"
            yield Measured(limit="star_size", value=value_, where=where, unit_mm=line.height_mm / 100)
