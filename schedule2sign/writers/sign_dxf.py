"""One DXF a released sign: inches, closed polylines and circles, one layer an operation."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from schedule2sign.model.bench import SignCut
from schedule2sign.model.job import Imprint, Job, SignRecord
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.shape import SignLayout
from schedule2sign.writers.cut_drawing import (
    RAISED_CUT,
    draw_all_paths,
    layers_of,
    path_notes,
    stay,
)
from schedule2sign.writers.drawing import (
    BRAILLE_DRILL,
    LAYERS,
    ONE_LINE_CAUTION,
    Circles,
    Drawing,
    circles_of,
    draw_signs,
    in_groups,
)
from schedule2sign.writers.dxf import render_dxf
from schedule2sign.writers.numbers import trimmed
from schedule2sign.writers.released import production_path, recipe_of, released_signs


class SignDxf:
    """Writes signs/<sign-id>.dxf."""

    name, suffix = "sign-dxf", ".dxf"

    def render(self, job: Job) -> Iterator[OutFile]:
        return self.draw(job.signs, job.imprint)

    def draw(self, records: Iterable[SignRecord], imprint: Imprint) -> Iterator[OutFile]:
        for signs in in_groups(released_signs(records)):
            planned = [record.cut if imprint.bench else None for record, _ in signs]
            for (record, layout), drawing in zip(signs, _draw(signs, planned), strict=True):
                data = _render_sign(imprint, record, layout, drawing)
                yield OutFile(production_path(record, self.suffix), data)

    def recipe(self, record: SignRecord, imprint: Imprint) -> str:
        # The way of the cutter and the drill is part of the work.
        return recipe_of([record.work], imprint.revision, *path_notes(imprint.bench))


def _render_sign(imprint: Imprint, record: SignRecord, layout: SignLayout, drawing: Drawing) -> bytes:
    layers = layers_of((*LAYERS, RAISED_CUT) if imprint.bench else LAYERS)
    return render_dxf(layers, _comments(imprint, record, layout), drawing.shapes, drawing.circles)


def _draw(signs: Sequence[tuple[SignRecord, SignLayout]], planned: Sequence[SignCut | None]) -> Iterator[Drawing]:
    """The drawings, with the way of the cutter and of the drill where it is planned; the machine may take both as they come."""
    drawings = draw_signs([layout for _, layout in signs])
    ways = draw_all_paths(RAISED_CUT, [(cut.paths if cut else (), stay) for cut in planned])
    holes = circles_of(
        [
            (BRAILLE_DRILL, list(rows.points()), circles.radius)
            for drawing, (record, _), cut in zip(drawings, signs, planned, strict=True)
            if cut and (rows := record.drilled)
            for circles in drawing.circles
            if circles.layer == BRAILLE_DRILL
        ]
    )
    drilled = iter(holes)
    for drawing, cut, way in zip(drawings, planned, ways, strict=True):
        if cut is None:
            yield drawing
            continue
        circles = tuple(
            _as_drilled(one, next(drilled), cut) if one.layer == BRAILLE_DRILL else one for one in drawing.circles
        )
        yield replace(drawing, shapes=(*drawing.shapes, *way), circles=circles)


def _as_drilled(drawn: Circles, drilled: Circles, cut: SignCut) -> Circles:
    """The braille in drilling order.

    Raises:
        ValueError: the order leaves a hole out or has one that is not drawn (our bug).
    """
    if sorted(drilled.centers.tolist()) != sorted(drawn.centers.tolist()):
        raise ValueError(f"the holes of sign {cut.sign_id!r} in drilling order are not those of its braille")
    return drilled


def _comments(imprint: Imprint, record: SignRecord, layout: SignLayout) -> Iterator[str]:
    """What the file says of itself before anything is drawn; there is no text on any layer."""
    yield f"schedule2sign {imprint.version}"
    yield f"SIGN {record.request.sign_id}, revision {imprint.revision}, quantity {record.request.quantity}"
    yield f"RAISED TEXT {' / '.join(line.text for line in layout.lines)}"
    size = f"{trimmed(layout.width_mm / 25.4, 4)} x {trimmed(layout.height_mm / 25.4, 4)}"
    yield f"UNITS=INCHES. Plate {size} in. The square on layer REF is 1.0000 x 1.0000 in: measure it first."
    yield from path_notes(imprint.bench)
    yield f"BRAILLE_DRILL circles have the dot base diameter, {trimmed(layout.cell_size.base_mm / 25.4, 4)} in."
    yield "REF and NOTES are not cut: NOTES shows the space to keep clear around braille and the pictogram field."
    yield f"DESIGN {record.design}"
    yield ONE_LINE_CAUTION
