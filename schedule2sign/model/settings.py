"""What the job file may say. Every value has a default, so a job file is optional."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from schedule2sign.model.schedule import Field

ProcessValue = str | bool | int | float
RuleTable = tuple[tuple[str, str | bool | tuple[str, ...]], ...]


class Finality(StrEnum):
    """Whether the numbers in the schedule are the ones on the finished building."""

    FINAL = "final"
    NOT_FINAL = "not final"
    UNKNOWN = "unknown"


class SuffixMeaning(StrEnum):
    """What 121A is: a second door of room 121, a room inside it, or not known."""

    DOOR = "door"
    INNER_ROOM = "inner-room"
    ASK = "ask"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """The job's words for things a schedule names in many ways."""

    men: str = "MEN"
    women: str = "WOMEN"
    single_toilet: str = "RESTROOM"
    family_toilet: str = "FAMILY RESTROOM"
    staff_toilet: str = "STAFF RESTROOM"
    stair: str = "STAIR"
    level: str = "LEVEL"
    ampersand: str = "AND"
    janitor: str = "JANITOR"


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedTerm:
    """A term or a whole line a transcriber looked at and signed; it is not asked again.

    Attributes:
        term: as it is raised.
        written: with the capitals it has in braille; "" means as raised.
        take_as: the lexicon list it belongs to ("names", "spelled", "spoken", "words"), or "line".
        stands_in: the word between two spaces its braille covers, where that is more than the term.
        braille: what was signed, in ASCII braille.
        code: braille code it was signed in, "" for the job's own.
        by: initials.
        on: date.
    """

    term: str
    take_as: str
    braille: str
    by: str
    on: str
    written: str = ""
    stands_in: str = ""
    code: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lexicon:
    """The job's own words. Tuples of pairs map what the schedule says to what the sign says.

    Attributes:
        abbreviations: short form -> long form, over the built-in table.
        approved: whole name as given -> approved wording; beats every rule.
        names: proper names (capitalized in braille, never expanded).
        spelled: acronyms said letter by letter.
        spoken: acronyms said as a word.
        words: ordinary words the built-in lexicon lacks.
        checked: terms a transcriber signed, with who and when.
        signed: signed braille-check sheets, paths; their rows count as `checked`.
    """

    abbreviations: tuple[tuple[str, str], ...] = ()
    approved: tuple[tuple[str, str], ...] = ()
    names: tuple[str, ...] = ()
    spelled: tuple[str, ...] = ()
    spoken: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    checked: tuple[CheckedTerm, ...] = ()
    signed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """One job.

    Attributes:
        job: short id that starts every sign id.
        standard: id of the rule profile.
        braille_code: name of the braille code; "" means the profile's.
        braille_size: name of the braille size; "" means the profile's.
        line_codes: a raised line, or a role such as "number", and the braille code it is in.
        second_language: braille code of the second language of bilingual signs, "" for none.
        second_names: a name as raised and its wording in the second language.
        font: file name in templates/fonts or a path the user gave.
        templates: a shipped family of sign templates ("signs", "signs-framed") or a folder of the user's own.
        columns: header text the user assigned to a field.
        sheets: sheets to read; () means every visible sheet that holds a table.
        raised_mm: height of the finished characters above the plate; None means what the process gives.
        side_deg: lean of their walls from upright; None means what the process's cutter gives, half its angle.
        base_reflectance, letter_reflectance: light reflectance in percent, None where not declared.
        rules: decision rules of the job's own, each a table of keys and values.
        process: name of a shipped process profile or a path the user gave.
        process_values: the job's own numbers over the profile's, each by its dotted key.
        tolerance_mm: error of the process on any finished length, each way; values closer to the end of a range are noted.
        plate_top_mm: height of every plate's top edge above the floor, None where the job does not fix it.
        viewing_mm: distance the signs are read from, None where not declared.
        waivers: path of the job's waiver file, "" for none.
        discharge_level: the level of exit discharge, "" where nobody said.
        day: the day of the run that waivers are judged by, None where nobody said.
        page_per_floor: every page of the proof book that shows a floor's signs names the floor in its head.
    """

    job: str = "JOB"
    title: str = ""
    revision: str = "0"
    standard: str = "us-ada-2010"
    braille_code: str = ""
    line_codes: tuple[tuple[str, str], ...] = ()
    braille_size: str = ""
    second_language: str = ""
    second_names: tuple[tuple[str, str], ...] = ()
    font: str = "Inter-Regular.otf"
    templates: str = "signs"
    finality: Finality = Finality.UNKNOWN
    suffix: SuffixMeaning = SuffixMeaning.ASK
    wording: Wording = Wording()
    lexicon: Lexicon = Lexicon()
    columns: tuple[tuple[Field, str], ...] = ()
    sheets: tuple[str, ...] = ()
    rules: tuple[RuleTable, ...] = ()
    base_color: str = "charcoal"
    letter_color: str = "white"
    finish: str = "non-glare"
    raised_mm: float | None = None
    side_deg: float | None = None
    base_reflectance: float | None = None
    letter_reflectance: float | None = None
    process: str = "applique-rotary"
    process_values: tuple[tuple[str, ProcessValue], ...] = ()
    tolerance_mm: float = 0.0508  # 0.002 in: a house value, no source
    plate_top_mm: float | None = None
    viewing_mm: float | None = None
    waivers: str = ""
    discharge_level: str = ""
    day: date | None = None
    page_per_floor: bool = False
