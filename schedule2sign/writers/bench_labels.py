"""Labels for the backs, in walking order: each says which plate this is and where it goes."""

from collections.abc import Iterator, Sequence
from typing import Any

from schedule2sign.model.bench import BenchPlan
from schedule2sign.model.job import Job
from schedule2sign.model.paper import Mounting
from schedule2sign.model.revision import ChangeKind
from schedule2sign.model.shape import SignLayout
from schedule2sign.writers.bench_setup import size_text
from schedule2sign.writers.pdf import FONT, PageSetup, paragraph, render_pdf
from schedule2sign.writers.released import released_signs

_ACROSS, _DOWN = 2, 5
_PAD_PT = 8.0


def label_rows(job: Job, bench: BenchPlan) -> tuple[Mounting, ...]:
    """What gets a label: every piece to make, and plates that keep their design and change their place."""
    changes = job.comparison.changes if job.comparison else ()
    packed = {row.sign_id for row in bench.packed}
    moved = {change.sign_id for change in changes if change.kind is ChangeKind.LOCATION} - packed
    rows = (*bench.packed, *(row for row in bench.mountings if row.sign_id in moved))
    return tuple(sorted(rows, key=lambda row: row.sequence))


def render_labels(job: Job, bench: BenchPlan, rows: Sequence[Mounting]) -> bytes:
    """Ten labels a page, with lines to cut along."""
    setup = PageSetup(title=f"Labels, job {job.settings.job}", unit=bench.process.unit, frame=False)
    width, height = setup.body_pt
    # A whole row less than the page: the last row must not be pushed over by rounding.
    size = (width / _ACROSS, (height - 6) / _DOWN)
    plates = {record.request.sign_id: _plate_words(layout, bench) for record, layout in released_signs(job)}
    cells = [_label(job, row, plates[row.sign_id], copy, size) for row in rows for copy in range(1, row.quantity + 1)]
    return render_pdf(setup, list(_pages(cells, size)))


def _plate_words(layout: SignLayout, bench: BenchPlan) -> str:
    """What the plate in the hand must look like."""
    build = layout.build
    size = size_text(layout.width_mm, layout.height_mm, bench.process.unit)
    return f"{size}, {build.letter_color} on {build.base_color}, {build.finish}"


def _label(job: Job, row: Mounting, plate: str, copy: int, size_pt: tuple[float, float]) -> Any:
    from reportlab.platypus import KeepInFrame

    lines = [
        paragraph(row.sign_id, "title"),
        paragraph(row.text, "large"),
        paragraph(f"Door {row.door or 'not given'}, {row.floor or 'floor not given'}, no. {row.sequence}"),
        paragraph(row.side),
        paragraph(plate),
        paragraph(f"Job {job.settings.job} revision {job.settings.revision}, piece {copy} of {row.quantity}", "small"),
    ]
    # Long texts are made smaller, never cut off.
    return KeepInFrame(size_pt[0] - 2 * _PAD_PT, size_pt[1] - 2 * _PAD_PT, lines, mode="shrink")


def _pages(cells: list[Any], size_pt: tuple[float, float]) -> Iterator[Any]:
    from reportlab.platypus import PageBreak, Table, TableStyle

    style = TableStyle(
        [
            ("FONTNAME", (0, 0), (-1, -1), FONT),
            ("GRID", (0, 0), (-1, -1), 0.3, "#B4BCC4"),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            *(
                (side, (0, 0), (-1, -1), _PAD_PT)
                for side in ("LEFTPADDING", "RIGHTPADDING", "TOPPADDING", "BOTTOMPADDING")
            ),
        ]
    )
    for first in range(0, len(cells), _ACROSS * _DOWN):
        page = cells[first : first + _ACROSS * _DOWN]
        page += [""] * (-len(page) % _ACROSS)
        rows = [page[start : start + _ACROSS] for start in range(0, len(page), _ACROSS)]
        if first:
            yield PageBreak()
        yield Table(rows, colWidths=[size_pt[0]] * _ACROSS, rowHeights=[size_pt[1]] * len(rows), style=style)
