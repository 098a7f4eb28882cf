"""What tells the signs of two runs apart: where the marks are the same, so is all that a document may say of the sign."""

from collections.abc import Iterator
from dataclasses import replace

from schedule2sign.fingerprint import digest_of
from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.settings import Lexicon
from schedule2sign.writers.places import Places
from schedule2sign.writers.since import changes_by_sign

_LENGTH = 24  # hexadecimal digits: 96 bits


class Marks:
    """A hash for every sign of a job, of all that its request, work, flags, row as given and job say.

    Attributes:
        job: hash of what is alike in all signs: program, standard, font, process, settings.
    """

    def __init__(self, job: Job) -> None:
        self.job = _job_mark(job)
        self._of_signs = dict(_sign_marks(job, self.job))

    def of(self, record: SignRecord) -> str:
        """The mark of a sign; "" where its work is of another origin, so that nothing is known of it."""
        return self._of_signs[record.request.sign_id]

    def recipe(self, *values: object) -> str:
        """Hash of what a piece is made of beside its signs and their job."""
        return digest_of(self.job, *values)[:_LENGTH]


def _job_mark(job: Job) -> str:
    """Without what is said of the whole job alone, and without paths, which differ from one machine to the next.

    What was read at a path is known by what it holds.
    """
    made_with = next((record.work.made_with for record in job.signs), "")
    plain = replace(
        job.settings, title="", revision="", font="", templates="", process="", waivers="", lexicon=Lexicon()
    )
    return digest_of(made_with, plain, job.standard, job.engine, job.bench is not None)[:_LENGTH]


def _sign_marks(job: Job, job_mark: str) -> Iterator[tuple[str, str]]:
    places, since = Places(job), changes_by_sign(job)
    for record in job.signs:
        request, row = record.request, places.raw(record.request.source)
        said = (record.status.value, record.flags, row.as_given if row else (), since.get(request.sign_id, ""))
        key = record.work.key
        yield request.sign_id, digest_of(job_mark, key, request, *said)[:_LENGTH] if key else ""
