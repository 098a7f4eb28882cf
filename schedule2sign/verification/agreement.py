"""Two drawings of one sign, shape for shape."""

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from schedule2sign.verification.difference import TOLERANCE_MM, Difference, say_mm
from schedule2sign.verification.drawing import (
    CIRCLE_LAYERS,
    CUT,
    NOTES,
    REFERENCE,
    RING_LAYERS,
    DrawnCircle,
    DrawnRing,
    ReadDrawing,
    box_off_mm,
)

_Shape = TypeVar("_Shape", DrawnRing, DrawnCircle)


def compare_drawings(first: ReadDrawing, second: ReadDrawing, sign_id: str) -> Iterator[Difference]:
    """Every path and circle of one has its twin in the other, on the same layer, within the tolerance.

    Center lines of the cutter stand in a DXF only; they are held against the letters instead.
    """
    for layer in sorted(RING_LAYERS - {CUT}):
        yield from _compare_layer(
            first.file, second.file, layer, sign_id, first.on(layer), second.on(layer), _ring_start_mm, _ring_off_mm
        )
    for layer in sorted(CIRCLE_LAYERS):
        circles = first.circles_on(layer), second.circles_on(layer)
        yield from _compare_layer(first.file, second.file, layer, sign_id, *circles, _circle_off_mm, _circle_off_mm)


def _compare_layer(
    file: str,
    other: str,
    layer: str,
    sign_id: str,
    first: Sequence[_Shape],
    second: Sequence[_Shape],
    near_mm: Callable[[_Shape, _Shape], float],
    off_mm: Callable[[_Shape, _Shape], float],
) -> Iterator[Difference]:
    if len(first) != len(second):
        yield Difference(
            code="files-disagree",
            file=other,
            sign_id=sign_id,
            message=f"{file} has {len(first)} shapes on {layer}, {other} has {len(second)}.",
            found=str(len(second)),
            expected=str(len(first)),
        )
        return
    free = list(second)
    off = []
    for shape in first:
        twin = min(free, key=lambda candidate: near_mm(shape, candidate))
        free.remove(twin)
        off.append(off_mm(shape, twin))
    wrong = [value for value in off if not value <= TOLERANCE_MM]
    if wrong:
        cut = " (not cut)" if layer in (NOTES, REFERENCE) else ""
        yield Difference(
            code="files-disagree",
            file=other,
            sign_id=sign_id,
            message=f"{file} and {other} disagree on {len(wrong)} of {len(first)} shapes on {layer}{cut}, "
            f"by up to {say_mm(max(wrong))}.",
            found=say_mm(max(wrong)),
            expected=f"at most {TOLERANCE_MM} mm",
        )


def _ring_start_mm(a: DrawnRing, b: DrawnRing) -> float:
    return box_off_mm(a.box, b.box)


def _ring_off_mm(a: DrawnRing, b: DrawnRing) -> float:
    import shapely

    return float(shapely.hausdorff_distance(shapely.linearrings(a.points), shapely.linearrings(b.points)))


def _circle_off_mm(a: DrawnCircle, b: DrawnCircle) -> float:
    return max(abs(a.x_mm - b.x_mm), abs(a.y_mm - b.y_mm), abs(a.diameter_mm - b.diameter_mm))
