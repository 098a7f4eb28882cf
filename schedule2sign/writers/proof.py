"""proof.pdf: the book that is approved, every sign to scale, held ones marked, exceptions on the last pages."""

from collections.abc import Iterator
from functools import partial

from schedule2sign.model.job import Job
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.settings import Finality
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.measures import job_unit
from schedule2sign.writers.pdf import PageSetup, pdf_pieces
from schedule2sign.writers.pieces import Earlier, Piece, PieceDocument


class Proof:
    """Writes proof.pdf."""

    name = "proof"

    def render(self, job: Job) -> Iterator[OutFile]:
        return (document.whole() for document in self.documents(job, Marks(job)))

    def documents(self, job: Job, marks: Marks) -> Iterator[PieceDocument]:
        yield PieceDocument("proof.pdf", partial(_pieces, job, marks))


def _pieces(job: Job, marks: Marks, earlier: Earlier) -> Iterator[Piece]:
    from schedule2sign.writers.proof_pages import book  # imported late: it loads the PDF library

    settings = job.settings
    setup = PageSetup(
        title=f"Proof: {settings.title or settings.job}",
        right=f"{settings.job}, revision {settings.revision}",
        unit=job_unit(job),
        bar=True,
        watermark="" if settings.finality is Finality.FINAL else "PROVISIONAL",
    )
    return pdf_pieces(setup, book(job, marks, setup.body_pt[0]), earlier)
