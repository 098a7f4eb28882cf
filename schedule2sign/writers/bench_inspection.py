"""A block for every sign on the inspection sheet: its text, its braille at real size, what the cells read back."""

from collections.abc import Iterator
from functools import partial

from schedule2sign.model.bench import BenchPlan
from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.shape import SignLayout
from schedule2sign.writers.bench_setup import size_text
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.pdfblocks import Block, Sketch, Space, paragraph
from schedule2sign.writers.pdfkept import Entry
from schedule2sign.writers.pdfpen import Pen
from schedule2sign.writers.pdftable import grid
from schedule2sign.writers.released import released
from schedule2sign.writers.words import raised_lines

_PT_PER_MM = 72 / 25.4
_COLUMN = 3  # dots of a cell one under another
_FIELDS = ("Piece", "Text", "Dots", "Dome 1", "Dome 2", "Dome 3", "Letters", "Edges", "Back, label", "Initials, date")


def inspection_pages(job: Job, bench: BenchPlan, marks: Marks, width_pt: float) -> Iterator[Block]:
    """One block a released sign, in the order they are worked on."""
    records = {record.request.sign_id: record for record in job.signs}
    unit = bench.process.unit
    for sign in bench.signs:
        record, said = records[sign.sign_id], (sign.cutting.counters, sign.request.quantity, unit)
        mark = marks.of(record)
        yield Entry(f"{mark} {said}" if mark else "", partial(_block, record, *said, width_pt))


def _block(record: SignRecord, counters: int, pieces: int, unit: str, width_pt: float) -> list[Block]:
    record, layout = released(record)
    request = record.request
    head = (
        f"{request.sign_id}: {size_text(layout.width_mm, layout.height_mm, unit)}, {len(layout.dots)} dots, "
        f"{counters} counters, "
        f"{layout.build.letter_color} on {layout.build.base_color}"
    )
    parts: list[Block] = [Space(7), paragraph(head, "large"), paragraph(" / ".join(raised_lines(record)))]
    if request.insert_text:
        parts.append(paragraph(f"Insert: {request.insert_text}"))
    if layout.dots:
        parts += [Space(3), _braille(layout, width_pt), Space(5)]
    for number, line in enumerate(layout.braille, start=1):
        read = f'reads back "{line.back}"' if line.back else "was not read back: have it read before cutting"
        parts.append(paragraph(f'Line {number} for "{line.text}" {read}', "small"))
    rows = [(f"{copy} of {pieces}", *("",) * (len(_FIELDS) - 1)) for copy in range(1, pieces + 1)]
    parts.append(grid(_FIELDS, rows, width_pt, tall=True, shares=(3, 3, 3, 4, 4, 4, 4, 3, 4, 7)))
    return parts


def _braille(layout: SignLayout, width_pt: float) -> Block:
    """The dots at real size, black, with a pale point at every empty place of a cell."""
    size = layout.cell_size
    radius = size.base_mm / 2
    places = sorted(_places(layout))
    left, right = min(x for x, _ in places) - radius, max(x for x, _ in places) + radius
    bottom, top = min(y for _, y in places) - radius, max(y for _, y in places) + radius
    # Wider than the page it could not lie over the sign anyway; then it is made to fit.
    scale = min(_PT_PER_MM, width_pt / (right - left))

    def paint(pen: Pen) -> None:
        dots = [(dot.x_mm, dot.y_mm) for dot in layout.dots]
        for color, wide, points in (("#B4BCC4", 0.5, places), ("#000000", size.base_mm, dots)):
            pen.stroke(color)
            pen.dots([((x - left) * scale, (y - bottom) * scale) for x, y in points], wide * scale)

    return Sketch((right - left) * scale, (top - bottom) * scale, paint)


def _places(layout: SignLayout) -> set[tuple[float, float]]:
    """The six places of every cell that holds a dot."""
    pitch = layout.cell_size.dot_pitch_mm
    cells = {
        (
            round(dot.x_mm - (dot.number > _COLUMN) * pitch, 3),
            round(dot.y_mm + (dot.number - 1) % _COLUMN * pitch, 3),
        )
        for dot in layout.dots
    }
    steps = [(right * pitch, down * pitch) for right in range(2) for down in range(_COLUMN)]
    return {(x + right, y - down) for x, y in cells for right, down in steps}
