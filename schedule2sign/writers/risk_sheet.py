"""braille-check.xlsx: what a transcriber should look at, with room to sign; a signed sheet is read back."""

from collections import Counter
from collections.abc import Iterable, Iterator
from functools import partial

from schedule2sign.geometry.brailleascii import ascii_braille
from schedule2sign.model.braille import BrailleLine, RiskTerm
from schedule2sign.model.flag import Severity
from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.paper import Rows
from schedule2sign.model.settings import CheckedTerm
from schedule2sign.writers.measures import job_unit
from schedule2sign.writers.sheet import workbook_chunks
from schedule2sign.writers.table import Column, Sheet, Value

PATH = "braille-check.xlsx"
_Line = tuple[str, str]  # raised line and braille code
# The reader of signed sheets finds its columns by these headers.
_COLUMNS = (
    Column("as raised", 18),
    Column("written as", 18),
    Column("take as", 9, ("names", "spelled", "spoken", "words", "line")),
    Column("stands in", 10),
    Column("braille", 18),
    Column("ASCII braille", 16),
    Column("reads back as", 18),
    Column("braille code", 13),
    Column("why to look", 34),
    Column("on the lines", 20),
    Column("signs", 6),
    Column("sign ids", 15),
    Column("initials", 9),
    Column("date", 11),
)
_LINE_COLUMNS = (
    Column("raised line", 30),
    Column("braille", 34),
    Column("ASCII braille", 30),
    Column("words taken as", 34),
    Column("reads back as", 30),
    Column("braille code", 16),
    Column("signs", 7),
    Column("asked", 52),
)
_HOW = (
    "To check is every word or line of this job that no rule settles; All lines is all of its braille, each line once.",
    "Read the braille of each row. If it is wrong, correct it in the ASCII braille column: what is signed is what is "
    "drilled, and where it differs from the braille engine the next run says so.",
    "written as: the term with the capitals it has in braille (ADA 703.3.1). take as: names, spelled (an acronym said "
    "by letters), spoken (an acronym said as a word) or words put the term into the job's lexicon for every sign; "
    "line signs this line alone. A row without braille needs these three filled in, or the schedule corrected.",
    "Put initials and the date into each row that is right. A row without them stays open.",
    "Keep the signed file outside this folder, which the next run replaces, and name it in the job file: "
    '[lexicon] signed = ["braille-check.xlsx"]. Its terms are not asked again. Signed before carries them on, so '
    "the latest signed file alone is enough.",
    "A signature covers the wording shown here. It does not say that a sign is required, where it goes, or that the "
    "dots were made well: read a finished sign too.",
)


class RiskSheet:
    """Writes braille-check.xlsx."""

    name = "risk-sheet"

    def render(self, job: Job) -> Iterator[OutFile]:
        yield OutFile(PATH, partial(_render, job))


def _render(job: Job) -> Iterator[bytes]:
    sheets = (check_sheet(job), lines_sheet(job), signed_sheet(job), how_sheet(job))
    title = f"{job.settings.job} revision {job.settings.revision}: braille to check"
    return workbook_chunks(sheets, title, job_unit(job))


def check_sheet(job: Job) -> Sheet:
    """One row for each term or line to look at."""
    asked = {(text, term.code) for term in job.risks for text in term.seen_in}
    uses: dict[_Line, list[str]] = {}
    for record in job.signs:
        for line in _lines_of(record, job):
            if line in asked:
                uses.setdefault(line, []).append(record.request.sign_id)
    return Sheet("To check", _COLUMNS, Rows(len(job.risks), lambda: (_check_row(term, uses) for term in job.risks)))


def _check_row(term: RiskTerm, uses: dict[_Line, list[str]]) -> tuple[Value, ...]:
    signs = dict.fromkeys(sign_id for text in term.seen_in for sign_id in uses.get((text, term.code), ()))
    return (
        term.term,
        term.typed,
        term.sign_off,
        term.stands_in,
        term.cells,
        ascii_braille(term.cells),
        term.back,
        term.code,
        "\n".join(term.reasons),
        "\n".join(term.seen_in),
        len(signs),
        "\n".join(signs),
        "",
        "",
    )


def lines_sheet(job: Job) -> Sheet:
    """Every distinct line of braille, once."""
    signs = Counter(line for record in job.signs for line in _lines_of(record, job))
    rows = Rows(
        len(job.braille_lines),
        lambda: (_line_row(line, signs[line.text, line.code]) for line in job.braille_lines),
    )
    return Sheet("All lines", _LINE_COLUMNS, rows)


def _line_row(line: BrailleLine, signs: int) -> tuple[Value, ...]:
    readable = not any(flag.code == "braille/unknown-character" for flag in line.flags)
    asked = (f"{flag.severity}: {flag.message}" for flag in line.flags if flag.severity is not Severity.NOTE)
    return (
        line.text,
        line.cells if readable else "",
        ascii_braille(line.cells) if readable else "",
        "\n".join(f"{token.typed}: {token.kind}" for token in line.tokens),
        line.back,
        line.code,
        signs,
        "\n".join(asked),
    )


def signed_sheet(job: Job) -> Sheet:
    """What was signed before, with the columns of the first sheet so that it is read back with it."""
    return Sheet("Signed before", _COLUMNS, tuple(map(_signed_row, job.settings.lexicon.checked)))


def _signed_row(term: CheckedTerm) -> tuple[Value, ...]:
    known = {"as raised": term.term, "written as": term.written, "take as": term.take_as, "stands in": term.stands_in}
    known |= {"ASCII braille": term.braille, "braille code": term.code, "initials": term.by, "date": term.on}
    return tuple(known.get(column.header, "") for column in _COLUMNS)


def how_sheet(job: Job) -> Sheet:
    """What to do with the file, and what made the braille."""
    engine = f"The braille was made by {job.engine.name} {job.engine.version} and by this program's rules for signs."
    notes = (flag.message for flag in job.flags if flag.code == "braille/engine-untested")
    return Sheet("How to sign", (Column("how to sign", 90),), tuple((text,) for text in (*_HOW, engine, *notes)))


def _lines_of(record: SignRecord, job: Job) -> Iterable[_Line]:
    """The lines of a sign, each once."""
    return dict.fromkeys((message.text, message.code or job.braille_code) for message in record.request.messages)
