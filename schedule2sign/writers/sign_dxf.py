"""One DXF a released sign: inches, closed polylines and circles, one layer an operation."""

from collections.abc import Iterator

from schedule2sign.model.bench import BenchPlan, SignCut
from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.shape import SignLayout
from schedule2sign.writers.cut_drawing import (
    RAISED_CUT,
    draw_paths,
    layers_of,
    path_notes,
)
from schedule2sign.writers.drawing import (
    BRAILLE_DRILL,
    LAYERS,
    ONE_LINE_CAUTION,
    Circles,
    Drawing,
    circles_at,
    draw_sign,
)
from schedule2sign.writers.dxf import render_dxf
from schedule2sign.writers.numbers import trimmed
from schedule2sign.writers.released import production_path, recipe_of, released_signs


class SignDxf:
    """Writes signs/<sign-id>.dxf."""

    name, suffix = "sign-dxf", ".dxf"

    def render(self, job: Job) -> Iterator[OutFile]:
        for record, layout in released_signs(job):
            data = _render_sign(job, record, layout, record.cut if job.bench else None)
            yield OutFile(production_path(record, self.suffix), data)

    def recipe(self, job: Job, record: SignRecord) -> str:
        # The way of the cutter and the drill is part of the work.
        return recipe_of(record, job.settings.revision, *path_notes(job.bench))


def _render_sign(job: Job, record: SignRecord, layout: SignLayout, cut: SignCut | None) -> bytes:
    drawing = draw_sign(layout)
    comments = _comments(job, record, layout, job.bench if cut else None)
    if cut is None:
        return render_dxf(layers_of(LAYERS), comments, drawing.shapes, drawing.circles)
    shapes = (*drawing.shapes, *draw_paths(RAISED_CUT, cut.paths))
    return render_dxf(layers_of((*LAYERS, RAISED_CUT)), comments, shapes, tuple(_as_drilled(drawing, record)))


def _as_drilled(drawing: Drawing, record: SignRecord) -> Iterator[Circles]:
    """The circles with the braille in drilling order; the machine may take them as they come.

    Raises:
        ValueError: the order leaves a hole out or has one that is not drawn (our bug).
    """
    for circles in drawing.circles:
        if circles.layer != BRAILLE_DRILL:
            yield circles
            continue
        holes = list(record.plate.drilled.points()) if record.plate else []
        drilled = circles_at(BRAILLE_DRILL, holes, circles.radius)
        if sorted(drilled.centers.tolist()) != sorted(circles.centers.tolist()):
            raise ValueError(
                f"the holes of sign {record.request.sign_id!r} in drilling order are not those of its braille"
            )
        yield drilled


def _comments(job: Job, record: SignRecord, layout: SignLayout, bench: BenchPlan | None) -> Iterator[str]:
    """What the file says of itself before anything is drawn; there is no text on any layer."""
    yield f"schedule2sign {job.version}"
    yield f"SIGN {record.request.sign_id}, revision {job.settings.revision}, quantity {record.request.quantity}"
    yield f"RAISED TEXT {' / '.join(line.text for line in layout.lines)}"
    size = f"{trimmed(layout.width_mm / 25.4, 4)} x {trimmed(layout.height_mm / 25.4, 4)}"
    yield f"UNITS=INCHES. Plate {size} in. The square on layer REF is 1.0000 x 1.0000 in: measure it first."
    yield from path_notes(bench)
    yield f"BRAILLE_DRILL circles have the dot base diameter, {trimmed(layout.cell_size.base_mm / 25.4, 4)} in."
    yield "REF and NOTES are not cut: NOTES shows the space to keep clear around braille and the pictogram field."
    yield f"DESIGN {record.design}"
    yield ONE_LINE_CAUTION
