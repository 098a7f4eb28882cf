"""Order of braille holes, the run of the drill, and clearance of holes from letters and edges."""

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, groupby, islice
from typing import Any

import numpy
import shapely

from schedule2sign.geometry.rings import box_of
from schedule2sign.model.bench import Run
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.plate import DrillRows, pack_numbers
from schedule2sign.model.process import Process
from schedule2sign.model.shape import Box, Dot, Point, SignLayout
from schedule2sign.production.amounts import length_text
from schedule2sign.production.cutpath import length_of
from schedule2sign.production.raised import Part, near_parts, plate_shape, raised_parts, shape_of

_SAME_MM = 1e-6
_FEW = 256  # points whose distances are all worked out at once
_TOGETHER = 64  # sheets whose holes are spanned at a time


def order_dots(dots: Sequence[Dot]) -> tuple[Dot, ...]:
    """Line by line, in a line row by row from the top, in a row left to right.

    A stopped job then shows which lines are done, and every row runs one way.
    """
    return tuple(sorted(dots, key=lambda dot: (*_row(dot), dot.x_mm, -dot.y_mm)))


def _row(dot: Dot) -> tuple[int, int]:
    """The line of braille, and which of its three rows."""
    return dot.line, (dot.number - 1) % 3


def drill_rows(dots: Sequence[Dot]) -> DrillRows:
    """The dots in drilling order, in little memory."""
    ordered = order_dots(dots)
    return DrillRows(
        packed=pack_numbers(chain.from_iterable((dot.x_mm, dot.y_mm) for dot in ordered)),
        rows=tuple(sum(1 for _ in row) for _, row in groupby(ordered, key=_row)),
    )


def plan_runs(sheets: Iterable[Sequence[Point]], run_in_mm: float) -> Iterator[Run]:
    """The drill's travel through the holes of each sheet as ordered, each one reached from the left and from above."""
    waiting = iter(sheets)
    while batch := list(islice(waiting, _TOGETHER)):
        for holes, bound_mm in zip(batch, _span_together(batch), strict=True):
            points = drill_way(holes, run_in_mm)
            yield Run(holes=len(holes), points=tuple(points), length_mm=length_of(points), bound_mm=bound_mm)


def drill_way(holes: Sequence[Point], run_in_mm: float) -> list[Point]:
    """The holes as ordered, and the points the drill goes to before some of them.

    Each hole is reached from the left and from above, so that lost motion in the drive always has the same sign. Where
    the next hole would be reached from the right or from below, the drill first goes to a point short of it; a move
    along one axis leaves the other axis as it was.
    """
    if run_in_mm <= 0 or not holes:
        return list(holes)
    x, y = holes[0]
    points: list[Point] = [(x - run_in_mm, y + run_in_mm)]
    before_x, before_y = points[0]
    for hole in holes:
        x, y = hole
        leftward, upward = x < before_x - _SAME_MM, y > before_y + _SAME_MM
        if leftward or upward:
            # The axis that needs no run-in waits where it is: it comes from its own side with the last move.
            points.append((x - run_in_mm if leftward else before_x, y + run_in_mm if upward else before_y))
        points.append(hole)
        before_x, before_y = hole
    return points


def spanning_length(points: Sequence[Point]) -> float:
    """Length of the minimum spanning tree: no tour of the points is shorter."""
    if len(points) < 2:
        return 0.0
    if len(points) > _FEW:
        return _span_together([points])[0]
    xs, ys = numpy.array(points, dtype=float).T.copy()
    # Squares order points as their distances do, and cost no root.
    table = (xs - xs[:, None]) ** 2 + (ys - ys[:, None]) ** 2
    nearest = numpy.full(len(xs), numpy.inf)
    squares, at = [], 0
    for _ in range(len(xs) - 1):
        table[:, at] = nearest[at] = numpy.inf  # reached: never the nearest again
        numpy.minimum(nearest, table[at], out=nearest)
        at = int(nearest.argmin())
        squares.append(nearest[at])
    return _sum_roots(squares)


def _span_together(sheets: Sequence[Sequence[Point]]) -> list[float]:
    """`spanning_length` of many: each step is taken on all at once, for it is the number of calls that costs."""
    order = sorted(range(len(sheets)), key=lambda index: -len(sheets[index]))
    counts = [len(sheets[index]) for index in order]
    table = numpy.full((3, len(order), max(counts, default=0)), numpy.inf)  # x, y and how near, a row a sheet
    for row, index in enumerate(order):
        if sheets[index]:
            table[:2, row, : counts[row]] = numpy.array(sheets[index], dtype=float).T
    flat, nearest = table.reshape(3, -1), table[2]
    starts = numpy.arange(len(order)) * table.shape[2]
    at, last, live = starts, starts + counts, len(order)
    squares = numpy.zeros(nearest.shape)
    for reached in range(1, table.shape[2]):
        while counts[live - 1] <= reached:  # the longest come first
            live -= 1
        at, last, left = at[:live], last[:live] - 1, counts[0] - reached
        here = flat[:2, at, None]
        flat[:, at] = flat[:, last]  # the last takes the place of the one reached
        flat[:, last] = numpy.inf
        away = table[:2, :live, :left] - here
        away *= away
        across, up = away
        across += up
        near = nearest[:live, :left]
        numpy.minimum(near, across, out=near)
        at = starts[:live] + near.argmin(axis=1)
        squares[:live, reached] = flat[2, at]
    lengths = dict(zip(order, map(_sum_roots, squares), strict=True))
    return [lengths[index] for index in range(len(sheets))]


def _sum_roots(squares: Any) -> float:
    """Exact, so that it is the same whichever of equal distances was taken first."""
    return math.fsum(numpy.sqrt(squares).tolist())


def check_holes(layout: SignLayout, process: Process, raised: Sequence[Part] | None = None) -> tuple[Flag, ...]:
    """No hole within the drill's radius of the plate's edge, a letter, a fixing hole or the window."""
    radius = _radius_mm(process)
    if radius is None or not layout.dots:
        return ()
    return tuple(_check_clear(layout, radius, process.unit, raised_parts(layout) if raised is None else raised))


def _radius_mm(process: Process) -> float | None:
    if process.drill is not None:
        return process.drill.diameter_mm / 2
    return process.dot_form.base_mm / 2 if process.dot_form is not None else None


def _check_clear(layout: SignLayout, radius_mm: float, unit: str, parts: Sequence[Part]) -> Iterator[Flag]:
    around = box_of([tuple((dot.x_mm, dot.y_mm) for dot in layout.dots)])
    raised = [shape_of(part) for part in near_parts(parts, around, radius_mm)]
    openings = [shapely.Point(hole.x_mm, hole.y_mm).buffer(hole.diameter_mm / 2) for hole in layout.holes]
    if layout.window is not None:
        box = layout.window
        openings.append(shapely.box(box.left_mm, box.bottom_mm, box.right_mm, box.top_mm))
    if not raised and not openings and _well_inside(layout, around, radius_mm):
        return  # nothing is near, as on most signs
    centers = shapely.points([(dot.x_mm, dot.y_mm) for dot in layout.dots])
    for what, obstacles in (("a raised letter", raised), ("an opening of the plate", openings)):
        if obstacles and shapely.STRtree(obstacles).query(centers, predicate="dwithin", distance=radius_mm).size:
            distance = float(min(shapely.distance(shapely.union_all(obstacles), centers)))
            if distance < radius_mm:
                yield _too_near(what, distance, radius_mm, unit)
    if not _well_inside(layout, around, radius_mm):
        plate = plate_shape(layout)
        inside = shapely.contains(plate, centers).all()
        distance = float(min(shapely.distance(plate.exterior, centers))) if inside else 0.0
        if distance < radius_mm:
            yield _too_near("the plate's edge", distance, radius_mm, unit)


def _well_inside(layout: SignLayout, box: Box, reach_mm: float) -> bool:
    """Whether the box is so far from the sides of a plain plate that its rounded corners are out of reach too."""
    far = layout.corner_radius_mm + reach_mm
    right, top = layout.width_mm - far, layout.height_mm - far
    return (
        not layout.outline and far <= box.left_mm <= box.right_mm <= right and far <= box.bottom_mm <= box.top_mm <= top
    )


def _too_near(what: str, distance_mm: float, radius_mm: float, unit: str) -> Flag:
    return Flag(
        code="production/hole-too-near",
        severity=Severity.HOLD,
        message=f"A braille hole would break into {what}.",
        measured=f"{length_text(distance_mm, unit)} from the hole's center",
        required=f"{length_text(radius_mm, unit)} min. (the drill's radius)",
        fix="Move the braille or use a larger plate.",
        who="shop",
    )
