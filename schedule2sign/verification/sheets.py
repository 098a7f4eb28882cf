"""Stock sheets: every plate on them is one of the signs, and every sign lies on them as often as it is wanted."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from schedule2sign.model.shape import Box, Point, Ring
from schedule2sign.verification.difference import TOLERANCE_MM, Difference, say_mm
from schedule2sign.verification.drawing import CUT, DRILL, EDGE, HOLES, PLATE_CUT, VISUAL, WINDOW, ReadDrawing

_RINGS, _CIRCLES = (CUT, VISUAL, WINDOW), (DRILL, HOLES)  # what a sheet repeats of a sign
_Shapes = dict[str, tuple[Ring, ...]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Work:
    """What is done to one plate, from the lower left corner of its edge. A circle is a ring of its one center.

    `size_mm` is the box of the edge.
    """

    size_mm: tuple[float, float]
    shapes: _Shapes

    @property
    def is_blank(self) -> bool:
        return not any(self.shapes.values())


def sign_work(drawing: ReadDrawing) -> Work | None:
    """What a sign's own drawing says is done to its plate; None where it has not just one edge."""
    edges = drawing.on(EDGE)
    if len(edges) != 1:
        return None
    return _work(drawing, edges[0].box)


def compare_sheets(sheets: Sequence[ReadDrawing], signs: Sequence[tuple[str, int, Work]]) -> Iterator[Difference]:
    """Plates against signs: id, pieces wanted, and work of each. Signs that are cut alike count as one."""
    kinds: list[tuple[list[str], int, Work]] = []
    for sign_id, pieces, work in signs:
        like = next((index for index, kind in enumerate(kinds) if _is_same(work, kind[2])), None)
        if like is None:
            kinds.append(([sign_id], pieces, work))
        else:
            kinds[like] = ([*kinds[like][0], sign_id], kinds[like][1] + pieces, work)
    found: Counter[int] = Counter()
    for sheet in sheets:
        for box in [edge.box for edge in sheet.on(EDGE)]:
            as_laid, turned_back = _work(sheet, box), _turned_back(_work(sheet, box))
            kind = next(
                (i for i, each in enumerate(kinds) if _is_same(as_laid, each[2]) or _is_same(turned_back, each[2])),
                None,
            )
            if kind is not None:
                found[kind] += 1
            elif not as_laid.is_blank:
                place = f"{box.left_mm / 25.4:.3f}, {box.bottom_mm / 25.4:.3f} in"
                message = f"The plate at {place} on {sheet.file} is as none of the signs' own drawings has it."
                yield Difference(code="sheet-plate", file=sheet.file, message=message)
        yield from _compare_edges(sheet)
    for index, (names, pieces, work) in enumerate(kinds):
        # A plate without any work on it cannot be told from a spare blank.
        if found[index] != pieces and not work.is_blank:
            message = f"{' and '.join(names)} lie on the sheets {found[index]} times, {pieces} are wanted."
            yield Difference(
                code="sheet-count", sign_id=names[0], message=message, found=str(found[index]), expected=str(pieces)
            )


def _compare_edges(sheet: ReadDrawing) -> Iterator[Difference]:
    """Each plate has its own cut around it, everywhere as far from the edge."""
    import shapely

    edges, cuts = list(sheet.on(EDGE)), list(sheet.on(PLATE_CUT))
    if len(edges) != len(cuts):
        message = f"{sheet.file} cuts {len(cuts)} plate edges of {len(edges)}."
        yield Difference(code="sheet-edge", file=sheet.file, message=message)
        return
    for edge in edges:
        ring = shapely.linearrings(edge.points)
        own = min(cuts, key=lambda cut: abs(cut.box.left_mm - edge.box.left_mm) + abs(cut.box.top_mm - edge.box.top_mm))
        away = shapely.distance(shapely.points(own.points), ring)
        within = shapely.contains(shapely.polygons(own.points), ring)
        if not within or away.max() - away.min() > 2 * TOLERANCE_MM:
            message = (
                f"{sheet.file} cuts a plate's edge {say_mm(float(away.min()))} to {say_mm(float(away.max()))} off it."
            )
            yield Difference(code="sheet-edge", file=sheet.file, message=message)


def _work(drawing: ReadDrawing, box: Box) -> Work:
    shapes: _Shapes = {}
    for layer in _RINGS:
        shapes[layer] = tuple(_moved(ring.points, box) for ring in drawing.on(layer) if _is_in(ring.points[0], box))
    for layer in _CIRCLES:
        centers = [(circle.x_mm, circle.y_mm) for circle in drawing.circles_on(layer)]
        shapes[layer] = tuple(_moved((center,), box) for center in centers if _is_in(center, box))
    return Work(size_mm=(box.width_mm, box.height_mm), shapes=shapes)


def _is_in(point: Point, box: Box) -> bool:
    return box.left_mm < point[0] < box.right_mm and box.bottom_mm < point[1] < box.top_mm


def _moved(ring: Ring, box: Box) -> Ring:
    return tuple((x - box.left_mm, y - box.bottom_mm) for x, y in ring)


def _turned_back(work: Work) -> Work:
    """The work of a plate that lies a quarter turn counter-clockwise, as it is upright."""
    width, height = work.size_mm
    return Work(
        size_mm=(height, width),
        shapes={
            layer: tuple(tuple((y, width - x) for x, y in ring) for ring in rings)
            for layer, rings in work.shapes.items()
        },
    )


def _is_same(a: Work, b: Work) -> bool:
    if max(abs(a.size_mm[0] - b.size_mm[0]), abs(a.size_mm[1] - b.size_mm[1])) > 2 * TOLERANCE_MM:
        return False
    if any(len(a.shapes[layer]) != len(b.shapes[layer]) for layer in a.shapes):
        return False
    return all(_is_near(a.shapes[layer], b.shapes[layer]) for layer in a.shapes)


def _is_near(a: tuple[Ring, ...], b: tuple[Ring, ...]) -> bool:
    import shapely

    return not a or float(shapely.hausdorff_distance(_geometry(a), _geometry(b))) <= 2 * TOLERANCE_MM


def _geometry(rings: tuple[Ring, ...]) -> Any:
    import shapely

    if len(rings[0]) == 1:
        return shapely.multipoints([ring[0] for ring in rings])
    return shapely.multilinestrings([shapely.linearrings(ring) for ring in rings])
