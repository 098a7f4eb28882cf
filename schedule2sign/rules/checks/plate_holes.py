"""Fixing holes clear of everything."""

from collections.abc import Iterator
from itertools import combinations
from math import hypot
from typing import Any

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import Hole, SignLayout
from schedule2sign.rules.ink import distance_mm, dots_shape, inside_edge_mm, raised_shapes
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="plate/holes",
    title="Fixing holes to text, braille, the plate's edge and each other",
    why="A screw head over a dot hides it, and a hole near an edge splits the plate.",
    fix="Move the hole, or fix the sign with tape and adhesive.",
    limits=("hole_text", "hole_braille", "hole_edge"),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: bool(sign.holes),
    otherwise="The sign has no fixing holes.",
    waivable=True,
)
def check_holes(sign: SignLayout) -> Iterator[Measured]:
    """From the hole's edge."""
    for index, hole in enumerate(sign.holes):
        where = f"hole {index + 1}"
        center, radius = _center(hole), hole.diameter_mm / 2
        yield Measured(limit="hole_edge", value=inside_edge_mm(sign, center) - radius, where=where)
        for line, shape in raised_shapes(sign):
            value = distance_mm(center, shape) - radius
            yield Measured(limit="hole_text", value=value, where=f"{where} and raised line {line.text!r}")
        if sign.dots:
            value = distance_mm(center, dots_shape(sign)) - radius - sign.cell_size.base_mm / 2
            yield Measured(limit="hole_braille", value=value, where=where)
    for (i, a), (j, b) in combinations(enumerate(sign.holes), 2):
        value = hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm) - (a.diameter_mm + b.diameter_mm) / 2
        yield Measured(limit="hole_edge", value=value, where=f"holes {i + 1} and {j + 1}")


def _center(hole: Hole) -> Any:
    import shapely

    return shapely.points(hole.x_mm, hole.y_mm)
