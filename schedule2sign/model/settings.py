"""What the job file may say. Every value has a default, so a job file is optional."""

from dataclasses import dataclass
from enum import StrEnum

from schedule2sign.model.schedule import Field


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
class Lexicon:
    """The job's own words. Tuples of pairs map what the schedule says to what the sign says.

    Attributes:
        abbreviations: short form -> long form, over the built-in table.
        approved: whole name as given -> approved wording; beats every rule.
        names: proper names (capitalized in braille, never expanded).
        spelled: acronyms said letter by letter.
        spoken: acronyms said as a word.
        words: ordinary words the built-in lexicon lacks.
    """

    abbreviations: tuple[tuple[str, str], ...] = ()
    approved: tuple[tuple[str, str], ...] = ()
    names: tuple[str, ...] = ()
    spelled: tuple[str, ...] = ()
    spoken: tuple[str, ...] = ()
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """One job.

    Attributes:
        job: short id that starts every sign id.
        standard: id of the rule profile.
        braille_code: name of the braille code; "" means the profile's.
        font: file name in templates/fonts or a path the user gave.
        columns: header text the user assigned to a field.
        sheets: sheets to read; () means every visible sheet that holds a table.
        raised_mm: height of the finished characters above the plate.
        side_deg: lean of their walls from upright, half the cutter's included angle.
        base_reflectance, letter_reflectance: light reflectance in percent, None where not declared.
    """

    job: str = "JOB"
    title: str = ""
    revision: str = "0"
    standard: str = "us-ada-2010"
    braille_code: str = ""
    font: str = "Inter-Regular.otf"
    finality: Finality = Finality.UNKNOWN
    suffix: SuffixMeaning = SuffixMeaning.ASK
    wording: Wording = Wording()
    lexicon: Lexicon = Lexicon()
    columns: tuple[tuple[Field, str], ...] = ()
    sheets: tuple[str, ...] = ()
    base_color: str = "charcoal"
    letter_color: str = "white"
    finish: str = "non-glare"
    raised_mm: float = 0.8382  # 0.033 in: 1/32 in sheet and its adhesive film; common practice, no source
    side_deg: float = 15.0
    base_reflectance: float | None = None
    letter_reflectance: float | None = None
