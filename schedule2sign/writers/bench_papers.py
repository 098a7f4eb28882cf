"""Papers of the bench as PDF: setup sheet, inspection, packing list, installer's list, labels."""

from collections.abc import Callable, Iterable, Iterator
from functools import partial

from schedule2sign.model.bench import BenchPlan
from schedule2sign.model.job import Job
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.paper import Paper, PaperTable
from schedule2sign.writers.bench_inspection import inspection_pages
from schedule2sign.writers.bench_labels import label_rows, render_labels
from schedule2sign.writers.bench_setup import setup_pages
from schedule2sign.writers.pdf import PageSetup, render_pdf
from schedule2sign.writers.pdfblocks import Block, Space, paragraph, titled
from schedule2sign.writers.pdftable import grid
from schedule2sign.writers.protocol import Portion

FOLDER = "bench"
INSTALLER_LIST = "installer-list"
# What only a drawing can say, after the paper's notes and before its tables, by the paper's name; the rest after them.
_MORE: dict[str, Callable[[Job, float], tuple[Iterable[Block], Iterable[Block]]]] = {
    "setup-sheet": setup_pages,
    "inspection": inspection_pages,
}


class BenchPapers:
    """Writes bench/*.pdf; nothing where no sign is released, the installer's list alone where none is to be made."""

    name = "bench-papers"

    def render(self, job: Job) -> Iterator[OutFile]:
        return (file for portion in self.portions(job) for file in portion())

    def portions(self, job: Job) -> Iterator[Portion]:
        if job.bench is None or not job.bench.mountings:
            return
        for paper in job.bench.papers:
            if job.bench.signs or paper.name == INSTALLER_LIST:
                yield partial(_render_paper, job, paper)
        yield partial(_render_labels, job, job.bench)


def _render_labels(job: Job, bench: BenchPlan) -> list[OutFile]:
    rows = label_rows(job, bench)
    return [OutFile(f"{FOLDER}/labels.pdf", partial(render_labels, job, bench, rows))] if rows else []


def _render_paper(job: Job, paper: Paper) -> list[OutFile]:
    unit = job.bench.process.unit if job.bench else "in"
    setup = PageSetup(
        title=paper.title,
        right=f"{job.settings.title or job.settings.job}, job {job.settings.job}, revision {job.settings.revision}",
        unit=unit,
        landscape=paper.landscape,
        bar=paper.name == "inspection",
    )
    return [OutFile(f"{FOLDER}/{paper.name}.pdf", lambda: render_pdf(setup, _blocks(job, paper, setup.body_pt[0])))]


def _blocks(job: Job, paper: Paper, width_pt: float) -> Iterator[Block]:
    more = _MORE.get(paper.name)
    before, after = more(job, width_pt) if more else ((), ())
    yield from map(paragraph, paper.notes)
    yield Space(4)
    yield from _cautions(paper, width_pt)
    yield from before
    for table in paper.tables:
        yield from _table(table, width_pt, small=paper.landscape)
    yield from after


def _cautions(paper: Paper, width_pt: float) -> Iterator[Block]:
    if paper.cautions:
        rows = [(str(number), paragraph(text, "large")) for number, text in enumerate(paper.cautions, start=1)]
        yield grid(("", "CAUTION"), rows, width_pt, style="large", shares=(1, 26))


def _table(table: PaperTable, width_pt: float, *, small: bool) -> list[Block]:
    written_on = bool(table.fill_in)
    made = grid(table.columns, tuple(table.rows), width_pt, style="small" if small else "body", tall=written_on)
    return titled(table.title, made)
