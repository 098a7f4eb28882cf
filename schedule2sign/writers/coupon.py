"""The test piece of the job's own lot: braille cells at three depths, each on its own layer, and the hardest letters."""

from collections.abc import Iterator

import numpy

from schedule2sign.model.bench import BenchPlan, Coupon
from schedule2sign.model.job import Job
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.outfile import OutFile
from schedule2sign.writers.cut_drawing import PLATE_ID, RAISED_CUT, draw_paths, inch_point, layers_of, path_notes
from schedule2sign.writers.drawing import BRAILLE_DRILL, ONE_LINE_CAUTION, PLATE_EDGE, REF, Circles, Shape, circles_at
from schedule2sign.writers.dxf import Strokes, render_dxf
from schedule2sign.writers.inches import round_steps
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.strokes import write_strokes

PATH = "bench/test-coupon.dxf"
_NAMES = "ABCDEFGH"
_LABEL_IN, _LABEL_GAP_IN = 0.12, 0.12


class CouponDxf:
    """Writes bench/test-coupon.dxf."""

    name = "test-coupon"

    def render(self, job: Job) -> Iterator[OutFile]:
        if job.bench is not None and job.bench.coupon is not None:
            yield OutFile(PATH, _render(job, job.bench, job.bench.coupon))


def _render(job: Job, bench: BenchPlan, coupon: Coupon) -> bytes:
    layers = (PLATE_EDGE, RAISED_CUT, *(_layer(index) for index in range(len(coupon.cells))), PLATE_ID, REF)
    width, height = inch_point((coupon.width_mm, coupon.height_mm))
    left = width + 0.5
    shapes = [
        _box(PLATE_EDGE, 0.0, width, height),
        _box(REF, left, left + 1.0, 1.0),
        *draw_paths(RAISED_CUT, coupon.paths),
    ]
    circles: list[Circles] = []
    strokes: list[Strokes] = []
    radius = _radius_in(bench)
    for index, cell in enumerate(coupon.cells):
        circles.append(circles_at(_layer(index), cell.holes, radius))
        x, y = inch_point((min(x for x, _ in cell.holes), min(y for _, y in cell.holes)))
        strokes.append(write_strokes(_NAMES[index], PLATE_ID, x, y - _LABEL_IN - _LABEL_GAP_IN, _LABEL_IN, 1.0))
    return render_dxf(layers_of(layers), _notes(job, bench, coupon), shapes, circles, strokes)


def _notes(job: Job, bench: BenchPlan, coupon: Coupon) -> Iterator[str]:
    yield f"schedule2sign {job.version}"
    yield f"TEST COUPON of job {job.settings.job} revision {job.settings.revision}, on scrap of the same lot."
    yield f"UNITS=INCHES. The square on layer {REF} is 1.0000 x 1.0000 in: measure it first."
    yield from path_notes(bench)
    for index, cell in enumerate(coupon.cells):
        yield f"{_layer(index)}: cell {_NAMES[index]}, drilled {inch_text(cell.depth_mm)} deep from the bare base face."
    if coupon.letters:
        yield f"LETTERS: {coupon.letters}"
    yield ONE_LINE_CAUTION


def _layer(index: int) -> str:
    return f"{BRAILLE_DRILL}_{_NAMES[index]}"


def _radius_in(bench: BenchPlan) -> float:
    drill = bench.process.drill
    return drill.diameter_mm / 2 / MM_PER_INCH if drill else 0.03


def _box(layer: str, left: float, right: float, top: float) -> Shape:
    return Shape(layer, (round_steps(numpy.array([(left, 0.0), (right, 0.0), (right, top), (left, top)])),))
