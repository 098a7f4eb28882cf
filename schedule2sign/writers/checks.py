"""checks.csv: every rule on every sign with what was measured, the limit, its clause, how it was read, and the margin."""

from collections.abc import Iterator

from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.rule import Limit, Outcome, Verdict
from schedule2sign.writers.sheet import render_csv
from schedule2sign.writers.table import Column, Value

_COLUMNS = tuple(
    Column(header, 16)
    for header in (
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
)


class Checks:
    """Writes checks.csv."""

    name = "checks"

    def render(self, job: Job) -> Iterator[OutFile]:
        rows = (row for record in job.signs for verdict in record.verdicts for row in _rows(record, verdict, job))
        yield OutFile("checks.csv", render_csv(_COLUMNS, rows))


def _rows(record: SignRecord, verdict: Verdict, job: Job) -> Iterator[tuple[Value, ...]]:
    """One row a limit measured and a property judged; one for a rule that judged nothing, with the reason."""
    head = (record.request.sign_id, verdict.rule, verdict.outcome.value)
    if verdict.outcome in (Outcome.NOT_APPLICABLE, Outcome.NOT_CHECKED):
        yield (*head, "", "", "", "", "", "", "", "", verdict.why_not)
    for measurement in verdict.closest:
        limit = measurement.limit
        close = "yes" if measurement.is_close(job.settings.tolerance_mm) else ""
        yield (
            *head,
            limit.key,
            _in_unit(measurement.value, limit),
            str(limit),
            limit.unit,
            _in_unit(measurement.margin, limit),
            close,
            limit.clause,
            limit.basis.value,
            measurement.where,
        )
    for entry, found in verdict.judged:
        yield (*head, entry.key, found, str(entry), "", "", "", entry.clause, entry.basis.value, "")


def _in_unit(value: float, limit: Limit) -> str:
    scaled = value / MM_PER_INCH if limit.unit == "in" else value
    text = f"{scaled:.5f}"
    return text.removeprefix("-") if float(text) == 0 else text
