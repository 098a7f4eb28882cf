"""report.html: one file that shows the whole job to people, without a network."""

import base64
import hashlib
import html
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from importlib.resources import files
from string import Template
from urllib.parse import quote

from schedule2sign.model.flag import Severity
from schedule2sign.model.job import Job
from schedule2sign.model.outfile import OutFile
from schedule2sign.writers.account import account_lines
from schedule2sign.writers.drawing import ONE_LINE_CAUTION
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.pieces import Earlier, Piece, PieceDocument
from schedule2sign.writers.questions import Question, ask_questions, tally
from schedule2sign.writers.report_changes import LINK, changes_section
from schedule2sign.writers.report_data import report_data
from schedule2sign.writers.text import clean_text
from schedule2sign.writers.words import finality_words

_MOST_QUESTIONS = 300
_OPEN = (Severity.STOP, Severity.HOLD, Severity.ASK)


class Report:
    """Writes report.html."""

    name = "report"

    def render(self, job: Job) -> Iterator[OutFile]:
        return (document.whole() for document in self.documents(job, Marks(job)))

    def documents(self, job: Job, marks: Marks) -> Iterator[PieceDocument]:
        yield PieceDocument("report.html", partial(_pieces, job, marks))


def _pieces(job: Job, marks: Marks, earlier: Earlier) -> Iterator[Piece]:
    """The data goes between two parts as it is made, for it is nearly all of the page."""
    before, after = _asset("report.html").split("$data")
    words = _words(job)
    yield _part(before, words)
    yield from report_data(job, marks, earlier)
    yield _part(after, words)


def _part(template: str, words: dict[str, str]) -> Piece:
    return Piece(Template(template).substitute(words).encode("utf-8", "replace"))


def _words(job: Job) -> dict[str, str]:
    style, script = _asset("report.css"), _asset("report.js")
    settings, questions = job.settings, ask_questions(job)
    return {
        "title": _text(f"{settings.title or settings.job}: signs, revision {settings.revision}"),
        "heading": _text(settings.title or settings.job),
        "job": _text(settings.job),
        "revision": _text(settings.revision),
        "version": _text(job.version),
        "caution": _text(ONE_LINE_CAUTION),
        "finality": _text(finality_words(settings.finality)),
        "tiles": "".join(f"<div><dt>{name}</dt><dd>{count}</dd></div>" for name, count in _tiles(job, questions)),
        "account": "".join(_account_rows(job)),
        "questions": _questions(job, questions),
        "changes": changes_section(job.comparison),
        "changes_link": LINK if job.comparison else "",
        "checked": "".join(f"<dt>{_text(name)}</dt><dd>{_text(value)}</dd>" for name, value in _checked(job)),
        "cautions": "".join(f"<p>{_text(' '.join(part.split()))}</p>" for part in _caution_parts()),
        "style": style,
        "style_hash": _source_hash(style),
        "script": script,
        "script_hash": _source_hash(script),
    }


def _asset(name: str) -> str:
    return files(__package__).joinpath(name).read_text(encoding="utf-8")


def _source_hash(source: str) -> str:
    """The hash by which the page's policy lets this one script or style in (Content Security Policy Level 3, 2.3.1)."""
    return "sha256-" + base64.b64encode(hashlib.sha256(source.encode()).digest()).decode()


def _text(text: str) -> str:
    return html.escape(clean_text(text))


def _tiles(job: Job, questions: Sequence[Question]) -> Iterable[tuple[str, int]]:
    account = job.accounting
    counts = Counter(flag.severity for flag in job.flags)
    return (
        ("rows read", account.rows_read),
        ("data rows", account.data_rows),
        ("signs listed", account.signs_listed),
        ("released", account.signs_released),
        ("held", account.signs_held),
        ("pieces to make", job.comparison.pieces if job.comparison else account.pieces_released),
        ("different designs", account.designs_released),
        ("flags that hold", counts[Severity.HOLD] + counts[Severity.STOP]),
        ("questions", len(questions)),
    )


def _account_rows(job: Job) -> Iterator[str]:
    for count, what in account_lines(job.accounting):
        depth = (len(what) - len(what.lstrip())) // 4
        inset = f' class="in{depth}"' if depth else ""
        yield f"<tr><td>{count}</td><td{inset}>{_text(what.strip())}</td></tr>"


def _questions(job: Job, questions: Sequence[Question]) -> str:
    """Open flags by who can settle them, each count a link to the flags themselves; then each question once."""
    counts = Counter((flag.who, flag.severity) for flag in job.flags if flag.severity in _OPEN)
    if not counts:
        return "<p>No question is open.</p>"
    heads = "".join(f'<th scope="col">{severity.value}</th>' for severity in _OPEN)
    rows = []
    for who in sorted({who for who, _ in counts}):
        cells = "".join(f'<td class="number">{counts[who, severity] or ""}</td>' for severity in _OPEN)
        link = f'<a href="#flags.who=%3D{_address(who)}">{_text(who or "not said")}</a>'
        rows.append(f'<tr><th scope="row">{link}</th>{cells}</tr>')
    return (
        '<table class="questions"><caption class="hidden">Open flags by who decides</caption>'
        f'<thead><tr><th scope="col">Who decides</th>{heads}</tr></thead><tbody>{"".join(rows)}</tbody></table>'
        + _question_table(questions)
    )


def _question_table(questions: Sequence[Question]) -> str:
    """What many rows ask alike stands once, with the number of them."""
    heads = ("No.", "Who decides", "Severity", "Asked of", "Where", "What", "What to do")
    rows = []
    for question in questions[:_MOST_QUESTIONS]:
        flag = question.first
        address = f"#flags.code=%3D{_address(flag.code)}&amp;flags.severity=%3D{_address(flag.severity.value)}"
        cells = (question.who, flag.severity.value, str(len(question.flags)), question.where, question.what, flag.fix)
        shown = "".join(f"<td>{_text(cell)}</td>" for cell in cells)
        rows.append(f'<tr><th scope="row"><a href="{address}">{question.label}</a></th>{shown}</tr>')
    more = len(questions) - _MOST_QUESTIONS
    note = f" {more} more are on the sheet Questions of flagged.xlsx." if more > 0 else ""
    return (
        f"<p>{_text(tally(questions))}.{note}</p>"
        '<div class="scroll" role="region" aria-label="Table of questions" tabindex="0">'
        '<table><caption class="hidden">Questions by who decides, what holds signs first</caption><thead><tr>'
        + "".join(f'<th scope="col">{head}</th>' for head in heads)
        + f"</tr></thead><tbody>{''.join(rows)}</tbody></table></div>"
    )


def _address(text: str) -> str:
    return quote(clean_text(text), safe="", errors="replace")


def _checked(job: Job) -> Iterator[tuple[str, str]]:
    standard = job.standard
    experimental = " EXPERIMENTAL: parts of it were not read in the published text." if standard.experimental else ""
    yield "Rules", f"{standard.title}, {standard.edition} (profile {standard.id}).{experimental}"
    yield "Table of limits", standard.table_date
    yield "Lettering", job.font.name
    yield "Braille", f"{job.engine.name} {job.engine.version}"
    for file in job.schedule.inputs:
        yield "Read", f"{file.name}, {file.size_bytes} bytes, SHA-256 {file.sha256}"


def _caution_parts() -> list[str]:
    return _asset("cautions.txt").removeprefix("CAUTIONS\n").split("\n\n")
