"""The cutter's center lines against the letters they are to cut free."""

from typing import Any

from schedule2sign.verification.difference import TOLERANCE_MM, say_mm
from schedule2sign.verification.drawing import CUT, PICTOGRAM, RAISED, ReadDrawing
from schedule2sign.verification.plate import Differ
from schedule2sign.verification.record import RecordedCut

_STEP_MM = 0.5  # center lines are looked at this often between their corners


def check_cutter(drawing: ReadDrawing, cut: RecordedCut, differ: Differ) -> None:
    """Every center line keeps the recorded distance to the nearest outline, and no outline is without one."""
    import shapely

    if not drawing.file.endswith(".dxf"):
        return  # center lines stand in no other file
    paths, outlines = drawing.on(CUT), (*drawing.on(RAISED), *drawing.on(PICTOGRAM))
    if cut.cutter_offset_mm is None:
        if paths:
            differ("cutter-path", f"{len(paths)} cutter center lines are drawn, none is recorded.")
        return
    if bool(paths) != bool(outlines):
        differ("cutter-path", f"{len(paths)} cutter center lines are drawn for {len(outlines)} outlines.")
    if not paths or not outlines:
        return
    edges = _lines([ring.points for ring in outlines])
    centers = _lines([ring.points for ring in paths])
    run = shapely.points(shapely.get_coordinates(shapely.segmentize(centers, _STEP_MM)))
    away = abs(shapely.distance(edges, run) - cut.cutter_offset_mm)
    if away.max() > TOLERANCE_MM:
        wrong = f"{say_mm(float(away.max()))} too near to or too far from the outlines"
        differ("cutter-path", f"A cutter center line is {wrong} ({say_mm(cut.cutter_offset_mm)} is recorded).")
    for ring in outlines:
        nearest = float(shapely.distance(centers, shapely.linearrings(ring.points)))
        if abs(nearest - cut.cutter_offset_mm) > TOLERANCE_MM:
            place = f"{ring.box.left_mm:.3f}, {ring.box.bottom_mm:.3f} mm"
            differ("cutter-path", f"The outline at {place} has no cutter center line at its side.", say_mm(nearest))


def _lines(rings: list[tuple[tuple[float, float], ...]]) -> Any:
    import shapely

    return shapely.multilinestrings([shapely.linearrings(ring) for ring in rings])
