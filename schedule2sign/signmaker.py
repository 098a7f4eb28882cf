"""Takes one request through braille, layout, read-back and rules to a sign that is released or held."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from operator import attrgetter
from pathlib import Path
from typing import Any

from schedule2sign import __version__
from schedule2sign.braille.readback import compare_reading
from schedule2sign.braille.signoff import take_signed
from schedule2sign.braille.sizes import find_size
from schedule2sign.braille.translator import Translator, open_translator
from schedule2sign.doubts import ask_once
from schedule2sign.errors import InputError
from schedule2sign.fingerprint import digest_of, program_digest
from schedule2sign.geometry.design import design_hash
from schedule2sign.layout.arrange import lay_out
from schedule2sign.layout.template import Template, load_templates
from schedule2sign.lettering.typeface import Typeface, load_typeface
from schedule2sign.model.bench import BenchSetup
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.flag import Flag, holds
from schedule2sign.model.job import Imprint, InHand, MadeSign, SignRecord, SignWork, Status
from schedule2sign.model.process import Process
from schedule2sign.model.rule import Waiver
from schedule2sign.model.settings import Settings
from schedule2sign.model.shape import Build
from schedule2sign.model.sign import SignRequest
from schedule2sign.model.source import Source
from schedule2sign.production.cutwidth import plan_cut
from schedule2sign.production.drilling import drill_rows
from schedule2sign.production.keys import nest_keys
from schedule2sign.production.machining import raised_height_mm
from schedule2sign.production.plate import describe_plate
from schedule2sign.production.process import load_process
from schedule2sign.production.signplan import check_for_bench, plan_sign, study_sign
from schedule2sign.resources import templates_folder
from schedule2sign.rules.engine import check_sign, flag_verdicts
from schedule2sign.rules.margins import find_close
from schedule2sign.rules.profile import Profile, load_profile, profile_ids
from schedule2sign.rules.waivers import apply_waivers, finding_codes, load_waivers
from schedule2sign.signlist.settling import settle_later
from schedule2sign.writers.registry import SIGN_FILES

_NOWHERE = Source(file="", sheet="", row=0)
# What only says where a request comes from: nothing the sign is made of.
_ORIGIN: Mapping[str, Any] = {
    "source": _NOWHERE,
    "name_as_given": "",
    "number_as_given": "",
    "rule": "",
    "reason": "",
    "changes": (),
    "flags": (),
    "answers": (),
}
_made_of = attrgetter(*(field.name for field in fields(SignRequest) if field.name not in _ORIGIN))


@dataclass(frozen=True, slots=True, kw_only=True)
class SignMaker:
    """Everything a job's signs are made with.

    Attributes:
        code: the braille code of lines that name none.
        waivers, day: the job's waivers and the day they are judged by.
        fingerprint: of all that every sign of the job is made with, and of the program.
        template_digests: of each template, by name.
    """

    settings: Settings
    profile: Profile
    code: str
    translator: Translator
    typeface: Typeface
    templates: dict[str, Template]
    process: Process
    bench: BenchSetup
    build: Build
    waivers: tuple[Waiver, ...] = ()
    day: date = date.min
    fingerprint: str
    template_digests: Mapping[str, str]

    def make(self, request: SignRequest) -> SignRecord:
        """One sign, released or held; what could not be made is held with the reason."""
        return self.finish(request, self.work(request))

    @property
    def imprint(self) -> Imprint:
        """What all drawings of the job say."""
        return Imprint(version=__version__, revision=self.settings.revision, bench=self.bench)

    def key(self, request: SignRequest) -> str:
        """Hash of all the sign's work is made from."""
        return self._key(request, self._translate(request))

    def work(self, request: SignRequest) -> SignWork:
        """The sign laid out, read back, judged and planned: all that takes time."""
        content, braille = replace(request, **_ORIGIN), self._translate(request)
        key, template = self._key(request, braille), self.templates[request.template]
        layout, flags = lay_out(content, braille, template, self.typeface, self.profile.drawing, self.build)
        found = [*(flag for line in braille for flag in line.flags), *flags]
        if layout is None:
            return SignWork(key=key, made_with=self.fingerprint, flags=tuple(found), design="", braille=braille)
        found += layout.flags
        verdicts = check_sign(layout, self.profile)
        found += flag_verdicts(layout, verdicts)
        found += compare_reading(layout.dots, tuple(line.cells for line in layout.braille), layout.cell_size)
        study = study_sign(layout, self.process)
        found += check_for_bench(layout, self.process, study)
        cut, cutting = (None, None) if holds(tuple(found)) else plan_sign(layout, self.process, study)
        made = MadeSign(layout=layout, verdicts=verdicts, cut=cut, cutting=cutting, drilled=drill_rows(layout.dots))
        return SignWork(
            key=key,
            made_with=self.fingerprint,
            flags=tuple(found),
            design=design_hash(layout),
            braille=layout.braille,
            plate=describe_plate(layout, self.process),
            planned=cut is not None,
            findings=finding_codes(verdicts),
            tolerance_mm=self.settings.tolerance_mm,
            close=find_close(verdicts, self.settings.tolerance_mm),
            holder=InHand(made=made),
        )

    def take_over(self, work: SignWork) -> SignWork:
        """The work of an earlier run, as this one would have made it."""
        tolerance_mm = self.settings.tolerance_mm
        if work.holder is None or work.tolerance_mm == tolerance_mm:
            return work
        return replace(work, tolerance_mm=tolerance_mm, close=find_close(work.holder.open().verdicts, tolerance_mm))

    def finish(self, request: SignRequest, work: SignWork) -> SignRecord:
        """The work put in its place in the schedule: waivers and answers applied, released or held."""
        found = (*request.flags, *(_placed(flag, request) for flag in work.flags))
        flags = _worst_first(
            _placed(flag, request)
            for flag in ask_once(settle_later(request, apply_waivers(request.sign_id, found, self.waivers, self.day)))
        )
        released = work.plate is not None and not holds(flags)
        if released and not work.planned:  # a person let pass what held it
            work = self._plan(work)
        return SignRecord(
            request=request,
            work=work,
            flags=flags,
            status=Status.RELEASED if released else Status.HELD,
            drawn_as=SIGN_FILES if released else (),
        )

    def _plan(self, work: SignWork) -> SignWork:
        if work.holder is None:
            raise ValueError("a sign without a layout is released")
        was = work.holder.open()
        cut, cutting = plan_sign(was.layout, self.process)
        made = MadeSign(layout=was.layout, verdicts=was.verdicts, cut=cut, cutting=cutting, drilled=was.drilled)
        return replace(work, planned=True, holder=InHand(made=made))

    def _translate(self, request: SignRequest) -> tuple[BrailleLine, ...]:
        return tuple(self.translator.translate(message.text, message.code) for message in request.messages)

    def _key(self, request: SignRequest, braille: tuple[BrailleLine, ...]) -> str:
        return digest_of(self.fingerprint, self.template_digests[request.template], _made_of(request), braille)


def hold_sign(record: SignRecord, flag: Flag) -> SignRecord:
    """The sign with one more flag, which holds it: without production files."""
    return replace(record, flags=_worst_first((flag, *record.flags)), status=Status.HELD, drawn_as=())


def make_samples(requests: Sequence[SignRequest], settings: Settings) -> tuple[SignRecord, ...]:
    """Signs made for a look, outside any schedule.

    Raises:
        InputError: the job or the machine cannot be used (the message says what to do).
    """
    maker = open_maker(replace(settings, waivers=""))
    return tuple(maker.make(request) for request in requests)


def open_maker(settings: Settings) -> SignMaker:
    """Load the standard, braille tables, font, templates, process and waivers of a job.

    Raises:
        InputError: one of them cannot be used (the message says what to do).
    """
    settings = replace(settings, lexicon=take_signed(settings.lexicon))
    profile = _load_profile(settings)
    code = settings.braille_code or profile.drawing.braille_code
    process = load_process(settings.process, nest_keys(settings.process_values))
    waivers, day = _given_waivers(settings)
    typeface = load_typeface(find_font(settings.font))
    templates, build = find_templates(settings), _declared_build(settings, process)
    return SignMaker(
        settings=settings,
        profile=profile,
        code=code,
        translator=open_translator(code, settings.lexicon),
        typeface=typeface,
        templates=templates,
        process=process,
        bench=BenchSetup(process=process, cut=plan_cut(process.letter_cutter, process.letter_cut)),
        build=build,
        waivers=waivers,
        day=day,
        fingerprint=digest_of(program_digest(), profile, typeface.facts, process, build),
        template_digests={name: digest_of(template) for name, template in templates.items()},
    )


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


def _placed(flag: Flag, request: SignRequest) -> Flag:
    """The flag with the sign's id, and the sign's place in the schedule where it has none of its own."""
    source = request.source if flag.source in (None, _NOWHERE) else flag.source
    return replace(flag, sign_id=request.sign_id, source=source)


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


def _worst_first(flags: Iterable[Flag]) -> tuple[Flag, ...]:
    return tuple(sorted(dict.fromkeys(flags), key=lambda flag: -flag.severity.rank))
