"""Measured values as people read them, in the unit of their limit."""

from schedule2sign.model.job import Job
from schedule2sign.model.measure import inches
from schedule2sign.model.rule import Basis
from schedule2sign.writers.numbers import trimmed

_BASIS = {
    Basis.STANDARD: "read in the published text",
    Basis.SECONDARY: "read second hand",
    Basis.MEMORY: "from memory",
    Basis.HOUSE: "a rule of this program",
}


def measured_text(value: float, unit: str) -> str:
    """A value that is in mm for lengths, else in the unit of its limit: "0.625 in", "70.5 %"."""
    if unit == "in":
        return f"{trimmed(inches(value), 4)} in"
    if unit == "mm":
        return f"{trimmed(value, 3)} mm"
    return f"{trimmed(value, 2)} {'%' if unit == 'percent' else unit}"


def length_text(value_mm: float) -> str:
    """A length in both units: "0.375 in (9.525 mm)"."""
    return f"{trimmed(inches(value_mm), 4)} in ({trimmed(value_mm, 3)} mm)"


def job_unit(job: Job) -> str:
    """The unit the shop works in, by its process: "in" or "mm"; papers are US letter or A4 by it."""
    return job.bench.process.unit if job.bench else "in"


def basis_words(basis: Basis) -> str:
    """How far a limit can be trusted, in words."""
    return _BASIS[basis]
