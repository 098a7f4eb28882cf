"""00-READ-ME.txt: what the folder holds, what does not come with it, and who must still sign."""

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from importlib.resources import files
from itertools import groupby

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.rule import Basis, WaiverState
from schedule2sign.writers.account import account_lines
from schedule2sign.writers.bench_record import bench_files, cutter_notes
from schedule2sign.writers.colors import find_colors
from schedule2sign.writers.drawing import ONE_LINE_CAUTION
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.questions import Question, ask_questions, label_flags, tally
from schedule2sign.writers.text import clean_text
from schedule2sign.writers.words import finality_words, raised_lines

_WIDTH = 100
_QUESTION_LINES = 2  # of one question; flagged.xlsx has it whole
_HELD_LINES = 8  # held signs alike in what holds them; more are listed by id alone
# What is told of the whole job's braille once, on its first page too.
_BRAILLE_NOTES = ("braille/engine-untested",)


_BASIS = {
    Basis.SECONDARY: "read second hand, not in the standard's own text",
    Basis.MEMORY: "from memory, not read in any text",
    Basis.HOUSE: "of the house, printed in no standard",
}


class ReadMe:
    """Writes 00-READ-ME.txt."""

    name = "read-me"

    def render(self, job: Job) -> Iterator[OutFile]:
        text = "\n".join(_lines(job)) + "\n"
        yield OutFile("00-READ-ME.txt", text.encode("utf-8", "replace"))


def _changes(job: Job) -> Iterator[str]:
    if job.comparison is None:
        return
    yield "CHANGED SINCE THE EARLIER ISSUE"
    yield from _fill(clean_text(f"{job.comparison.old}, {job.comparison.tally}. changes.xlsx names each sign."))
    yield from _fill(
        "signs/ and the installer's list hold every released sign; the sheets, the take-off and the other papers in "
        "bench/ hold only what is to be made. A plate that only moves gets a new label."
    )
    for alert in job.comparison.alerts:
        yield from _fill(clean_text(f"ALERT: {alert}."))
    yield ""


def _lines(job: Job) -> Iterator[str]:
    settings = job.settings
    yield clean_text(
        f"{settings.title or settings.job}: tactile signs, job {settings.job}, revision {settings.revision}"
    )
    yield ONE_LINE_CAUTION
    yield ""
    yield from _fill(finality_words(settings.finality))
    yield ""
    yield "ROW ACCOUNT"
    for count, what in account_lines(job.accounting):
        if count or not what.startswith(" "):
            yield f"  {count:>7}  {what}"
    yield ""
    yield from _changes(job)
    yield from _state(job)
    yield ""
    yield from _waivers(job)
    yield ""
    yield "WHO MUST SIGN BEFORE ANYTHING IS CUT"
    for role in ("Wording approved", "Braille read (credential)", "Location plan approved", "Released for production"):
        yield f"  {role + ' by':<32} ______________________  date ____________  revision ______"
    yield ""
    yield from _drawings(job)
    yield ""
    yield from _papers()
    yield ""
    yield from _braille(job)
    yield ""
    yield "WHAT WAS CHECKED AGAINST WHAT"
    yield from _fill(
        f"Profile {job.standard.id}: {job.standard.title}, {job.standard.edition}; table of {job.standard.table_date}."
        + (
            " This profile is EXPERIMENTAL: parts of it were not read in the published text."
            * job.standard.experimental
        )
    )
    yield from _doubtful(job)
    yield from _fill(f"Lettering: {job.font.name}. Braille engine: {job.engine.name} {job.engine.version}.")
    for file in job.schedule.inputs:
        yield f"  read {clean_text(file.name)}, SHA-256 {file.sha256}"
    yield ""
    yield files(__package__).joinpath("cautions.txt").read_text(encoding="utf-8").rstrip()


def _braille(job: Job) -> Iterator[str]:
    """How much of the braille a person must look at, and where it is listed."""
    risky = {(text, term.code) for term in job.risks for text in term.seen_in}
    yield "BRAILLE"
    yield from _fill(
        f"{len(job.braille_lines)} distinct braille lines, of which {len(risky)} hold a term that no rule settles: "
        f"{len(job.risks)} terms in braille-check.xlsx, with room to sign. A signed term is not asked again."
    )
    yield from (line for flag in job.flags if flag.code in _BRAILLE_NOTES for line in _fill(f"NOTE: {flag.message}"))


def _state(job: Job) -> Iterator[str]:
    """Every question once, and every held sign by name."""
    questions = ask_questions(job)
    counts = Counter(flag.severity for flag in job.flags)
    tally_flags = ", ".join(f"{counts[severity]} {severity}" for severity in reversed(Severity))
    yield f"OPEN: {tally(questions)}"
    for who, asked in groupby(questions, key=lambda question: question.who):
        yield f"  To answer: {who}"
        for question in asked:
            yield from _question_lines(question)
    yield from _fill(
        f"Answer in the decision column of sign-list.xlsx, save it outside this folder, and build again with --decisions. "
        f"Every flag ({tally_flags}) is in flagged.xlsx with its cell, the reason and what to do."
    )
    yield ""
    held = [record for record in job.signs if record.status is Status.HELD]
    yield f"HELD SIGNS: {len(held)}. They have no file in signs/."
    yield from _held_lines(held, label_flags(questions))


def _papers() -> Iterator[str]:
    """What shows the whole job."""
    yield "LISTS AND BOOKS"
    yield from _fill(
        "flagged.xlsx is the schedule as received with every flagged cell filled and noted, and the lists as its last "
        "sheets. Where several schedules were read, or one that is no xlsx workbook, it holds the list and the rows "
        "that came as other files; each workbook is then marked in a copy of its own in marked/. Macros are not copied."
    )
    yield from _fill(
        "report.html shows the whole job in a browser, without a network: every flag, every sign drawn to scale with its "
        "rules and measured values, every row without a sign. proof.pdf is the book to be approved and signed."
    )


def _doubtful(job: Job) -> Iterator[str]:
    """How the limits in force were read, wherever it was not in the standard's own text."""
    by_basis: dict[Basis, dict[str, None]] = {}
    for rule in job.rule_book:
        for basis, key in [(entry.basis, entry.key) for entry in rule.limits]:
            by_basis.setdefault(basis, {})[key.replace("_", " ")] = None
        for basis, key in [(entry.basis, entry.key) for entry in rule.requirements]:
            by_basis.setdefault(basis, {})[key.replace("_", " ")] = None
    for basis, words in _BASIS.items():
        if basis in by_basis:
            yield from _fill(f"Limits {words}: {', '.join(by_basis[basis])}.")
    yield from _fill("checks.csv has every rule on every sign: measured value, limit, clause, how it was read, margin.")


def _waivers(job: Job) -> Iterator[str]:
    """Every waiver by name, and what became of it."""
    counts = Counter(use.state for use in job.waivers)
    tally = ", ".join(f"{counts[state]} {state.value}" for state in WaiverState if counts[state])
    yield f"WAIVERS: {tally or 'none'}."
    for use in job.waivers:
        yield from _fill(clean_text(f"{use.state.value.upper()}: {use.waiver}").replace("\n", " "))


def _question_lines(question: Question) -> list[str]:
    asked = f" ({len(question.flags)} times)" if len(question.flags) > 1 else ""
    text = clean_text(f"{question.first.severity}{asked}: {question.what} {question.first.fix}").replace("\n", " ")
    head = f"    {question.label:<5}"
    return textwrap.wrap(
        head + text,
        _WIDTH,
        subsequent_indent=" " * len(head),
        max_lines=_QUESTION_LINES,
        placeholder=" ...",
        break_on_hyphens=False,
    )


def _held_lines(held: Iterable[SignRecord], labels: Mapping[Flag, str]) -> Iterator[str]:
    """Held signs by what holds them; many that one question holds share its lines."""
    groups: dict[str, list[SignRecord]] = {}
    for record in held:
        holding = [flag for flag in record.flags if flag.severity in (Severity.HOLD, Severity.STOP)]
        why = ", ".join(dict.fromkeys(f"{labels.get(flag, '')} {flag.code}".strip() for flag in holding))
        groups.setdefault(why, []).append(record)
    for why, records in groups.items():
        if len(records) <= _HELD_LINES:
            for record in records:
                text = " / ".join(raised_lines(record))
                yield clean_text(f"  {record.request.sign_id}  {text}  ({why})").replace("\n", " ")
        else:
            ids = ", ".join(record.request.sign_id for record in records)
            yield from _fill(clean_text(f"{len(records)} signs held by {why}: {ids}"))


def _drawings(job: Job) -> Iterator[str]:
    yield "DRAWINGS (signs/, released signs only, one DXF and one SVG a sign)"
    yield from _fill(
        "Units: inches, origin at the plate's lower left corner, drawn at real size. Measure the 1.0000 x 1.0000 in "
        "square on layer REF before the first cut."
    )
    for note in cutter_notes(job):
        yield from _fill(note)
    yield from _fill(
        "If the controller compensates for the cutter, it must do so once, on paths at the edge; if it does not, the paths "
        "must be offset before cutting."
    )
    sizes = {record.plate.cell_size for record in job.signs if record.plate and record.status is Status.RELEASED}
    for size in sorted(sizes, key=lambda size: size.name):
        yield from _fill(
            f"Braille: dots {inch_text(size.dot_pitch_mm)} and cells {inch_text(size.cell_pitch_mm)} center to center, "
            f"lines {inch_text(size.line_pitch_mm)}; circles have the dot base diameter, {inch_text(size.base_mm)}."
        )
    unknown = {name for record in job.signs if record.plate is not None for name in find_colors(record.plate.build)[2]}
    for name in sorted(unknown):
        yield from _fill(f'The SVG pictures show the color "{clean_text(name)}" as a gray: it has no screen color.')
    if job.bench is not None and job.bench.signs:
        yield ""
        yield "BENCH (released signs only), in the order of the work"
        for place, purpose in bench_files(job.bench):
            yield from _fill(f"{place}: {purpose}")
        yield from _fill(f"About {job.bench.job_seconds / 3600:.1f} hours of machine and hand work by the feeds given.")


def _fill(text: str) -> list[str]:
    # A sign id is never broken at its hyphens.
    return textwrap.wrap(text, _WIDTH, initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False)
