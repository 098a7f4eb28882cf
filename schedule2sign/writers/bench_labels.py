"""Labels for the backs, in walking order: each says which plate this is and where it goes."""

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import islice
from typing import TypeAlias

from schedule2sign.model.bench import BenchPlan
from schedule2sign.model.job import Job
from schedule2sign.model.paper import Mounting
from schedule2sign.model.plate import Plate
from schedule2sign.model.revision import ChangeKind
from schedule2sign.writers.bench_setup import size_text
from schedule2sign.writers.pdf import PageSetup, pdf_pieces
from schedule2sign.writers.pdfblocks import Block, Sketch, draw_stack, paragraph, stack_height
from schedule2sign.writers.pdfpen import Pen
from schedule2sign.writers.pieces import Earlier, Piece

_Label: TypeAlias = tuple[tuple[str, str], ...]  # texts, each with its style

_ACROSS, _DOWN = 2, 5
_PAD_PT = 8.0
_SMALLER = 1.02  # step of a label whose text is too long


def label_rows(job: Job, bench: BenchPlan) -> Sequence[Mounting]:
    """What gets a label: every piece to make, and plates that keep their design and change their place."""
    if job.comparison is None:
        return bench.packed
    changes = job.comparison.changes
    packed = {row.sign_id for row in bench.packed}
    moved = {change.sign_id for change in changes if change.kind is ChangeKind.LOCATION} - packed
    rows = (*bench.packed, *(row for row in bench.mountings if row.sign_id in moved))
    return tuple(sorted(rows, key=lambda row: row.sequence))


def label_pieces(job: Job, bench: BenchPlan, rows: Sequence[Mounting], earlier: Earlier) -> Iterator[Piece]:
    """Ten labels a page, with lines to cut along."""
    setup = PageSetup(title=f"Labels, job {job.settings.job}", unit=bench.process.unit, frame=False)
    width, height = setup.body_pt
    # A whole row less than the page: the last row must not be pushed over by rounding.
    size = (width / _ACROSS, (height - 6) / _DOWN)
    plates = {sign.sign_id: sign.plate for sign in (*bench.signs, *bench.kept)}
    words = {sign_id: _plate_words(plate, bench) for sign_id, plate in plates.items()}
    labels = (_label(job, row, words[row.sign_id], copy) for row in rows for copy in range(1, row.quantity + 1))
    return pdf_pieces(setup, _pages(labels, size), earlier)


def _plate_words(plate: Plate, bench: BenchPlan) -> str:
    """What the plate in the hand must look like."""
    build = plate.build
    size = size_text(plate.width_mm, plate.height_mm, bench.process.unit)
    return f"{size}, {build.letter_color} on {build.base_color}, {build.finish}"


def _label(job: Job, row: Mounting, plate: str, copy: int) -> _Label:
    return (
        (row.sign_id, "title"),
        (row.text, "large"),
        (f"Door {row.door or 'not given'}, {row.floor or 'floor not given'}, no. {row.sequence}", "body"),
        (row.side, "body"),
        (plate, "body"),
        (f"Job {job.settings.job} revision {job.settings.revision}, piece {copy} of {row.quantity}", "small"),
    )


def _pages(labels: Iterator[_Label], size_pt: tuple[float, float]) -> Iterator[Block]:
    wide, high = size_pt
    while page := list(islice(labels, _ACROSS * _DOWN)):
        paint = partial(_paint_page, labels=page, size_pt=size_pt)
        yield Sketch(wide * _ACROSS, high * _DOWN, paint, recipe=repr(page))


def _paint_page(pen: Pen, labels: Sequence[_Label], size_pt: tuple[float, float]) -> None:
    wide, high = size_pt
    top, rows = high * _DOWN, -(-len(labels) // _ACROSS)
    pen.stroke("#B4BCC4")
    pen.line_width(0.3)
    across = [(0.0, top - row * high, wide * _ACROSS, top - row * high) for row in range(rows + 1)]
    pen.lines(across + [(column * wide, top, column * wide, top - rows * high) for column in range(_ACROSS + 1)])
    for place, label in enumerate(labels):
        row, column = divmod(place, _ACROSS)
        _paint_label(
            pen, [paragraph(*part) for part in label], column * wide + _PAD_PT, top - row * high - _PAD_PT, size_pt
        )


def _paint_label(pen: Pen, label: Sequence[Block], left: float, top: float, size_pt: tuple[float, float]) -> None:
    """Long texts are made smaller, never cut off."""
    wide, high = size_pt[0] - 2 * _PAD_PT, size_pt[1] - 2 * _PAD_PT
    smaller = 1.0
    while stack_height(label, wide * smaller) > high * smaller:
        smaller *= _SMALLER
    with pen.placed(left, top, scale=1 / smaller):
        draw_stack(label, pen, 0.0, 0.0, wide * smaller)
