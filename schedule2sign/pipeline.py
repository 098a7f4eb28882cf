"""Wires the stages, left to right: the file to read first."""

import hashlib
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from schedule2sign import __version__
from schedule2sign.braille.linecodes import choose_codes
from schedule2sign.braille.readback import compare_reading
from schedule2sign.braille.risk import risk_lines
from schedule2sign.braille.signoff import take_signed
from schedule2sign.braille.sizes import find_size
from schedule2sign.braille.translator import Translator, open_translator
from schedule2sign.doubts import ask_once, ask_rows_once
from schedule2sign.errors import InputError
from schedule2sign.geometry.design import design_hash
from schedule2sign.intake.reader import read_schedule
from schedule2sign.layout.arrange import lay_out
from schedule2sign.layout.template import Template, load_templates
from schedule2sign.lettering.typeface import Typeface, load_typeface
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.flag import Flag, holds
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.process import Process
from schedule2sign.model.rule import Verdict, Waiver
from schedule2sign.model.schedule import Schedule
from schedule2sign.model.settings import Settings
from schedule2sign.model.shape import Build
from schedule2sign.model.sign import Decision, SignRequest
from schedule2sign.model.source import Source
from schedule2sign.naming.rename import name_rows
from schedule2sign.naming.vocabulary import load_vocabulary
from schedule2sign.production.cutwidth import plan_cut
from schedule2sign.production.keys import nest_keys
from schedule2sign.production.machining import raised_height_mm
from schedule2sign.production.plan import check_for_bench, plan_bench
from schedule2sign.production.process import load_process
from schedule2sign.resources import templates_folder
from schedule2sign.revision.issue import Issue, read_issue
from schedule2sign.rules.engine import check_sign, flag_verdicts
from schedule2sign.rules.listing import rules_in_force
from schedule2sign.rules.margins import flag_close
from schedule2sign.rules.profile import Profile, load_profile, profile_ids
from schedule2sign.rules.waivers import (
    account_waivers,
    apply_waivers,
    finding_codes,
    flag_stray_waivers,
    load_waivers,
)
from schedule2sign.signlist.account import count_rows
from schedule2sign.signlist.answers import apply_answers
from schedule2sign.signlist.answersheet import read_answers
from schedule2sign.signlist.decide import decide_signs
from schedule2sign.signlist.rulebook import load_rules
from schedule2sign.signlist.settling import settle_later
from schedule2sign.writers.commit import commit, written_sum
from schedule2sign.writers.manifest import describe_job
from schedule2sign.writers.registry import SIGN_FILES, WRITERS
from schedule2sign.writers.sign_list import SIGN_LIST

Progress = Callable[[str, int, int], None]


def _silent(_stage: str, _done: int, _total: int) -> None:
    return None


def build_job(
    schedules: Sequence[Path], settings: Settings, *, decisions: Sequence[Path] = (), progress: Progress = _silent
) -> Job:
    """Read the schedules and make every sign, in memory; nothing is written.

    Args:
        decisions: sign lists of earlier runs that a person filled in.

    Raises:
        InputError: a file, the job or the machine cannot be used (the message says what to do).
        AccountingError: a row was lost or invented.
    """
    profile = _load_profile(settings)
    code = settings.braille_code or profile.drawing.braille_code
    settings = replace(settings, lexicon=take_signed(settings.lexicon))
    translator = open_translator(code, settings.lexicon)
    setter = load_typeface(find_font(settings.font))
    templates = find_templates(settings)
    process = load_process(settings.process, nest_keys(settings.process_values))
    rules = load_rules(settings.wording, settings.rules, templates)
    answers = tuple(answer for path in decisions for answer in read_answers(path))

    progress("reading", 0, 0)
    schedule = _keep_originals(
        read_schedule(schedules, columns=dict(settings.columns), sheets=settings.sheets), schedules
    )
    named = name_rows(schedule.rows, load_vocabulary(settings), settings)
    sign_list = apply_answers(ask_rows_once(decide_signs(named, settings, rules)), answers)
    coded = tuple(choose_codes(request, settings, frozenset(templates)) for request in sign_list.requests)
    sign_list = replace(sign_list, requests=coded)

    waivers, day = _given_waivers(settings)
    build = _declared_build(settings, process)
    maker = _SignMaker(profile, translator, setter, templates, build, process, waivers, day)
    signs: list[SignRecord] = []
    for index, request in enumerate(sign_list.requests, start=1):
        signs.append(maker.make(request))
        progress("laying out signs", index, len(sign_list.requests))

    lines = _distinct_lines(sign_list.requests, translator)
    accounting = count_rows(schedule, sign_list, signs)
    of_rules = (
        *flag_stray_waivers(waivers, [sign.request.sign_id for sign in signs]),
        *flag_close([(sign.request.sign_id, sign.verdicts) for sign in signs], settings.tolerance_mm),
    )
    flags = (
        *schedule.flags,
        *translator.flags,
        *sign_list.flags,
        *of_rules,
        *_in_source_order(sign_list.decisions, signs),
    )
    job = Job(
        settings=settings,
        standard=profile.standard,
        font=setter.facts,
        engine=translator.engine,
        version=__version__,
        schedule=schedule,
        decisions=sign_list.decisions,
        signs=tuple(signs),
        flags=flags,
        accounting=accounting,
        braille_code=code,
        braille_lines=lines,
        risks=risk_lines(lines),
        unused_answers=sign_list.unused,
        rule_book=rules_in_force(profile),
        waivers=account_waivers(waivers, {sign.request.sign_id: finding_codes(sign.verdicts) for sign in signs}, day),
    )
    progress("planning the bench", 0, 0)
    bench = plan_bench(job, process)
    return replace(job, bench=bench, flags=(*bench.flags, *flags))


def issue_of(job: Job) -> Issue:
    """The job as a later one will see it when it is compared."""
    return read_issue(describe_job(job), "the manifest of this run")


def write_job(job: Job, out: Path, *, progress: Progress = _silent) -> None:
    """Render every document and put the whole output folder in place at once.

    Raises:
        InputError: the folder cannot be written or holds files that are not ours.
    """

    def render() -> Iterable[OutFile]:
        for index, writer in enumerate(WRITERS, start=1):
            yield from writer.render(job)
            progress("writing", index, len(WRITERS))

    commit(render(), out)


def find_lost_answers(out: Path, decisions: Sequence[Path]) -> Path | None:
    """The sign list in `out` when replacing it would lose a person's answers; None where nothing would be lost.

    Raises:
        InputError: that list cannot be read, or an answer in it makes no sense.
    """
    written, path = written_sum(out, SIGN_LIST), out / SIGN_LIST
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


def make_samples(requests: Sequence[SignRequest], settings: Settings) -> tuple[SignRecord, ...]:
    """Signs made for a look, outside any schedule.

    Raises:
        InputError: the job or the machine cannot be used (the message says what to do).
    """
    profile = _load_profile(settings)
    process = load_process(settings.process, nest_keys(settings.process_values))
    maker = _SignMaker(
        profile,
        open_translator(settings.braille_code or profile.drawing.braille_code, take_signed(settings.lexicon)),
        load_typeface(find_font(settings.font)),
        find_templates(settings),
        _declared_build(settings, process),
        process,
    )
    return tuple(maker.make(request) for request in requests)


def find_templates(settings: Settings) -> dict[str, Template]:
    """The job's sign templates: a shipped family, or the user's folder over the shipped one.

    Raises:
        InputError: there is no such family, or a template has a mistake (file and line).
    """
    families = {path.parent.name: path.parent for path in templates_folder().glob("*/style.toml")}
    folder = families.get(settings.templates, Path(settings.templates))
    if not folder.is_dir():
        raise InputError(
            f"There is no family of sign templates {settings.templates!r}. Shipped: {', '.join(sorted(families))}; "
            "or give a folder of your own ([make] templates in the job file)."
        )
    return load_templates(
        folder, family=templates_folder() / "signs", standard=settings.standard, standards=profile_ids()
    )


def cut_width_mm(settings: Settings) -> float:
    """Width at the face of the groove the job's process cuts around its letters."""
    process = load_process(settings.process, nest_keys(settings.process_values))
    return plan_cut(process.letter_cutter, process.letter_cut).width_mm


def find_font(name: str) -> Path:
    """A font shipped in templates/fonts, or a path the user gave."""
    for path in (templates_folder() / "fonts" / name, Path(name)):
        if path.is_file():
            return path
    shipped = ", ".join(sorted(path.name for path in (templates_folder() / "fonts").glob("*.[ot]tf")))
    raise InputError(f"There is no font {name!r}. Shipped: {shipped}; or give the path of a font file of your own.")


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


def _given_waivers(settings: Settings) -> tuple[tuple[Waiver, ...], date]:
    """The job's waivers, and the day they are judged by."""
    if not settings.waivers:
        return (), date.min
    if settings.day is None:
        raise InputError("Waivers run out, so the day must be known: give checks.date in the job file, or --today.")
    return load_waivers(Path(settings.waivers)), settings.day


def _load_profile(settings: Settings) -> Profile:
    """The standard, drawn with the job's own braille size where it names one."""
    profile = load_profile(settings.standard)
    if not settings.braille_size:
        return profile
    return replace(profile, drawing=replace(profile.drawing, cell_size=find_size(settings.braille_size)))


def _declared_build(settings: Settings, process: Process) -> Build:
    """As the job says; where it says nothing, as the process will make it."""
    return Build(
        raised_mm=raised_height_mm(process) if settings.raised_mm is None else settings.raised_mm,
        side_deg=process.letter_cutter.included_angle_deg / 2 if settings.side_deg is None else settings.side_deg,
        dot_shape="domed",
        finish=settings.finish,
        base_color=settings.base_color,
        letter_color=settings.letter_color,
        base_reflectance=settings.base_reflectance,
        letter_reflectance=settings.letter_reflectance,
        top_mm=settings.plate_top_mm,
        viewing_mm=settings.viewing_mm,
    )


class _SignMaker:
    """Takes one request through braille, layout, read-back and rules."""

    def __init__(
        self,
        profile: Profile,
        translator: Translator,
        setter: Typeface,
        templates: dict[str, Template],
        build: Build,
        process: Process,
        waivers: tuple[Waiver, ...] = (),
        day: date = date.min,
    ) -> None:
        self._waivers = waivers
        self._day = day
        self._profile = profile
        self._translator = translator
        self._setter = setter
        self._templates = templates
        self._build = build
        self._process = process

    def make(self, request: SignRequest) -> SignRecord:
        """One sign, released or held; what could not be made is held with the reason."""
        braille = tuple(self._translator.translate(message.text, message.code) for message in request.messages)
        template = self._templates[request.template]
        layout, flags = lay_out(request, braille, template, self._setter, self._profile.drawing, self._build)
        found = [*request.flags, *(flag for line in braille for flag in line.flags), *flags]
        verdicts: tuple[Verdict, ...] = ()
        if layout is not None:
            found += layout.flags
            verdicts = check_sign(layout, self._profile)
            found += flag_verdicts(layout, verdicts)
            found += compare_reading(layout.dots, tuple(line.cells for line in layout.braille), layout.cell_size)
            found += check_for_bench(layout, self._process)
            braille = layout.braille
        found = list(apply_waivers(request.sign_id, found, self._waivers, self._day))
        all_flags = _worst_first(
            replace(flag, sign_id=request.sign_id, source=flag.source or request.source)
            for flag in ask_once(settle_later(request, found))
        )
        released = layout is not None and not holds(all_flags)
        return SignRecord(
            request=request,
            braille=braille,
            layout=layout,
            verdicts=verdicts,
            flags=all_flags,
            status=Status.RELEASED if released else Status.HELD,
            design=design_hash(layout) if layout is not None else "",
            files=tuple(pattern.format(id=request.sign_id) for pattern in SIGN_FILES) if released else (),
        )


def _distinct_lines(requests: Iterable[SignRequest], translator: Translator) -> tuple[BrailleLine, ...]:
    """Every line of braille once, whole, in job order."""
    said = dict.fromkeys((message.text, message.code) for request in requests for message in request.messages)
    return tuple(translator.translate(text, code) for text, code in said)


def _worst_first(flags: Iterable[Flag]) -> tuple[Flag, ...]:
    return tuple(sorted(dict.fromkeys(flags), key=lambda flag: -flag.severity.rank))


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
