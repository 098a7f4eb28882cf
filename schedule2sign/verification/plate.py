"""The plate's edge: its size, its corners, and the edge itself where it is no rectangle."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from schedule2sign.geometry.rings import ring_area
from schedule2sign.model.shape import Box, Ring
from schedule2sign.verification.difference import TOLERANCE_MM, say_box, say_mm
from schedule2sign.verification.drawing import EDGE, DrawnRing, ReadDrawing, box_off_mm
from schedule2sign.verification.record import RecordedCut

Differ = Callable[..., None]  # (code, message, found, expected) of a difference on the drawing at hand
_ARC_STEPS = 64  # chords a quarter turn of a corner as it should be


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """The plate as drawn. `outline` is () for a rectangle."""

    width_mm: float
    height_mm: float
    corner_radius_mm: float
    outline: Ring


def read_plate(drawing: ReadDrawing, cut: RecordedCut, differ: Differ) -> Plate | None:
    """The plate and what of it is not as recorded; None where there is not just one edge."""
    edges = drawing.on(EDGE)
    if len(edges) != 1:
        differ("plate", f"The drawing has {len(edges)} plate edges, not one.")
        return None
    (edge,) = edges
    whole = Box(left_mm=0.0, bottom_mm=0.0, right_mm=cut.width_mm, top_mm=cut.height_mm)
    wanted = whole if cut.outline_mm2 is None else cut.boxes.get("outline", whole)
    off = box_off_mm(edge.box, wanted)
    if off > TOLERANCE_MM:
        differ("plate", f"The plate is {say_mm(off)} off its size or place.", say_box(edge.box), say_box(wanted))
    if cut.outline_mm2 is not None:
        off = abs(abs(ring_area(edge.points)) - cut.outline_mm2)
        if off > TOLERANCE_MM * (edge.box.width_mm + edge.box.height_mm):
            areas = f"{abs(ring_area(edge.points)):.2f} mm2", f"{cut.outline_mm2:.2f} mm2"
            differ("plate", "The plate's edge does not enclose the recorded area.", *areas)
        return Plate(
            width_mm=cut.width_mm,
            height_mm=cut.height_mm,
            corner_radius_mm=cut.corner_radius_mm,
            outline=edge.points,
        )
    off = _edge_off_mm(edge, cut.corner_radius_mm)
    if off > TOLERANCE_MM:
        corners = f"a rectangle with corners of {say_mm(cut.corner_radius_mm)}"
        differ("plate", f"The plate's edge is {say_mm(off)} off {corners}.", say_mm(off), say_mm(0.0))
    return Plate(
        width_mm=edge.box.width_mm, height_mm=edge.box.height_mm, corner_radius_mm=_radius_mm(edge), outline=()
    )


def _radius_mm(edge: DrawnRing) -> float:
    """Four round corners take (4 - pi) r^2 from the rectangle around them."""
    missing = edge.box.width_mm * edge.box.height_mm - abs(ring_area(edge.points))
    return min(math.sqrt(max(missing, 0.0) / (4 - math.pi)), min(edge.box.width_mm, edge.box.height_mm) / 2)


def _edge_off_mm(edge: DrawnRing, radius_mm: float) -> float:
    """How far the edge leaves a rectangle of its own size with these corners."""
    import shapely

    if not 0 <= radius_mm <= min(edge.box.width_mm, edge.box.height_mm) / 2:
        return math.inf
    wanted = shapely.linearrings(list(_rounded(edge.box, radius_mm)))
    return float(shapely.hausdorff_distance(shapely.linearrings(edge.points), wanted))


def _rounded(box: Box, radius_mm: float) -> Iterator[tuple[float, float]]:
    left, right = box.left_mm + radius_mm, box.right_mm - radius_mm
    bottom, top = box.bottom_mm + radius_mm, box.top_mm - radius_mm
    for x, y, start in ((right, top, 0), (left, top, 90), (left, bottom, 180), (right, bottom, 270)):
        for step in range(_ARC_STEPS + 1 if radius_mm else 1):
            angle = math.radians(start + 90 * step / _ARC_STEPS)
            yield x + radius_mm * math.cos(angle), y + radius_mm * math.sin(angle)
