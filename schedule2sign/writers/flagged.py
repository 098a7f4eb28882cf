"""The flagged list, worst first: flagged.csv and flagged.xlsx."""

from collections import Counter
from collections.abc import Iterator

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job
from schedule2sign.model.outfile import OutFile
from schedule2sign.writers.places import Places
from schedule2sign.writers.sheet import Column, Sheet, Value, render_csv, render_workbook

_FILLS = (("STOP", "F4A6A0"), ("HOLD", "F8C9A0"), ("ASK", "FBE8A6"), ("NOTE", "DCE6EE"))
_COLUMNS = (
    Column("severity", 10),
    Column("code", 28),
    Column("who decides", 16),
    Column("sign id", 20),
    Column("source file", 22),
    Column("sheet", 14),
    Column("row", 7),
    Column("cell", 8),
    Column("door", 10),
    Column("text as given", 30),
    Column("what", 52),
    Column("measured", 14),
    Column("required", 20),
    Column("clause", 20),
    Column("what to do", 44),
    Column("answer", 24),
)
_MEANING = {
    Severity.STOP: "the file cannot be read safely; nothing of it is cut",
    Severity.HOLD: "no production file until it is settled",
    Severity.ASK: "a default was taken; a person must confirm it",
    Severity.NOTE: "told, nothing to do",
}


class Flagged:
    """Writes flagged.csv and flagged.xlsx."""

    name = "flagged"

    def render(self, job: Job) -> Iterator[OutFile]:
        sheet = flag_sheet(job)
        yield OutFile("flagged.csv", render_csv(sheet))
        title = f"{job.settings.job} revision {job.settings.revision}: flagged"
        yield OutFile("flagged.xlsx", render_workbook((sheet, summary_sheet(job)), title))


def flag_sheet(job: Job) -> Sheet:
    """Every flag of the job, worst first, then in source order."""
    places = Places(job)
    ranked = sorted(job.flags, key=lambda flag: -flag.severity.rank)
    return Sheet("Flagged", _COLUMNS, tuple(_row(flag, places) for flag in ranked), _FILLS)


def _row(flag: Flag, places: Places) -> tuple[Value, ...]:
    source = flag.source
    return (
        flag.severity.value,
        flag.code,
        flag.who,
        flag.sign_id,
        source.file if source else "",
        source.sheet if source else "",
        source.row if source and source.row else "",
        f"{source.column}{source.row}" if source and source.column else "",
        places.door(source),
        flag.given or places.given(source),
        flag.message,
        flag.measured,
        flag.required,
        flag.clause,
        flag.fix,
        "",
    )


def summary_sheet(job: Job) -> Sheet:
    """How many flags of each severity, by who decides and by code."""
    by_severity = Counter(flag.severity for flag in job.flags)
    by_who = Counter((flag.severity, flag.who or "not said") for flag in job.flags)
    by_code = Counter((flag.severity, flag.code) for flag in job.flags)
    rows: list[tuple[Value, ...]] = [
        (severity.value, "all", by_severity[severity], _MEANING[severity]) for severity in reversed(Severity)
    ]
    for heading, counts in (("decided by ", by_who), ("", by_code)):
        ranked = sorted(counts.items(), key=lambda item: (-item[0][0].rank, -item[1], item[0][1]))
        rows += [(severity.value, f"{heading}{key}", count, "") for (severity, key), count in ranked]
    columns = (Column("severity", 10), Column("flags", 40), Column("count", 8), Column("meaning", 52))
    return Sheet("Summary", columns, tuple(rows), _FILLS)
