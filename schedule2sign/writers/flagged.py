"""The flagged list, worst first: flagged.csv, and flagged.xlsx with the customer's own workbook marked."""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterator, Sequence
from functools import partial

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.paper import Rows
from schedule2sign.model.schedule import InputFile
from schedule2sign.writers.markedcopy import COLORS, has_macros, mark_workbook
from schedule2sign.writers.measures import job_unit
from schedule2sign.writers.package import Package, PackageError
from schedule2sign.writers.places import Places
from schedule2sign.writers.plainrows import plain_sheets
from schedule2sign.writers.questions import Question, ask_questions, label_flags
from schedule2sign.writers.sheet import render_csv, workbook_chunks
from schedule2sign.writers.table import Column, Sheet, Value

_FILLS = tuple((severity.value, COLORS[severity]) for severity in reversed(Severity))
_WORKBOOKS = (".xlsx", ".xlsm")
# In a file name, on some disk or in some shell, or not seen for what it is; and names that are devices on another system.
_UNSAFE = re.compile(r"[^\w .()&,'-]")
_DEVICE = re.compile(r"(?:CON|PRN|AUX|NUL|COM\d|LPT\d)(?:\.|$)", re.IGNORECASE)
_STEM_BYTES = 200  # most disks take 255 with what is added
_COPY = "This is a copy of the schedule as received: flagged cells are filled and have a note; nothing else differs."
_NO_MACROS = "Macros of the original were left out, so that nothing in the copy can run."
_LIST = "The list of all flags is flagged.xlsx."
_ANSWER = (
    "Answer in the decision column of sign-list.xlsx, or in the schedule itself: this list is not read back. To answer "
    "one question for all its rows, filter the column question ids there by the code and fill the decision down."
)
_COLUMNS = (
    Column("severity", 10),
    Column("question", 9),
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
)
_QUESTION_COLUMNS = (
    Column("severity", 10),
    Column("question", 9),
    Column("who decides", 16),
    Column("asked of", 9),
    Column("where", 44),
    Column("what", 60),
    Column("what to do", 50),
    Column("code", 30),
)
_MEANING = {
    Severity.STOP: "the file cannot be read safely; nothing of it is cut",
    Severity.HOLD: "no production file until it is settled",
    Severity.ASK: "a default was taken; a person must confirm it",
    Severity.NOTE: "told, nothing to do",
}


class Flagged:
    """Writes flagged.csv and flagged.xlsx, and marked/<name>.xlsx where a run has several schedules."""

    name = "flagged"

    def render(self, job: Job) -> Iterator[OutFile]:
        questions = ask_questions(job)
        listed = flag_sheet(job, questions)
        yield OutFile("flagged.csv", partial(render_csv, listed.columns, listed.rows))
        lists = (question_sheet(questions), listed)
        inputs = job.schedule.inputs
        if len(inputs) == 1 and _is_workbook(inputs[0]):
            marked = _mark(job, inputs[0], lists)
            if isinstance(marked, Package):
                yield OutFile("flagged.xlsx", marked.chunks)
                return
        remarks, plain = [], []
        taken: set[str] = set()
        for file in inputs:
            marked = _mark(job, file, ()) if _is_workbook(file) else ""
            if isinstance(marked, Package):
                path = _copy_path(file.name, taken)
                yield OutFile(path, marked.chunks)
                remarks.append(f"{file.name}: its flagged cells are marked in {path}.")
            else:
                remarks += [marked] if marked else []
                plain.append(file.name)
        sheets = [*lists, summary_sheet(job, remarks), *plain_sheets(job, plain)]
        title = f"{job.settings.job} revision {job.settings.revision}: flagged"
        yield OutFile("flagged.xlsx", partial(workbook_chunks, sheets, title, job_unit(job)))


def flag_sheet(job: Job, questions: Sequence[Question]) -> Sheet:
    """Every flag of the job, worst first, then in source order."""
    places, labels = Places(job), label_flags(questions)
    ranked = sorted(job.flags, key=lambda flag: -flag.severity.rank)
    rows = Rows(len(ranked), lambda: (_row(flag, labels.get(flag, ""), places) for flag in ranked))
    return Sheet("Flagged", _COLUMNS, rows, _FILLS, repeat=2)


def question_sheet(questions: Sequence[Question]) -> Sheet:
    """Each question once, by who must answer, with everything it was asked of."""
    rows = tuple(
        (
            question.first.severity.value,
            question.label,
            question.who,
            len(question.flags),
            question.where,
            question.what,
            question.first.fix,
            question.first.code,
        )
        for question in questions
    )
    return Sheet("Questions", _QUESTION_COLUMNS, rows, _FILLS)


def _is_workbook(file: InputFile) -> bool:
    return bool(file.data) and file.name.lower().endswith(_WORKBOOKS)


def _mark(job: Job, file: InputFile, lists: Sequence[Sheet]) -> Package | str:
    """The workbook marked, with the lists and the summary as sheets where lists are given; else why not, in words."""
    flags = [flag for flag in job.flags if flag.source and flag.source.file == file.name]
    try:
        remark = _COPY + (f" {_NO_MACROS}" if has_macros(file.data) else "")
        sheets = (*lists, summary_sheet(job, [remark])) if lists else (_about_sheet(remark),)
        return mark_workbook(file.data, flags, sheets, job_unit(job))
    except PackageError as error:
        return f"{file.name} could not be marked in a copy of its own: {error}. Its rows are shown as plain text."


def _about_sheet(remark: str) -> Sheet:
    """What a marked copy without the list says of itself."""
    rows = tuple((severity.value, _MEANING[severity]) for severity in reversed(Severity))
    return Sheet("Flagged", (Column("severity", 10), Column("meaning", 80)), (*rows, ("", remark), ("", _LIST)), _FILLS)


def _copy_path(name: str, taken: set[str]) -> str:
    """marked/<name>.xlsx, unlike every path taken even on a disk that ignores case."""
    stem = _UNSAFE.sub("_", name.rpartition(".")[0]).encode()[:_STEM_BYTES].decode(errors="ignore").strip(". -")
    stem = f"_{stem}" if _DEVICE.match(stem) else stem or "schedule"
    number = 1
    while True:
        path = f"marked/{stem}{f'-{number}' if number > 1 else ''}.xlsx"
        folded = unicodedata.normalize("NFC", unicodedata.normalize("NFC", path).casefold())
        if folded not in taken:
            taken.add(folded)
            return path
        number += 1


def _row(flag: Flag, question: str, places: Places) -> tuple[Value, ...]:
    source = flag.source
    return (
        flag.severity.value,
        question,
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
    )


def summary_sheet(job: Job, remarks: list[str]) -> Sheet:
    """How many flags of each severity, by who decides and by code; the fills are the ones of the marked cells."""
    by_severity = Counter(flag.severity for flag in job.flags)
    by_who = Counter((flag.severity, flag.who or "not said") for flag in job.flags)
    by_code = Counter((flag.severity, flag.code) for flag in job.flags)
    rows: list[tuple[Value, ...]] = [
        (severity.value, "all", by_severity[severity], _MEANING[severity]) for severity in reversed(Severity)
    ]
    for heading, counts in (("decided by ", by_who), ("", by_code)):
        ranked = sorted(counts.items(), key=lambda item: (-item[0][0].rank, -item[1], item[0][1]))
        rows += [(severity.value, f"{heading}{key}", count, "") for (severity, key), count in ranked]
    rows.append(("", "where to answer", "", _ANSWER))
    rows += [("", "about the marked cells", "", remark) for remark in remarks]
    columns = (Column("severity", 10), Column("flags", 40), Column("count", 8), Column("meaning", 52))
    return Sheet("Summary", columns, tuple(rows), _FILLS)
