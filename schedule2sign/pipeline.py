"""Wires the stages, left to right: the file to read first."""

import gc
import hashlib
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

from schedule2sign import __version__
from schedule2sign.braille.linecodes import choose_codes
from schedule2sign.braille.risk import risk_lines
from schedule2sign.braille.translator import Translator
from schedule2sign.desk import MOST_IN_HAND, Desk, make_signs
from schedule2sign.doubts import ask_rows_once
from schedule2sign.errors import InputError
from schedule2sign.intake.reader import read_schedule
from schedule2sign.keeping import is_as_written, read_works
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.flag import Flag
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.schedule import Schedule
from schedule2sign.model.settings import Settings
from schedule2sign.model.sign import Answer, Decision, SignRequest
from schedule2sign.model.source import Source
from schedule2sign.naming.rename import name_rows
from schedule2sign.naming.vocabulary import load_vocabulary
from schedule2sign.output import write_documents
from schedule2sign.production.plan import plan_bench
from schedule2sign.revision.compare import compare_issues
from schedule2sign.revision.holding import hold_again
from schedule2sign.revision.issue import Issue, read_issue, read_sign
from schedule2sign.rules.listing import rules_in_force
from schedule2sign.rules.margins import flag_close
from schedule2sign.rules.waivers import account_waivers, flag_stray_waivers
from schedule2sign.shelf import Shelf
from schedule2sign.signlist.account import count_rows
from schedule2sign.signlist.answers import apply_answers
from schedule2sign.signlist.answersheet import read_answers
from schedule2sign.signlist.decide import decide_signs
from schedule2sign.signlist.rulebook import load_rules
from schedule2sign.signmaker import hold_sign, open_maker
from schedule2sign.workers import Progress, growing
from schedule2sign.writers.commit import Place, replacing, written_sums
from schedule2sign.writers.manifest import list_job, list_sign
from schedule2sign.writers.protocol import SignFiles
from schedule2sign.writers.registry import WRITERS
from schedule2sign.writers.sign_list import SIGN_LIST


def _silent(_stage: str, _done: int, _total: int) -> None:
    return None


def build_job(
    schedules: Sequence[Path],
    settings: Settings,
    *,
    decisions: Sequence[Path] = (),
    since: Issue | None = None,
    earlier: Sequence[Path] = (),
    progress: Progress = _silent,
    workers: int = 1,
) -> Job:
    """Read the schedules and make every sign, in memory; nothing is written.

    Args:
        decisions: sign lists of earlier runs that a person filled in.
        since: the earlier issue to compare with; the bench is then planned for the signs to make again only.
        earlier: output folders of earlier runs, whose work is taken over for signs that are as they were; the job is
            the same without them.
        workers: processes that make the signs of a large job; the job is the same for any number.

    Raises:
        InputError: a file, the job or the machine cannot be used (the message says what to do).
        AccountingError: a row was lost or invented.
    """
    return produce(
        schedules, settings, None, decisions=decisions, since=since, earlier=earlier, progress=progress, workers=workers
    )[0]


def produce(
    schedules: Sequence[Path],
    settings: Settings,
    out: Path | None,
    *,
    decisions: Sequence[Path] = (),
    since: Issue | None = None,
    earlier: Sequence[Path] = (),
    progress: Progress = _silent,
    workers: int = 1,
) -> tuple[Job, str]:
    """`build_job` and, where there is an output folder, `write_job`: who makes a sign draws it while it is in hand.

    Returns:
        The job, and what became of an earlier run that was killed.
    """
    with ExitStack() as stack:

        def place_files() -> Place | None:
            return stack.enter_context(replacing(out)) if out is not None else None

        job, place = _build(schedules, settings, place_files, decisions, since, earlier, progress, workers)
        if place is None:
            return job, ""
        if len(job.signs) > MOST_IN_HAND:
            gc.collect()  # the font, which holds itself: only the making needed it
        write_documents(job, place, WRITERS, earlier, progress, workers)
        return job, place.found


@growing()
def _build(
    schedules: Sequence[Path],
    settings: Settings,
    place_files: Callable[[], Place | None],
    decisions: Sequence[Path],
    since: Issue | None,
    earlier: Sequence[Path],
    progress: Progress,
    workers: int,
) -> tuple[Job, Place | None]:
    """The job, and the place its signs were drawn into.

    Args:
        place_files: opens the place for the production files, when all that was given has been read.
    """
    maker = open_maker(settings)
    settings = maker.settings
    rules = load_rules(settings.wording, settings.rules, maker.templates)
    answers = tuple(answer for path in decisions for answer in _read_answers(path))

    progress("reading", 0, 0)
    schedule = _keep_originals(
        read_schedule(schedules, columns=dict(settings.columns), sheets=settings.sheets), schedules
    )
    named = name_rows(schedule.rows, load_vocabulary(settings), settings)
    sign_list = apply_answers(ask_rows_once(decide_signs(named, settings, rules)), answers)
    coded = tuple(choose_codes(request, settings, frozenset(maker.templates)) for request in sign_list.requests)
    sign_list = replace(sign_list, requests=coded)

    # Before the work is shared out, so that every process knows them.
    lines = _distinct_lines(sign_list.requests, maker.translator)
    progress("looking for unchanged signs", 0, 0)
    few = len(coded) <= MOST_IN_HAND
    shelf = Shelf(keep_open=len(coded)) if few else Shelf()
    shelf.shared.know(lines)
    kept = read_works(earlier, shelf)
    place = place_files()
    desk = Desk(maker, shelf, place, [writer for writer in WRITERS if isinstance(writer, SignFiles)])
    signs = make_signs(desk, sign_list.requests, kept, workers, progress)
    if since is not None:
        signs = _keep_held(signs, since)

    accounting = count_rows(schedule, sign_list, signs)
    of_rules = (
        *flag_stray_waivers(maker.waivers, [sign.request.sign_id for sign in signs]),
        *flag_close([(sign.request.sign_id, sign.work.close) for sign in signs], settings.tolerance_mm),
    )
    flags = (
        *schedule.flags,
        *maker.translator.flags,
        *sign_list.flags,
        *of_rules,
        *_in_source_order(sign_list.decisions, signs),
    )
    found = {sign.request.sign_id: sign.work.findings for sign in signs}
    job = Job(
        settings=settings,
        standard=maker.profile.standard,
        font=maker.typeface.facts,
        engine=maker.translator.engine,
        version=__version__,
        schedule=schedule,
        decisions=sign_list.decisions,
        signs=tuple(signs),
        flags=flags,
        accounting=accounting,
        braille_code=maker.code,
        braille_lines=lines,
        risks=risk_lines(lines),
        unused_answers=sign_list.unused,
        rule_book=rules_in_force(maker.profile),
        waivers=account_waivers(maker.waivers, found, maker.day),
    )
    if since is not None:
        job = replace(job, comparison=compare_issues(since, issue_of(job)))
    progress("planning the bench", 0, 0)
    bench = plan_bench(job, maker.process)
    return replace(job, bench=bench, flags=(*bench.flags, *flags)), place


def issue_of(job: Job) -> Issue:
    """The job as a later one will see it when it is compared."""
    return read_issue(list_job(job), "the manifest of this run")


def write_job(
    job: Job, out: Path, *, earlier: Sequence[Path] = (), progress: Progress = _silent, workers: int = 1
) -> str:
    """Render every document and put the whole output folder in place at once.

    Args:
        earlier: output folders of earlier runs, whose production files are taken over where they would be the same.
        workers: processes that render the files of a large job; the bytes are the same for any number.

    Returns:
        What became of an earlier run that was killed; "" where there was none.

    Raises:
        InputError: the folder cannot be written or holds files that are not ours.
    """
    with replacing(out) as place:
        write_documents(job, place, WRITERS, earlier, progress, workers)
    return place.found


def find_lost_answers(out: Path, decisions: Sequence[Path]) -> Path | None:
    """The sign list in `out` when replacing it would lose a person's answers; None where nothing would be lost.

    Raises:
        InputError: that list cannot be read, or an answer in it makes no sense.
    """
    written, path = written_sums(out).get(SIGN_LIST), out / SIGN_LIST
    if not written or not path.is_file():
        return None
    given = [answer for at in decisions for answer in _read_answers(at)]
    as_written = is_as_written(path, written)
    kept = read_answers(path, as_written=as_written)
    # What an earlier run carried into its list may since have been answered otherwise; what was typed there may not.
    if as_written:
        lost = {answer.about for answer in kept} - {answer.about for answer in given}
    else:
        lost = {answer.said_about for answer in kept} - {answer.said_about for answer in given}
    return path if lost else None


def _read_answers(path: Path) -> tuple[Answer, ...]:
    written = written_sums(path.parent).get(path.name, "")
    return read_answers(path, as_written=is_as_written(path, written))


def _keep_originals(schedule: Schedule, paths: Sequence[Path]) -> Schedule:
    """The schedule with the bytes of its files, for the marked copies."""
    by_name = {path.name: path for path in paths}
    inputs = []
    for file in schedule.inputs:
        try:
            data = by_name[file.name].read_bytes()
        except OSError as error:
            raise InputError(f"{file.name} cannot be read: {error.strerror}.") from error
        if hashlib.sha256(data).hexdigest() != file.sha256:
            raise InputError(f"{file.name} was changed while it was read. Run again when nobody is saving it.")
        inputs.append(replace(file, data=data))
    return replace(schedule, inputs=tuple(inputs))


def _keep_held(signs: Sequence[SignRecord], since: Issue) -> list[SignRecord]:
    """What a person held under another id is held again."""
    released = (read_sign(list_sign(sign)) for sign in signs if sign.status is Status.RELEASED)
    flags = hold_again(since, released)
    return [
        hold_sign(sign, replace(flag, source=sign.request.source))
        if (flag := flags.get(sign.request.sign_id))
        else sign
        for sign in signs
    ]


def _distinct_lines(requests: Iterable[SignRequest], translator: Translator) -> tuple[BrailleLine, ...]:
    """Every line of braille once, whole, in job order."""
    said = dict.fromkeys((message.text, message.code) for request in requests for message in request.messages)
    return tuple(translator.translate(text, code) for text, code in said)


def _in_source_order(decisions: Sequence[Decision], signs: Sequence[SignRecord]) -> tuple[Flag, ...]:
    """Every flag once: a row's own, unless a sign carries it already, with whatever was added to it since."""
    by_id = {sign.request.sign_id: sign for sign in signs}
    said: defaultdict[tuple[str, Source | None], list[str]] = defaultdict(list)
    for sign in signs:
        for flag in sign.flags:
            said[flag.code, flag.source].append(flag.message)
    gathered: list[Flag] = []
    for decision in decisions:
        own = [replace(flag, source=flag.source or decision.row.raw.source) for flag in decision.flags]
        gathered += [
            flag for flag in own if not any(text.startswith(flag.message) for text in said[flag.code, flag.source])
        ]
        gathered += [flag for sign_id in decision.sign_ids for flag in by_id[sign_id].flags]
    return tuple(gathered)
