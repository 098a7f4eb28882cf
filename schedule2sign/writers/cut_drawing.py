"""What the bench cuts, as it is drawn: cutter center lines beside the finished edges, never both on one layer."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from typing import Any

import numpy

from schedule2sign.model.bench import CutPath, CutSetup
from schedule2sign.model.shape import Point
from schedule2sign.once import once
from schedule2sign.writers.drawing import (
    BRAILLE_DRILL,
    FIXING_HOLES,
    NOTES,
    PATH_NOTE,
    PICTOGRAM,
    PLATE_EDGE,
    RAISED_OUTLINE,
    REF,
    VISUAL_TEXT,
    WINDOW,
    Shape,
)
from schedule2sign.writers.dxf import Layers
from schedule2sign.writers.inches import inch
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.rings import Rings, close_rings, gather_shared, place_all, split_paths

RAISED_CUT = "RAISED_CUT"
PLATE_CUT = "PLATE_CUT"
PATCH_EDGE = "PATCH_EDGE"
STOCK_EDGE = "STOCK_EDGE"
PLATE_ID = "PLATE_ID"
CENTER_LINES = (RAISED_CUT, PLATE_CUT)  # every other layer shows finished edges

# Screen colors only; the operation is the layer's name.
_COLORS = {
    PLATE_EDGE: 7,
    RAISED_OUTLINE: 1,
    RAISED_CUT: 30,
    BRAILLE_DRILL: 3,
    PICTOGRAM: 5,
    VISUAL_TEXT: 2,
    WINDOW: 4,
    FIXING_HOLES: 6,
    REF: 9,
    NOTES: 9,
    PLATE_CUT: 40,
    PATCH_EDGE: 8,
    STOCK_EDGE: 9,
    PLATE_ID: 9,
}
Place = Callable[[Any], Any]  # a point, or the x and the y of many, to where the part lies


def layers_of(names: Iterable[str]) -> Layers:
    """Layers with their screen colors; one of no known operation gets the color of notes."""
    return tuple((name, _COLORS.get(name, 9)) for name in names)


def stay(point: Any) -> Any:
    """A sign drawn by itself stands where it is."""
    return point


def draw_paths(layer: str, paths: Sequence[CutPath], place: Place = stay) -> list[Shape]:
    """Center lines in the order they are cut, each from where the cutter goes down."""
    return draw_all_paths(layer, ((paths, place),))[0]


def draw_all_paths(layer: str, parts: Iterable[tuple[Sequence[CutPath], Place]]) -> list[list[Shape]]:
    """The center lines of each part where it lies, all rounded and checked as one array."""
    parts = list(parts)
    paths = [path for own, _ in parts for path in own]
    if not paths:
        return [[] for _ in parts]
    rings = [gather_shared(path.local) for path in paths]
    corners = place_all(rings, [(path.x_mm, path.y_mm) for path in paths])
    lengths = list(map(len, rings))
    if any(place is not stay for _, place in parts):
        corners = numpy.concatenate(
            [
                place_points(points, place)
                for points, (_, place) in zip(_by_part(corners, lengths, parts), parts, strict=True)
            ]
        )
    closed = close_rings(Rings(corners, tuple(lengths)))
    for path, ring in zip(paths, closed, strict=True):
        if len(ring) < 3:
            raise ValueError(f"the path of {path.part!r} has {len(ring)} corners and cannot be cut")
    shapes = (Shape(layer, (ring,)) for ring in closed)
    return [list(islice(shapes, len(own))) for own, _ in parts]


def _by_part(corners: Any, lengths: Sequence[int], parts: Sequence[tuple[Sequence[CutPath], Place]]) -> list[Any]:
    sizes = iter(lengths)
    return split_paths(corners, [sum(islice(sizes, len(own))) for own, _ in parts])


def place_points(points: Any, place: Place) -> Any:
    """An array of points where the part lies: whole columns go where a point would."""
    if place is stay:
        return points
    placed = numpy.empty_like(points)
    placed[:, 0], placed[:, 1] = place((points[:, 0], points[:, 1]))
    return placed


def inch_point(point: Point) -> Point:
    """A point in inches, as it is written."""
    return inch(point[0]), inch(point[1])


def path_notes(bench: CutSetup | None, *, sheet: bool = False) -> tuple[str, ...]:
    """Which layer holds edges and which holds center lines, said the same way in every file."""
    return _sheet_notes(bench) if sheet else _sign_notes(bench)


@once
def _sheet_notes(bench: CutSetup | None) -> tuple[str, ...]:
    return tuple(_path_notes(bench, sheet=True))


@once
def _sign_notes(bench: CutSetup | None) -> tuple[str, ...]:
    return tuple(_path_notes(bench, sheet=False))


def _path_notes(bench: CutSetup | None, *, sheet: bool) -> Iterator[str]:
    if bench is None:
        yield PATH_NOTE
        return
    cut, process = bench.cut, bench.process
    others = f"{RAISED_CUT} and {PLATE_CUT}" if sheet else RAISED_CUT
    yield f"PATH=EDGE on all layers but {others}: true finished edges, not offset for any cutter."
    yield (
        f"PATH=CENTERLINE, COMP OFF on layer {RAISED_CUT}: the cutter's center line, already offset "
        f"{inch_text(cut.offset_mm)} off the letters. Cutter compensation stays OFF."
    )
    yield (
        f"{RAISED_CUT} is right for a groove {inch_text(cut.width_mm)} wide at the face: depth "
        f"{inch_text(process.letter_cut.depth_mm)}, tip {inch_text(process.letter_cutter.tip_mm)}, included angle "
        f"{process.letter_cutter.included_angle_deg:g} degrees. Another cutter or depth changes the letters: build again."
    )
    if sheet:
        yield (
            f"PATH=CENTERLINE, COMP OFF on layer {PLATE_CUT}: already offset for a straight cutter of "
            f"{inch_text(process.stock.plate_cutter_mm)}."
        )
    yield (
        f"{RAISED_CUT} holds letters, pictograms and borders. Cut {RAISED_CUT} with compensation off, or let the controller "
        f"offset {RAISED_OUTLINE} and {PICTOGRAM}: never both."
    )
    if process.drill is not None:
        yield (
            f"{BRAILLE_DRILL}: drill {inch_text(process.drill.diameter_mm)} at the centers; the circles are not bored. "
            "They stand in drilling order."
        )
