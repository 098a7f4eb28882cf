"""Papers of the bench as PDF: setup sheet, inspection, packing list, installer's list, labels."""

from collections.abc import Iterable, Iterator
from functools import partial

from schedule2sign.model.bench import BenchPlan
from schedule2sign.model.job import Job
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.paper import Paper, PaperTable
from schedule2sign.writers.bench_inspection import inspection_pages
from schedule2sign.writers.bench_labels import label_pieces, label_rows
from schedule2sign.writers.bench_setup import setup_pages
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.pdf import PageSetup, pdf_pieces
from schedule2sign.writers.pdfblocks import Block, Space, paragraph, titled
from schedule2sign.writers.pdftable import grid
from schedule2sign.writers.pieces import Earlier, Piece, PieceDocument

FOLDER = "bench"
INSPECTION, INSTALLER_LIST = "inspection", "installer-list"


class BenchPapers:
    """Writes bench/*.pdf; nothing where no sign is released, the installer's list alone where none is to be made."""

    name = "bench-papers"

    def render(self, job: Job) -> Iterator[OutFile]:
        return (document.whole() for document in self.documents(job, Marks(job)))

    def documents(self, job: Job, marks: Marks) -> Iterator[PieceDocument]:
        bench = job.bench
        if bench is None or not bench.mountings:
            return
        for paper in bench.papers:
            if bench.signs or paper.name == INSTALLER_LIST:
                yield PieceDocument(f"{FOLDER}/{paper.name}.pdf", partial(_paper_pieces, job, marks, bench, paper))
        if rows := label_rows(job, bench):
            yield PieceDocument(f"{FOLDER}/labels.pdf", partial(label_pieces, job, bench, rows))


def _paper_pieces(job: Job, marks: Marks, bench: BenchPlan, paper: Paper, earlier: Earlier) -> Iterator[Piece]:
    setup = PageSetup(
        title=paper.title,
        right=f"{job.settings.title or job.settings.job}, job {job.settings.job}, revision {job.settings.revision}",
        unit=bench.process.unit,
        landscape=paper.landscape,
        bar=paper.name == INSPECTION,
    )
    return pdf_pieces(setup, _blocks(job, marks, bench, paper, setup.body_pt[0]), earlier)


def _blocks(job: Job, marks: Marks, bench: BenchPlan, paper: Paper, width_pt: float) -> Iterator[Block]:
    before, after = _drawn(job, marks, bench, paper, width_pt)
    yield from map(paragraph, paper.notes)
    yield Space(4)
    yield from _cautions(paper, width_pt)
    yield from before
    for table in paper.tables:
        yield from _table(table, width_pt, small=paper.landscape)
    yield from after


def _drawn(
    job: Job, marks: Marks, bench: BenchPlan, paper: Paper, width_pt: float
) -> tuple[Iterable[Block], Iterable[Block]]:
    """What only a drawing can say: what stands after the paper's notes and before its tables, and the rest after them."""
    if paper.name == "setup-sheet":
        return setup_pages(job, width_pt)
    if paper.name == INSPECTION:
        return (), inspection_pages(job, bench, marks, width_pt)
    return (), ()


def _cautions(paper: Paper, width_pt: float) -> Iterator[Block]:
    if paper.cautions:
        rows = [(str(number), paragraph(text, "large")) for number, text in enumerate(paper.cautions, start=1)]
        yield grid(("", "CAUTION"), rows, width_pt, style="large", shares=(1, 26))


def _table(table: PaperTable, width_pt: float, *, small: bool) -> list[Block]:
    written_on = bool(table.fill_in)
    made = grid(table.columns, tuple(table.rows), width_pt, style="small" if small else "body", tall=written_on)
    return titled(table.title, made)
