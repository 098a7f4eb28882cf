"""00-READ-ME.txt: what the folder holds, what does not come with it, and who must still sign."""

import textwrap
from collections import Counter
from collections.abc import Iterator
from importlib.resources import files

from schedule2sign.model.flag import Severity
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.settings import Finality
from schedule2sign.writers.account import account_lines
from schedule2sign.writers.colors import find_colors
from schedule2sign.writers.drawing import ONE_LINE_CAUTION, PATH_NOTE
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.text import clean_text
from schedule2sign.writers.words import raised_lines

_WIDTH = 100
_FINALITY = {
    Finality.FINAL: "The job file says the room numbers are the final ones of the finished building.",
    Finality.NOT_FINAL: "PROVISIONAL: the job file says the room numbers are not final. Do not cut from this issue.",
    Finality.UNKNOWN: "PROVISIONAL: nobody has said whether the room numbers are the final ones of the finished "
    "building. Ask before cutting: construction numbers are often not the posted numbers.",
}


class ReadMe:
    """Writes 00-READ-ME.txt."""

    name = "read-me"

    def render(self, job: Job) -> Iterator[OutFile]:
        text = "\n".join(_lines(job)) + "\n"
        yield OutFile("00-READ-ME.txt", text.encode("utf-8", "replace"))


def _lines(job: Job) -> Iterator[str]:
    settings = job.settings
    yield clean_text(
        f"{settings.title or settings.job}: tactile signs, job {settings.job}, revision {settings.revision}"
    )
    yield ONE_LINE_CAUTION
    yield ""
    yield from _fill(_FINALITY[settings.finality])
    yield ""
    yield "ROW ACCOUNT"
    for count, what in account_lines(job.accounting):
        yield f"  {count:>7}  {what}"
    yield ""
    yield from _state(job)
    yield ""
    yield "WHO MUST SIGN BEFORE ANYTHING IS CUT"
    for role in ("Wording approved", "Braille read (credential)", "Location plan approved", "Released for production"):
        yield f"  {role + ' by':<32} ______________________  date ____________  revision ______"
    yield ""
    yield from _drawings(job)
    yield ""
    yield "WHAT WAS CHECKED AGAINST WHAT"
    yield from _fill(
        f"Profile {job.standard.id}: {job.standard.title}, {job.standard.edition}; table of {job.standard.table_date}."
        + (
            " This profile is EXPERIMENTAL: parts of it were not read in the published text."
            * job.standard.experimental
        )
    )
    yield from _fill(f"Lettering: {job.font.name}. Braille engine: {job.engine.name} {job.engine.version}.")
    for file in job.schedule.inputs:
        yield f"  read {clean_text(file.name)}, SHA-256 {file.sha256}"
    yield ""
    yield files(__package__).joinpath("cautions.txt").read_text(encoding="utf-8").rstrip()


def _state(job: Job) -> Iterator[str]:
    """Open flags and every held sign by name."""
    counts = Counter(flag.severity for flag in job.flags)
    yield "OPEN: " + ", ".join(f"{counts[severity]} {severity}" for severity in reversed(Severity))
    yield from _fill("Every one of them is in flagged.xlsx and flagged.csv with its cell, the reason and what to do.")
    yield ""
    held = [record for record in job.signs if record.status is Status.HELD]
    yield f"HELD SIGNS: {len(held)}. They have no file in signs/."
    yield from (_held_line(record) for record in held)


def _held_line(record: SignRecord) -> str:
    holding = [flag.code for flag in record.flags if flag.severity in (Severity.HOLD, Severity.STOP)]
    text = " / ".join(raised_lines(record))
    return clean_text(f"  {record.request.sign_id}  {text}  ({', '.join(dict.fromkeys(holding))})").replace("\n", " ")


def _drawings(job: Job) -> Iterator[str]:
    yield "DRAWINGS (signs/, released signs only, one DXF and one SVG a sign)"
    yield from _fill(
        "Units: inches, origin at the plate's lower left corner, drawn at real size. Measure the 1.0000 x 1.0000 in "
        "square on layer REF before the first cut."
    )
    yield from _fill(
        f"{PATH_NOTE} If the controller compensates for the cutter, it must do so once; if it does not, the paths must "
        "be offset before cutting."
    )
    sizes = {record.layout.cell_size for record in job.signs if record.layout and record.status is Status.RELEASED}
    for size in sorted(sizes, key=lambda size: size.name):
        yield from _fill(
            f"Braille: dots {inch_text(size.dot_pitch_mm)} and cells {inch_text(size.cell_pitch_mm)} center to center, "
            f"lines {inch_text(size.line_pitch_mm)}; circles have the dot base diameter, {inch_text(size.base_mm)}."
        )
    unknown = {
        name for record in job.signs if record.layout is not None for name in find_colors(record.layout.build)[2]
    }
    for name in sorted(unknown):
        yield from _fill(f'The SVG pictures show the color "{clean_text(name)}" as a gray: it has no screen color.')


def _fill(text: str) -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent="  ", subsequent_indent="  ")
