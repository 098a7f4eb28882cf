"""Raised text to braille cells, one message at a time."""

import re
import tomllib
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import groupby

from schedule2sign.braille.checks import check_back, check_cells, check_joins, check_mixed_case, check_neighbors
from schedule2sign.braille.codes import Code, find_code
from schedule2sign.braille.engine import LouisEngine
from schedule2sign.braille.english import classify_english
from schedule2sign.braille.foreign import classify_foreign
from schedule2sign.braille.lexicon import WordBook, read_data
from schedule2sign.braille.parts import Reading, Word
from schedule2sign.braille.signoff import take_signed
from schedule2sign.geometry.brailleascii import read_ascii
from schedule2sign.geometry.dotgrid import BLANK
from schedule2sign.model.braille import BrailleLine, Engine
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.settings import CheckedTerm, Lexicon

_PASSAGE, _PASSAGE_END = "\u2820\u2820\u2820", "\u2820\u2804"  # UEB 8.5.1
_CAPITAL_WORD = re.compile(r"[^\W\d_a-z]{2,}")

_SIGNED_FIX = "Compare the cells with the code. A slip: correct the signed sheet. Right as they are: accept the sign in sign-list.xlsx."


def open_translator(code: str, lexicon: Lexicon) -> "Translator":
    """A translator for a job: its usual braille code and its own words.

    Raises:
        InputError: no such code.
        MissingEngineError: the engine or its tables are not installed.
    """
    chosen = find_code(code)
    return Translator(chosen, WordBook(take_signed(lexicon), chosen.name))


class Translator:
    """Translates raised messages; the same text always gives the same line."""

    def __init__(self, code: Code, book: WordBook) -> None:
        self.code = code
        self._book = book
        self._engines: dict[tuple[str, ...], LouisEngine] = {}
        self._lines: dict[tuple[str, str], BrailleLine] = {}
        self.open_engine(code.tables)

    @property
    def engine(self) -> Engine:
        """The engine and every table opened so far, for the record."""
        facts = [engine.facts for engine in self._engines.values()]
        return replace(facts[0], tables=tuple(sorted({table for fact in facts for table in fact.tables})))

    @property
    def flags(self) -> tuple[Flag, ...]:
        """What must be told once for the whole job, not per line."""
        version = self.engine.version
        tested = self._book.policy.tested_engines
        if version in tested:
            return ()
        return (
            Flag(
                code="braille/engine-untested",
                severity=Severity.NOTE,
                message=f"liblouis {version} made the braille; this program was tested with {', '.join(tested)}.",
                fix="Run this program's tests with the installed engine, or install a tested version.",
                who="shop",
            ),
        )

    def translate(self, text: str, code: str = "") -> BrailleLine:
        """One raised message in capitals, in the job's code or the one named.

        The cells hold exactly one blank for each space of the text, or the line is held.

        Raises:
            InputError: no such code.
        """
        chosen = find_code(code) if code else self.code
        key = (text, chosen.name)
        if key not in self._lines:
            self._lines[key] = self._translate(text, chosen)
        return self._lines[key]

    def read_words(self, text: str, code: Code) -> tuple[Reading, tuple[Word, ...]]:
        """The line as classed, and as words for the engine."""
        # The word lists know the straight apostrophe only.
        plain = " ".join(text.replace("\u2019", "'").split())
        if code.language == "en":
            reading = classify_english(plain, self._book) if plain else Reading(parts=(), flags=())
        else:
            reading = classify_foreign(plain, self._book, code.language, capitals=code.capitals != "none")
        groups = groupby(reading.parts, key=lambda part: part.chunk)
        return reading, tuple(Word(list(group)) for _, group in groups)

    def fixed_cells(self, word: Word, code: Code) -> str:
        """Cells that stand in for the engine's, "" for none: signed by a transcriber, or for a fault of the engine."""
        signed = self._book.signed_word(word.typed, code.name)
        return signed[0] if signed else _exceptions(code.name).get(word.typed, "")

    def open_engine(self, tables: tuple[str, ...]) -> LouisEngine:
        """The engine on these tables, opened once."""
        if tables not in self._engines:
            self._engines[tables] = LouisEngine(tables)
        return self._engines[tables]

    def _translate(self, text: str, code: Code) -> BrailleLine:
        reading, words = self.read_words(text, code)
        if signed := self._book.signed_line(text, code.name):
            return self._take_signed(text, code, signed, reading, words)
        groups = self._braille(words, code)
        cells = BLANK.join(groups)
        typed = " ".join(word.typed for word in words)
        flags = [*reading.flags, *check_cells(text, len(words), cells), *check_joins(text, typed, code.name)]
        if code.language == "en":
            unsigned = [word.typed for word in words if not self._book.signed_word(word.typed, code.name)]
            flags += check_mixed_case(text, unsigned, _exceptions(code.name))
        if len(groups) == len(words):
            engine = self.open_engine(code.tables)
            for word, group in zip(words, groups, strict=True):
                if signed_word := self._book.signed_word(word.typed, code.name):
                    flags += _tell_difference(text, word, signed_word, engine.translate(word.typed, word.kept))
                else:
                    flags += check_neighbors(text, word, group, engine)
        back = ""
        if not any(flag.code == "braille/unknown-character" for flag in flags):
            back = self._read_back(words, cells, code)
            back = text if back == text else back  # a number reads back as itself: one text is kept
            read = check_back(text, typed, back, capitals=code.capitals != "none")
            if any(flag.code == "braille/signed-differs" for flag in flags):
                # A slip of the pen, or the engine's own fault: only a person can say, and may accept it.
                read = tuple(replace(flag, code="braille/signed-reads", fix=_SIGNED_FIX) for flag in read)
            flags += read
        if code.note:
            flags.append(_note("old-code", text, code.note, "shop"))
        return BrailleLine(
            text=text,
            cells=cells,
            code=code.name,
            tokens=tuple(part.token for part in reading.parts),
            back=back,
            flags=tuple(flags),
        )

    def _braille(self, words: Sequence[Word], code: Code) -> list[str]:
        """Cells word by word: across a space the engine welds two numbers into one (a numeric space, UEB 6.6).

        Only three or more capital words in a row go through together: they are a capitals passage (UEB 8.5.2).
        """
        engine = self.open_engine(code.tables)
        cells: list[str] = []
        for capital, group in groupby(words, key=lambda word: bool(_CAPITAL_WORD.fullmatch(word.typed))):
            run = list(group)
            if capital and len(run) > 2:
                kept = [flag for word in run for flag in (*word.kept, False)][:-1]
                cells.append(engine.translate(" ".join(word.typed for word in run), kept))
            else:
                cells += [self.fixed_cells(word, code) or engine.translate(word.typed, word.kept) for word in run]
        return cells

    def _take_signed(
        self, text: str, code: Code, signed: CheckedTerm, reading: Reading, words: Sequence[Word]
    ) -> BrailleLine:
        """A line as a transcriber wrote it: told, not asked; only cells that cannot be laid out still hold it."""
        cells = read_ascii(signed.braille)
        back = self._read_back(words, cells, code)
        message = f"The braille of {text!r} is as {signed.by} signed it on {signed.on}; it reads {back!r}."
        return BrailleLine(
            text=text,
            cells=cells,
            code=code.name,
            tokens=tuple(part.token for part in reading.parts),
            back=back,
            flags=(_note("signed-line", text, message, "transcriber"), *check_cells(text, len(words), cells)),
        )

    def _read_back(self, words: Sequence[Word], cells: str, code: Code) -> str:
        """Back-translation, word by word where the words can be told apart.

        An uncontracted word is read by the uncontracted table: the contracted one takes the V of T.V. for "very".
        """
        groups = open_passages(cells.split(BLANK))
        if len(groups) != len(words):
            return _straight(self.open_engine(code.tables).translate_back(cells))
        read: list[str] = []
        for word, group in zip(words, groups, strict=True):
            engine = self.open_engine(code.letters if word.is_uncontracted else code.tables)
            faulty = _exceptions(code.name).get(word.typed) == group
            read.append(word.typed if faulty else engine.translate_back(group))
        return _straight(" ".join(read))


def _tell_difference(text: str, word: Word, signed: tuple[str, CheckedTerm], engines: str) -> tuple[Flag, ...]:
    """What a transcriber signed beats the engine; where the two differ it is told."""
    cells, term = signed
    if cells == engines:
        return ()
    message = (
        f"{word.typed!r} in {text!r} is brailled {cells} as {term.by} signed it on {term.on}; the engine: {engines}."
    )
    return (_note("signed-differs", text, message, "transcriber"),)


def _note(code: str, text: str, message: str, who: str) -> Flag:
    return Flag(code=f"braille/{code}", severity=Severity.NOTE, message=message, given=text, who=who)


def open_passages(groups: Sequence[str]) -> list[str]:
    """Words of a capitals passage, each with its own capital word indicator: the engine reads them in small letters."""
    opened: list[str] = []
    inside = False
    for group in groups:
        starts = group.startswith(_PASSAGE)
        inside = inside or starts
        bare = group.removeprefix(_PASSAGE)
        opened.append(_PASSAGE[:2] + bare.removesuffix(_PASSAGE_END) if inside else group)
        inside = inside and not group.endswith(_PASSAGE_END)
    return opened


def _straight(text: str) -> str:
    return text.replace("\u2019", "'")


@cache
def _exceptions(code: str) -> dict[str, str]:
    """Cells of words the engine gets wrong in this code."""
    data = tomllib.loads(read_data("exceptions.toml"))
    return {typed: str(entry["cells"]) for typed, entry in data.get(code, {}).items()}
