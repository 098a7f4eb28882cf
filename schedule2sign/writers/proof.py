"""proof.pdf: the book that is approved, every sign to scale, held ones marked, exceptions on the last pages."""

from collections.abc import Iterator

from schedule2sign.model.job import Job
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.settings import Finality
from schedule2sign.writers.measures import job_unit
from schedule2sign.writers.pdf import PageSetup, render_pdf


class Proof:
    """Writes proof.pdf."""

    name = "proof"

    def render(self, job: Job) -> Iterator[OutFile]:
        from schedule2sign.writers.proof_pages import book  # imported late: it loads the PDF library

        settings = job.settings
        setup = PageSetup(
            title=f"Proof: {settings.title or settings.job}",
            right=f"{settings.job}, revision {settings.revision}",
            unit=job_unit(job),
            bar=True,
            watermark="" if settings.finality is Finality.FINAL else "PROVISIONAL",
        )
        yield OutFile("proof.pdf", lambda: render_pdf(setup, book(job, setup.body_pt[0])))
