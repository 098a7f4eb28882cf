"""checks.csv: every rule on every sign with what was measured, the limit, its clause, how it was read, and the margin."""

from collections.abc import Iterator
from functools import lru_cache, partial

from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.rule import Limit, Outcome, Requirement
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.pieces import Earlier, Piece, PieceDocument, take_or_make
from schedule2sign.writers.sheet import csv_line
from schedule2sign.writers.table import Value
from schedule2sign.writers.text import csv_text

_COLUMNS = (
    "sign id",
    "rule",
    "verdict",
    "what",
    "measured",
    "required",
    "unit",
    "margin",
    "close to limit",
    "clause",
    "limit read how",
    "where",
)
_END = "\r\n"


class Checks:
    """Writes checks.csv."""

    name = "checks"

    def render(self, job: Job) -> Iterator[OutFile]:
        return (document.whole() for document in self.documents(job, Marks(job)))

    def documents(self, job: Job, marks: Marks) -> Iterator[PieceDocument]:
        yield PieceDocument("checks.csv", partial(_pieces, job, marks))


def _pieces(job: Job, marks: Marks, earlier: Earlier) -> Iterator[Piece]:
    yield Piece(csv_line(_COLUMNS).encode())
    for record in job.signs:
        yield take_or_make(earlier, marks.of(record), partial(_render, record, job.settings.tolerance_mm))


def _render(record: SignRecord, tolerance_mm: float) -> bytes:
    return "".join(_lines(record, tolerance_mm)).encode()


def _lines(record: SignRecord, tolerance_mm: float) -> Iterator[str]:
    """One line a limit measured and a property judged; one for a rule that judged nothing, with the reason.

    What many signs say alike is text already: of most lines little but the sign and the value is its own.
    """
    sign = _fields(record.request.sign_id)
    for verdict in record.verdicts:
        rule, outcome = verdict.rule, verdict.outcome
        if outcome in (Outcome.NOT_APPLICABLE, Outcome.NOT_CHECKED):
            yield f"{sign},{_fields(rule, outcome.value, '', '', '', '', '', '', '', '', verdict.why_not)}{_END}"
        for one in verdict.closest:
            limit = one.limit
            before, required, after = _around(rule, outcome, limit)
            value, margin = _in_unit(one.value, limit), _in_unit(one.margin, limit)
            close = "yes" if one.is_close(tolerance_mm) else ""
            yield f"{sign},{before},{value},{required},{margin},{close},{after},{_fields(one.where)}{_END}"
        for entry, found in verdict.judged:
            yield f"{sign},{_judged(rule, outcome, entry, found)}{_END}"


@lru_cache(maxsize=4096)
def _fields(*values: Value) -> str:
    # With one field more, for a line of nothing but an empty one has quotes.
    return csv_line((*values, "")).removesuffix(f",{_END}")


@lru_cache(maxsize=4096)
def _around(rule: str, outcome: Outcome, limit: Limit) -> tuple[str, str, str]:
    """The fields before the value, between it and its margin, and after that and whether it is close."""
    return (
        _fields(rule, outcome.value, limit.key),
        _fields(str(limit), limit.unit),
        _fields(limit.clause, limit.basis.value),
    )


@lru_cache(maxsize=4096)
def _judged(rule: str, outcome: Outcome, entry: Requirement, found: str) -> str:
    return _fields(rule, outcome.value, entry.key, found, str(entry), "", "", "", entry.clause, entry.basis.value, "")


def _in_unit(value: float, limit: Limit) -> str:
    """A number as its field: nothing in it asks for quotes."""
    scaled = value / MM_PER_INCH if limit.unit == "in" else value
    text = f"{scaled:.5f}"
    return csv_text(text.removeprefix("-") if float(text) == 0 else text)
