"""Wires the stages, left to right: the file to read first."""

import hashlib
from collections import defaultdict
from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

from schedule2sign import __version__
from schedule2sign.braille.linecodes import choose_codes
from schedule2sign.braille.risk import risk_lines
from schedule2sign.braille.translator import Translator
from schedule2sign.doubts import ask_rows_once
from schedule2sign.errors import InputError
from schedule2sign.intake.reader import read_schedule
from schedule2sign.keeping import KeptFiles, find_files, read_works
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.flag import Flag
from schedule2sign.model.job import Imprint, Job, SignRecord, SignWork, Status
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.schedule import Schedule
from schedule2sign.model.settings import Settings
from schedule2sign.model.sign import Decision, SignRequest
from schedule2sign.model.source import Source
from schedule2sign.naming.rename import name_rows
from schedule2sign.naming.vocabulary import load_vocabulary
from schedule2sign.production.plan import plan_bench
from schedule2sign.revision.compare import compare_issues
from schedule2sign.revision.holding import hold_again
from schedule2sign.revision.issue import Issue, read_issue, read_sign
from schedule2sign.rules.listing import rules_in_force
from schedule2sign.rules.margins import flag_close
from schedule2sign.rules.waivers import account_waivers, flag_stray_waivers
from schedule2sign.shelf import Shelf, put_away
from schedule2sign.signlist.account import count_rows
from schedule2sign.signlist.answers import apply_answers
from schedule2sign.signlist.answersheet import read_answers
from schedule2sign.signlist.decide import decide_signs
from schedule2sign.signlist.rulebook import load_rules
from schedule2sign.signmaker import SignMaker, hold_sign, open_maker
from schedule2sign.workers import growing, scatter, settled
from schedule2sign.writers.commit import Place, Written, replacing, written_sums
from schedule2sign.writers.manifest import describe_job, describe_sign
from schedule2sign.writers.protocol import Drawing, Drawings, InPortions, Portion, SignFiles
from schedule2sign.writers.registry import WRITERS
from schedule2sign.writers.released import production_path
from schedule2sign.writers.sign_list import SIGN_LIST

Progress = Callable[[str, int, int], None]
_MANY_SIGNS = 100  # fewer are made before a second process has started
_MOST_IN_HAND = 6000  # signs whose geometry stays in memory as it was made
_FEW = 32  # signs whose files are written at a time
_GROUP = 16  # signs made at a time: what one process sends another


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

        job, desk = _build(schedules, settings, place_files, decisions, since, earlier, progress, workers)
        if desk.place is None:
            return job, ""
        _write(job, desk.place, desk.drawn, earlier, progress, workers)
        return job, desk.place.found


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
) -> tuple[Job, "_Desk"]:
    """The job, and the desk its signs were made at.

    Args:
        place_files: opens the place for the production files, when all that was given has been read.
    """
    maker = open_maker(settings)
    settings = maker.settings
    rules = load_rules(settings.wording, settings.rules, maker.templates)
    answers = tuple(answer for path in decisions for answer in read_answers(path))

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
    few = len(coded) <= _MOST_IN_HAND
    shelf = Shelf(keep_open=len(coded)) if few else Shelf()
    shelf.know(lines)
    kept = read_works(earlier, maker.fingerprint, shelf)
    desk = _Desk(maker, shelf, place_files())
    signs = _make_signs(desk, sign_list.requests, kept, workers, progress)
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
    return replace(job, bench=bench, flags=(*bench.flags, *flags)), desk


def issue_of(job: Job) -> Issue:
    """The job as a later one will see it when it is compared."""
    return read_issue(describe_job(job), "the manifest of this run")


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
        _write(job, place, {}, earlier, progress, workers)
    return place.found


@growing()
def _write(
    job: Job, place: Place, drawn: Mapping[str, Written], earlier: Sequence[Path], progress: Progress, workers: int
) -> None:
    """Every document into its place, but for what is drawn already; of that only what the job releases."""
    released = {path for record in job.signs for path in record.files}
    for path, written in drawn.items():
        if path in released:
            place.add(written)
        else:
            place.take_back(written)
    kept = find_files(earlier)
    with settled():
        portions = list(_portions(job, kept, drawn))
        hands = workers if len(job.signs) >= _MANY_SIGNS else 1
        # Who renders a file writes it: nothing that long goes from one process to another.
        done = scatter(lambda index: [place.put(file) for file in portions[index]()], len(portions), hands)
        for count, (_, files) in enumerate(done, start=1):
            for file in files:
                place.add(file)
            progress("writing", count, len(portions))


def find_lost_answers(out: Path, decisions: Sequence[Path]) -> Path | None:
    """The sign list in `out` when replacing it would lose a person's answers; None where nothing would be lost.

    Raises:
        InputError: that list cannot be read, or an answer in it makes no sense.
    """
    written, path = written_sums(out).get(SIGN_LIST), out / SIGN_LIST
    if not written or not path.is_file():
        return None
    given = [answer for at in decisions for answer in read_answers(at)]
    kept = read_answers(path)
    # What an earlier run carried into its list may since have been answered otherwise; what was typed there may not.
    if hashlib.sha256(path.read_bytes()).hexdigest() == written:
        lost = {answer.about for answer in kept} - {answer.about for answer in given}
    else:
        lost = {answer.said_about for answer in kept} - {answer.said_about for answer in given}
    return path if lost else None


@dataclass(frozen=True, slots=True)
class _Desk:
    """Where signs are made, put away and, where the place for their files is known, drawn at once."""

    maker: SignMaker
    shelf: Shelf
    place: Place | None
    drawn: dict[str, Written] = field(default_factory=dict)

    def make(self, requests: Sequence[SignRequest]) -> tuple[list[SignRecord], list[Written]]:
        records = [self.maker.make(request) for request in requests]
        if self.place is None:
            return records, []
        imprint = self.maker.imprint
        files = (file for writer in WRITERS if isinstance(writer, SignFiles) for file in writer.draw(records, imprint))
        return records, [self.place.put(file) for file in files]

    def make_away(
        self, requests: Sequence[SignRequest]
    ) -> tuple[list[SignRecord], list[Written], list[bytes], dict[str, str]]:
        """The same for another process: geometry as texts."""
        records, drawn = self.make(requests)
        # Each process tells once what it found to be common.
        texts, common = put_away((record.work.holder for record in records), self.shelf.common)
        bare = [replace(record, work=replace(record.work, holder=None)) for record in records]
        return bare, drawn, texts, common

    def take_in(
        self, records: Sequence[SignRecord], texts: Sequence[bytes], common: Mapping[str, str]
    ) -> list[SignRecord]:
        """Signs that were made away."""
        self.shelf.common.texts.update(common)
        places = iter([self.shelf.put(text) for text in texts])
        holders = [next(places) if record.work.plate is not None else None for record in records]
        return [
            replace(record, work=self.shelf.share(replace(record.work, holder=holder)))
            for record, holder in zip(records, holders, strict=True)
        ]


def _make_signs(
    desk: _Desk, requests: Sequence[SignRequest], kept: Mapping[str, SignWork], workers: int, progress: Progress
) -> list[SignRecord]:
    """Every sign, in the order of the requests; what was kept is put in its place here, the rest is shared out."""
    maker = desk.maker
    found = ((at, kept.get(maker.key(one))) for at, one in enumerate(requests if kept else ()))
    made = {at: maker.finish(requests[at], maker.take_over(work)) for at, work in found if work is not None}
    if made:
        progress("taking over unchanged signs", len(made), len(made))
    new = [at for at in range(len(requests)) if at not in made]
    groups = [new[first : first + _GROUP] for first in range(0, len(new), _GROUP)]
    hands = workers if len(new) >= _MANY_SIGNS and len(groups) > 1 else 1
    if hands == 1 and len(new) <= _MOST_IN_HAND:
        for group in groups:
            records, drawn = desk.make([requests[at] for at in group])
            made.update(zip(group, records, strict=True))
            desk.drawn.update((file.path, file) for file in drawn)
            progress("laying out signs", len(made), len(requests))
    else:
        away = scatter(lambda index: desk.make_away([requests[at] for at in groups[index]]), len(groups), hands)
        for index, (records, drawn, texts, common) in away:
            made.update(zip(groups[index], desk.take_in(records, texts, common), strict=True))
            desk.drawn.update((file.path, file) for file in drawn)
            progress("laying out signs", len(made), len(requests))
    return [made[at] for at in range(len(requests))]


def _portions(job: Job, kept: KeptFiles, drawn: Container[str]) -> Iterator[Portion]:
    """What is rendered, in pieces that can be rendered at the same time."""
    of_signs: list[SignFiles] = []
    for writer in WRITERS:
        if isinstance(writer, SignFiles):
            of_signs.append(writer)
        elif isinstance(writer, Drawings):
            yield from (partial(_write_drawing, drawing, kept) for drawing in writer.drawings(job))
        elif isinstance(writer, InPortions):
            yield from writer.portions(job)
        else:
            yield partial(writer.render, job)
    # Who has fetched the geometry of some signs draws all their files.
    left = [record for record in job.signs if record.files and not all(path in drawn for path in record.files)]
    for first in range(0, len(left), _FEW):
        yield partial(_write_signs, of_signs, left[first : first + _FEW], job.imprint, kept)


def _write_drawing(drawing: Drawing, kept: KeptFiles) -> Iterator[OutFile]:
    data = kept.take(drawing.path, drawing.recipe)
    yield OutFile(drawing.path, data) if data is not None else drawing.render()


def _write_signs(
    writers: Sequence[SignFiles], records: Sequence[SignRecord], imprint: Imprint, kept: KeptFiles
) -> Iterator[OutFile]:
    """The files of some released signs: those that would be the same are taken over, the others drawn."""
    for writer in writers:
        left = []
        for record in records:
            path = production_path(record, writer.suffix)
            data = kept.take(path, writer.recipe(record, imprint))
            if data is None:
                left.append(record)
            else:
                yield OutFile(path, data)
        yield from writer.draw(left, imprint)


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
    released = [read_sign(describe_sign(sign, 0.0, None)) for sign in signs if sign.status is Status.RELEASED]
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
