"""Geometric symbols on toilet doors."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.figures import is_figure_alone, read_triangle, spans
from schedule2sign.rules.ink import distance_mm, plate_edge, point_shape
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="symbol/figure",
    title="Size, points and fit of a geometric door symbol",
    why="People who see only outlines know the toilet by the shape on its door, at one size everywhere.",
    fix="Cut the triangle with edges, or the circle with a diameter, as printed; round the triangle's points.",
    limits=("symbol_across", "symbol_point_radius", "symbol_inset"),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=is_figure_alone,
    otherwise="The plate is no geometric symbol.",
    waivable=False,
)
def check_figure(sign: SignLayout) -> Iterator[Measured]:
    """Edges where the sides meet; the circle from side to side; a laid triangle's points to the circle's edge."""
    plate = read_triangle(sign.outline)
    laid = [triangle for triangle in map(read_triangle, sign.border) if triangle is not None]
    for triangle in (plate, *laid):
        for tip, radius_mm in triangle.tips if triangle is not None else ():
            where = f"point at {tip[0]:.1f}, {tip[1]:.1f} mm"
            yield Measured(limit="symbol_point_radius", value=radius_mm, where=where)
    for across_mm in plate.edges_mm if plate is not None else spans(sign.outline):
        yield Measured(limit="symbol_across", value=across_mm, where="edge or diameter of the plate")
    for triangle in laid:
        for tip, _ in triangle.tips:
            value = distance_mm(plate_edge(sign), point_shape(tip))
            yield Measured(limit="symbol_inset", value=value, where="point of the laid triangle")
