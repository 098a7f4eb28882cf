"""Labels for the backs, in walking order: each says which plate this is and where it goes."""

from collections.abc import Iterator
from typing import Any

from schedule2sign.model.bench import BenchPlan
from schedule2sign.model.job import Job
from schedule2sign.model.paper import Mounting
from schedule2sign.writers.pdf import FONT, PageSetup, paragraph, render_pdf

_ACROSS, _DOWN = 2, 5
_PAD_PT = 8.0


def render_labels(job: Job, bench: BenchPlan) -> bytes:
    """Ten labels a page, with lines to cut along."""
    setup = PageSetup(title=f"Labels, job {job.settings.job}", unit=bench.process.unit, frame=False)
    width, height = setup.body_pt
    # A whole row less than the page: the last row must not be pushed over by rounding.
    size = (width / _ACROSS, (height - 6) / _DOWN)
    cells = [_label(job, row, copy, size) for row in bench.mountings for copy in range(1, row.quantity + 1)]
    return render_pdf(setup, list(_pages(cells, size)))


def _label(job: Job, row: Mounting, copy: int, size_pt: tuple[float, float]) -> Any:
    from reportlab.platypus import KeepInFrame

    lines = [
        paragraph(row.sign_id, "title"),
        paragraph(row.text, "large"),
        paragraph(f"Door {row.door or 'not given'}, {row.floor or 'floor not given'}, no. {row.sequence}"),
        paragraph(row.side),
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
