"""Wires the stages, left to right: the file to read first."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from schedule2sign import __version__
from schedule2sign.braille.readback import compare_reading
from schedule2sign.braille.translator import Translator, open_translator
from schedule2sign.errors import InputError
from schedule2sign.geometry.design import design_hash
from schedule2sign.intake.reader import read_schedule
from schedule2sign.layout.arrange import lay_out
from schedule2sign.layout.template import Template, load_templates
from schedule2sign.lettering.typeface import Typeface, load_typeface
from schedule2sign.model.flag import Flag, holds
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.rule import Verdict
from schedule2sign.model.settings import Settings
from schedule2sign.model.shape import Build
from schedule2sign.model.sign import Decision, SignRequest
from schedule2sign.naming.rename import name_rows
from schedule2sign.naming.vocabulary import load_vocabulary
from schedule2sign.resources import templates_folder
from schedule2sign.rules.engine import check_sign, flag_verdicts
from schedule2sign.rules.profile import Profile, load_profile
from schedule2sign.signlist.account import count_rows
from schedule2sign.signlist.decide import decide_signs
from schedule2sign.writers.commit import commit
from schedule2sign.writers.registry import SIGN_FILES, WRITERS

Progress = Callable[[str, int, int], None]


def _silent(_stage: str, _done: int, _total: int) -> None:
    return None


def build_job(schedules: Sequence[Path], settings: Settings, *, progress: Progress = _silent) -> Job:
    """Read the schedules and make every sign, in memory; nothing is written.

    Raises:
        InputError: a file, the job or the machine cannot be used (the message says what to do).
        AccountingError: a row was lost or invented.
    """
    profile = load_profile(settings.standard)
    code = settings.braille_code or profile.drawing.braille_code
    translator = open_translator(code, settings.lexicon)
    setter = load_typeface(find_font(settings.font))
    templates = load_templates(templates_folder() / "signs")

    progress("reading", 0, 0)
    schedule = read_schedule(schedules, columns=dict(settings.columns), sheets=settings.sheets)
    named = name_rows(schedule.rows, load_vocabulary(settings), settings)
    sign_list = decide_signs(named, settings)

    maker = _SignMaker(profile, translator, setter, templates, _declared_build(settings))
    signs = []
    for index, request in enumerate(sign_list.requests, start=1):
        signs.append(maker.make(request))
        progress("laying out signs", index, len(sign_list.requests))

    accounting = count_rows(schedule, sign_list, signs)
    flags = (*schedule.flags, *translator.flags, *sign_list.flags, *_in_source_order(sign_list.decisions, signs))
    return Job(
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
    )


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


def find_font(name: str) -> Path:
    """A font shipped in templates/fonts, or a path the user gave."""
    for path in (templates_folder() / "fonts" / name, Path(name)):
        if path.is_file():
            return path
    shipped = ", ".join(sorted(path.name for path in (templates_folder() / "fonts").glob("*.[ot]tf")))
    raise InputError(f"There is no font {name!r}. Shipped: {shipped}; or give the path of a font file of your own.")


def _declared_build(settings: Settings) -> Build:
    return Build(
        raised_mm=settings.raised_mm,
        side_deg=settings.side_deg,
        dot_shape="domed",
        finish=settings.finish,
        base_color=settings.base_color,
        letter_color=settings.letter_color,
        base_reflectance=settings.base_reflectance,
        letter_reflectance=settings.letter_reflectance,
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
    ) -> None:
        self._profile = profile
        self._translator = translator
        self._setter = setter
        self._templates = templates
        self._build = build

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
            braille = layout.braille
        all_flags = _worst_first(
            replace(flag, sign_id=request.sign_id, source=flag.source or request.source) for flag in found
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


def _worst_first(flags: Iterable[Flag]) -> tuple[Flag, ...]:
    return tuple(sorted(dict.fromkeys(flags), key=lambda flag: -flag.severity.rank))


def _in_source_order(decisions: Sequence[Decision], signs: Sequence[SignRecord]) -> tuple[Flag, ...]:
    """Every flag once: a row's own, unless one of the row's signs carries it already."""
    by_id = {sign.request.sign_id: sign for sign in signs}
    gathered: list[Flag] = []
    for decision in decisions:
        of_signs = [flag for sign_id in decision.sign_ids for flag in by_id[sign_id].flags]
        said = {(flag.code, flag.source, flag.message) for flag in of_signs}
        own = (replace(flag, source=flag.source or decision.row.raw.source) for flag in decision.flags)
        gathered += [flag for flag in own if (flag.code, flag.source, flag.message) not in said]
        gathered += of_signs
    return tuple(gathered)
