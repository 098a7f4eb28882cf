"""Braille as cells, and the sizes that turn cells into dots."""

from dataclasses import dataclass
from enum import StrEnum

from schedule2sign.model.flag import Flag


class TokenKind(StrEnum):
    """What a word of a raised line is; it decides capitals (ADA 703.3.1) and contraction (UEB 10.12)."""

    WORD = "common word"
    NAME = "proper name"
    SPELLED = "acronym said by letters"
    SPOKEN = "acronym said as a word"
    LETTER = "single letter"
    INITIALS = "initials"
    NUMBER = "number"
    ROOM_CODE = "room code"
    ORDINAL = "ordinal"
    SYMBOL = "symbol"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Token:
    """One word: as raised, as handed to the translator, its class and the reason for it."""

    text: str
    kind: TokenKind
    typed: str
    contracted: bool
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BrailleLine:
    """One line of braille.

    Attributes:
        text: raised text it repeats.
        cells: Unicode braille patterns (U+2800 is the blank cell), no line breaks.
        code: name of the braille code.
        tokens: how each word was treated.
        back: back-translation of the cells, or "" where none was made.
    """

    text: str
    cells: str
    code: str
    tokens: tuple[Token, ...] = ()
    back: str = ""
    flags: tuple[Flag, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CellSize:
    """Center-to-center distances, dot base diameter and dot height of a braille size, all in mm."""

    name: str
    dot_pitch_mm: float
    cell_pitch_mm: float
    line_pitch_mm: float
    base_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Engine:
    """The braille engine: its name, version, tables by name and the SHA-256 of each table's text."""

    name: str
    version: str
    tables: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskTerm:
    """A word or phrase a transcriber should look at once.

    Attributes:
        term: as it is raised.
        typed: as it went to the engine, with its capitals.
        cells: its braille.
        back: its back-translation.
        reasons: why it is on the list, in words.
        seen_in: raised lines that hold it, in order of appearance.
        sign_off: key of the job's lexicon that takes the signed-off term ("names", "spelled", "spoken", "words"),
            "line" where only the whole line can be signed, "" where a person must first say what the term is.
        code: name of the braille code.
        stands_in: the text between spaces that the cells cover, where it is more than the term.
    """

    term: str
    typed: str
    cells: str
    back: str
    reasons: tuple[str, ...]
    seen_in: tuple[str, ...]
    sign_off: str = ""
    code: str = ""
    stands_in: str = ""
