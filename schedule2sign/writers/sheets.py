"""One DXF a stock sheet: every plate in place with its operations and its id, and the patches of raised sheet apart."""

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from itertools import chain, islice
from typing import Any

import numpy

from schedule2sign.model.bench import BenchPlan, SignCut
from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.nest import NestedSheet, PlacedPlate
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.plate import DrillRows, Plate
from schedule2sign.model.shape import Box
from schedule2sign.writers.cut_drawing import (
    PATCH_EDGE,
    PLATE_CUT,
    PLATE_ID,
    RAISED_CUT,
    STOCK_EDGE,
    Place,
    draw_all_paths,
    inch_point,
    layers_of,
    path_notes,
    place_points,
    stay,
)
from schedule2sign.writers.drawing import (
    BRAILLE_DRILL,
    FIXING_HOLES,
    NOTES,
    ONE_LINE_CAUTION,
    PLATE_EDGE,
    REF,
    VISUAL_TEXT,
    WINDOW,
    Circles,
    Drawing,
    Shape,
    box_ring,
    circles_at,
    draw_plate,
)
from schedule2sign.writers.dxf import Strokes, render_dxf
from schedule2sign.writers.inches import STEPS, steps_of
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.protocol import Keepable
from schedule2sign.writers.released import check_released, recipe_of
from schedule2sign.writers.rings import split_paths
from schedule2sign.writers.strokes import write_strokes

FOLDER = "sheets"
_SHEET_LAYERS = layers_of(
    (
        STOCK_EDGE,
        PLATE_EDGE,
        PLATE_CUT,
        RAISED_CUT,
        BRAILLE_DRILL,
        VISUAL_TEXT,
        WINDOW,
        FIXING_HOLES,
        PATCH_EDGE,
        PLATE_ID,
        REF,
        NOTES,
    )
)
_PATCH_LAYERS = layers_of((STOCK_EDGE, PATCH_EDGE, PLATE_ID, REF, NOTES))
_ID_IN, _ID_GAP_IN = 0.12, 0.04
_REF_IN, _REF_GAP_IN = 1.0, 0.5


class Sheets:
    """Writes sheets/<stock>-<number>.dxf."""

    name = "sheets"

    def render(self, job: Job) -> Iterator[OutFile]:
        return (file.render() for file in self.keepables(job))

    def keepables(self, job: Job) -> Iterator[Keepable]:
        bench = job.bench
        if bench is None:
            return
        records = {record.request.sign_id: record for record in job.signs}
        for nests, render, say in (
            (bench.nests, _render_sheet, _notes),
            (bench.patch_nests, _render_patches, _patch_notes),
        ):
            for nest in nests:
                for sheet in nest.sheets:
                    signs = [records[plate.like] for plate in sheet.plates]
                    notes = tuple(say(job, bench, sheet, len(nest.sheets)))
                    recipe = recipe_of([record.work for record in signs], repr(sheet), *notes)
                    yield Keepable(sheet_path(sheet), recipe, partial(render, bench, sheet, notes, signs))


def _render_sheet(bench: BenchPlan, sheet: NestedSheet, notes: Sequence[str], records: Sequence[SignRecord]) -> OutFile:
    signs = {record.request.sign_id: record for record in records}
    for record in signs.values():
        check_released(record)
    shapes, circles, strokes = _draw_sheet(sheet, bench, signs)
    return OutFile(sheet_path(sheet), render_dxf(_SHEET_LAYERS, notes, shapes, circles, strokes))


def sheet_path(sheet: NestedSheet) -> str:
    """Where the sheet's drawing lies in the output folder."""
    return f"{FOLDER}/{sheet.name}.dxf"


def _draw_sheet(
    sheet: NestedSheet,
    bench: BenchPlan,
    signs: Mapping[str, SignRecord],
) -> tuple[list[Shape], list[Circles], list[Strokes]]:
    parts = [(plate, _cut_of(signs[plate.like])) for plate in sheet.plates]
    plates = {sign_id: record.plate for sign_id, record in signs.items() if record.plate}
    edges = draw_all_paths(PLATE_CUT, [((cut.edge,), plate.place) for plate, cut in parts])
    raised = draw_all_paths(RAISED_CUT, [(cut.paths if plate.sign_id else (), plate.place) for plate, cut in parts])
    flat = _draw_flat(
        [(plate, plates[plate.like].patches) for plate in sheet.plates],
        [draw_plate(plates[plate.like], cut.flat) for plate, cut in parts],
    )
    shapes = _frame(sheet, bench.process.stock.margin_mm)
    circles: list[Circles] = []
    for (own, holes), way in zip(flat, raised, strict=True):
        shapes += (*own, *way)
        circles += holes
    # In the order of the work: letters of the whole sheet, then holes, plate edges last of all.
    if sheet.holes:
        holes_at = list(sheet.drill_holes(lambda sign_id: _drilled(signs[sign_id])))
        circles.insert(0, circles_at(BRAILLE_DRILL, holes_at, _dot_radius_in(sheet, plates)))
    return [*shapes, *chain.from_iterable(edges)], circles, [_write_id(plate) for plate in sheet.plates]


def _cut_of(record: SignRecord) -> SignCut:
    """What was planned for the bench.

    Raises:
        ValueError: nothing was (our bug).
    """
    if (cut := record.cut) is None:
        raise ValueError(f"nothing was planned for the cutting of sign {record.request.sign_id!r}")
    return cut


def _drilled(record: SignRecord) -> DrillRows:
    """Its braille holes.

    Raises:
        ValueError: it has no layout (our bug).
    """
    if (rows := record.drilled) is None:
        raise ValueError(f"sign {record.request.sign_id!r} has no layout to drill")
    return rows


def _draw_flat(
    parts: Sequence[tuple[PlacedPlate, Sequence[Box]]], drawings: Sequence[Drawing]
) -> Iterator[tuple[list[Shape], list[Circles]]]:
    """What is drawn of each plate where it lies, and its patches; of a spare blank the edge alone."""
    shapes, holes, boxes, points = [], [], [], []
    for (plate, patches), drawing in zip(parts, drawings, strict=True):
        blank = not plate.sign_id
        shapes.append([shape for shape in drawing.shapes if shape.layer == PLATE_EDGE or not blank])
        holes.append(() if blank else drawing.circles)
        boxes.append(() if blank else patches)
        own = [
            *(path / STEPS * MM_PER_INCH for shape in shapes[-1] for path in shape.paths),
            *(hole.centers / STEPS * MM_PER_INCH for hole in holes[-1]),
            *(box_ring(box).corners for box in boxes[-1]),
        ]
        points.append((own, plate.place))
    placed = _place_all(points)
    for drawn, drilled, laid in zip(shapes, holes, boxes, strict=True):
        moved = [Shape(shape.layer, tuple(islice(placed, len(shape.paths)))) for shape in drawn]
        circles = [Circles(hole.layer, next(placed), hole.radius) for hole in drilled]
        yield [*moved, *(Shape(PATCH_EDGE, (next(placed),)) for _ in laid)], circles


def _place_all(parts: Sequence[tuple[Sequence[Any], Place]]) -> Iterator[Any]:
    """Paths in millimetres, those of each part where it lies: all in one row and rounded as one array."""
    if not parts:
        return iter(())
    placed = [place_points(numpy.concatenate(paths), place) for paths, place in parts]
    return iter(split_paths(steps_of(numpy.concatenate(placed)), [len(path) for paths, _ in parts for path in paths]))


def _dot_radius_in(sheet: NestedSheet, plates: Mapping[str, Plate]) -> float:
    plate = next(plate for plate in sheet.plates if plate.sign_id and plates[plate.sign_id].braille_dots)
    return plates[plate.sign_id].cell_size.base_mm / 2 / MM_PER_INCH


def _render_patches(
    _bench: BenchPlan, sheet: NestedSheet, notes: Sequence[str], _records: Sequence[SignRecord]
) -> OutFile:
    wholes: list[Box] = []
    strokes: list[Strokes] = []
    for patch in sheet.plates:
        whole = Box(left_mm=0, bottom_mm=0, right_mm=patch.width_mm, top_mm=patch.height_mm)
        wholes.append(whole.shifted(patch.x_mm, patch.y_mm))
        left, bottom = inch_point((patch.x_mm, patch.y_mm))
        width = patch.width_mm / MM_PER_INCH - 2 * _ID_GAP_IN
        strokes.append(write_strokes(patch.sign_id, PLATE_ID, left + _ID_GAP_IN, bottom + _ID_GAP_IN, _ID_IN, width))
    shapes = [*_frame(sheet, 0.0), *_draw_boxes(PATCH_EDGE, wholes)]
    return OutFile(sheet_path(sheet), render_dxf(_PATCH_LAYERS, notes, shapes, (), strokes))


def _patch_notes(job: Job, _bench: BenchPlan, sheet: NestedSheet, count: int) -> Iterator[str]:
    yield from _head(job, sheet, count)
    yield (
        f"{PATCH_EDGE}: patches of raised sheet, cut with a knife or shear to the line; each carries its sign id on "
        f"{PLATE_ID}. A note of the id goes on its backing paper."
    )
    yield f"PATH=EDGE on all layers: no offset for any cutter. {STOCK_EDGE}, {PLATE_ID}, {REF} and {NOTES} are not cut."
    yield ONE_LINE_CAUTION


def _notes(job: Job, bench: BenchPlan, sheet: NestedSheet, count: int) -> Iterator[str]:
    yield from _head(job, sheet, count)
    yield from path_notes(bench, sheet=True)
    yield (
        f"ORDER: patches laid by {PATCH_EDGE}; {RAISED_CUT} of the whole sheet; stop, peel; {BRAILLE_DRILL}; {WINDOW} and "
        f"{FIXING_HOLES}; {PLATE_CUT} last of all."
    )
    yield f"{STOCK_EDGE}, {PLATE_EDGE}, {PLATE_ID}, {REF} and {NOTES} are not cut; {NOTES} shows the clamp margin."
    yield ONE_LINE_CAUTION


def _head(job: Job, sheet: NestedSheet, count: int) -> Iterator[str]:
    yield f"schedule2sign {job.version}"
    yield f"SHEET {sheet.name} of {count}, job {job.settings.job} revision {job.settings.revision}. Stock: {sheet.stock}"
    size = f"{inch_text(sheet.width_mm)} x {inch_text(sheet.height_mm)}"
    yield f"UNITS=INCHES. Sheet {size}; origin at its lower left corner, at the corner stop. The square on layer {REF}"
    yield "beside the sheet is 1.0000 x 1.0000 in: measure it first."
    yield f"{len(sheet.plates)} pieces, {sheet.used_share:.0%} of the area inside the margins."


def _frame(sheet: NestedSheet, margin_mm: float) -> list[Shape]:
    whole = Box(left_mm=0, bottom_mm=0, right_mm=sheet.width_mm, top_mm=sheet.height_mm)
    shapes = _draw_boxes(STOCK_EDGE, (whole,))
    if margin_mm > 0:
        inside = Box(
            left_mm=margin_mm,
            bottom_mm=margin_mm,
            right_mm=sheet.width_mm - margin_mm,
            top_mm=sheet.height_mm - margin_mm,
        )
        shapes += _draw_boxes(NOTES, (inside,))
    left = sheet.width_mm + _REF_GAP_IN * MM_PER_INCH
    side = _REF_IN * MM_PER_INCH
    square = Box(left_mm=left, bottom_mm=0, right_mm=left + side, top_mm=side)
    return shapes + _draw_boxes(REF, (square,))


def _write_id(plate: PlacedPlate) -> Strokes:
    """Under the plate, in the gap: nothing is written on a sign."""
    left, bottom = inch_point((plate.x_mm, plate.y_mm))
    text = plate.sign_id or "SPARE"
    if plate.sign_id and plate.copy > 1:
        text += f" ({plate.copy})"
    return write_strokes(text, PLATE_ID, left, bottom - _ID_IN - _ID_GAP_IN, _ID_IN, plate.width_mm / MM_PER_INCH)


def _draw_boxes(layer: str, boxes: Sequence[Box]) -> list[Shape]:
    placed = _place_all([([box_ring(box).corners for box in boxes], stay)])
    return [Shape(layer, (path,)) for path in placed]
