"""What is known of a word: the job's own lexicon first, then ours."""

import csv
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from importlib import resources
from typing import Any

from schedule2sign.braille.parts import split_pieces
from schedule2sign.geometry.brailleascii import read_ascii
from schedule2sign.geometry.dotgrid import BLANK
from schedule2sign.model.braille import TokenKind
from schedule2sign.model.settings import CheckedTerm, Lexicon


@dataclass(frozen=True, slots=True, kw_only=True)
class Acronym:
    """An acronym of ours: how it is said, what it stands for, and the ordinary word it may be mistaken for."""

    kind: TokenKind
    meaning: str
    also: str
    default_word: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Name:
    """A proper name as it is written, and whether the job gave it."""

    written: str
    from_job: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """The word lists of policy.toml."""

    tested_engines: tuple[str, ...]
    titles: frozenset[str]
    place_nouns: frozenset[str]
    joiners: frozenset[str]
    sure_names: tuple[str, ...]
    prefixes: frozenset[str]
    roman: frozenset[str]
    sentence_openings: tuple[str, ...]
    one_letter_words: dict[str, frozenset[str]]


class WordBook:
    """Answers what an all-capitals word is. The job's own words beat ours; `code` is the job's braille code."""

    def __init__(self, lexicon: Lexicon, code: str = "ueb-contracted") -> None:
        self.policy = load_policy()
        self._names = {name: Name(written=name, from_job=False) for name in self.policy.sure_names}
        self._names |= {_key(name): Name(written=name, from_job=True) for name in lexicon.names}
        self._kinds = {_key(word): TokenKind.WORD for word in lexicon.words}
        self._kinds |= {_key(word): TokenKind.SPOKEN for word in lexicon.spoken}
        self._kinds |= {_key(word): TokenKind.SPELLED for word in lexicon.spelled}
        self._written = {_key(word): word for word in (*lexicon.spoken, *lexicon.spelled) if word != word.upper()}
        self.longest_name = max(len(split_pieces(name)) for name in self._names)
        checked = [replace(term, code=term.code or code) for term in lexicon.checked]
        self._signed_lines = {(_key(term.term), term.code): term for term in checked if term.take_as == "line"}
        self._signed_words = {
            (word, term.code): (cells, term)
            for term in checked
            if term.take_as != "line"
            for word, cells in _signed_groups(term)
        }

    def job_kind(self, word: str) -> TokenKind | None:
        """The class the job file gives a word, or None."""
        return self._kinds.get(_key(word))

    def written(self, word: str) -> str:
        """An acronym as the job writes it (PhD), else as raised."""
        return self._written.get(_key(word), word)

    def signed_line(self, text: str, code: str) -> CheckedTerm | None:
        """The sign-off of a whole raised line in that code, or None."""
        return self._signed_lines.get((_key(text), code))

    def signed_word(self, typed: str, code: str) -> tuple[str, CheckedTerm] | None:
        """The signed cells of what stands between two spaces, as it went to the engine, or None."""
        return self._signed_words.get((typed, code))

    def find_name(self, text: str) -> Name | None:
        """The proper name that is exactly this text, also in the possessive."""
        key = _key(text)
        if name := self._names.get(key):
            return name
        if key.endswith("'S") and (name := self._names.get(key[:-2])):
            ending = "'S" if name.written == name.written.upper() else "'s"
            return Name(written=name.written + ending, from_job=name.from_job)
        return None

    def acronym(self, word: str) -> Acronym | None:
        """Our acronym, or None."""
        return load_acronyms().get(_key(word))

    def is_room_word(self, word: str) -> bool:
        """An everyday word of room signs, also in the possessive or plural."""
        return any(form in load_words("room_words.txt") for form in _forms(word))

    def is_word(self, word: str) -> bool:
        """An ordinary English word of four letters or more."""
        return any(len(form) > 3 and form in load_words("words.txt") for form in _forms(word))

    def name(self, word: str) -> str:
        """A word that is written with a capital, four letters or more, as it is written; "" where it is none."""
        possessive = word.upper().endswith("'S")
        written = load_names().get(_key(word).lower().removesuffix("'s"), "")
        return f"{written}'s" if written and possessive else written

    def is_known(self, word: str) -> bool:
        """An everyday word or an acronym: nothing that would be taken for a name."""
        return self.is_room_word(word) or self.acronym(word) is not None or self.job_kind(word) is not None

    def compound(self, word: str) -> tuple[str, str] | None:
        """Two known words that make up the word, or None: CRASHCART is CRASH and CART."""
        for cut in range(3, len(word) - 2):
            front, back = word[:cut], word[cut:]
            if self._stands(front) and self._stands(back):
                return front, back
        return None

    def _stands(self, word: str) -> bool:
        return self.is_room_word(word) or self.is_word(word)


def _signed_groups(term: CheckedTerm) -> Iterator[tuple[str, str]]:
    """Each word as it is written, and its cells."""
    written = (term.stands_in or term.written or term.term).replace("\u2019", "'")
    return zip(written.split(), read_ascii(term.braille).split(BLANK), strict=False)


@lru_cache(maxsize=4096)  # a word is looked up in one list after the other
def _key(text: str) -> str:
    return " ".join(text.upper().replace("\u2019", "'").split())


def _forms(word: str) -> tuple[str, ...]:
    """The word in small letters, without a plural ending, without a possessive."""
    small = _key(word).lower()
    bare = re.sub(r"'s$|(?<=s)'$", "", small)
    singular = bare[:-1] if len(bare) > 3 and bare.endswith("s") and not bare.endswith("ss") else bare
    return tuple(dict.fromkeys((small, singular, bare)))


def read_data(name: str) -> str:
    """Text of one of our data files."""
    return resources.files(__package__).joinpath(name).read_text(encoding="utf-8")


@cache
def load_words(name: str) -> frozenset[str]:
    """A word list of ours: one word a line, # starts a comment."""
    return frozenset(line for line in read_data(name).split("\n") if line and not line.startswith("#"))


@cache
def load_names() -> dict[str, str]:
    """Our names in small letters, and how each is written."""
    return {name.lower(): name if name != name.lower() else name.capitalize() for name in load_words("names.txt")}


@cache
def load_acronyms() -> dict[str, Acronym]:
    """Our acronyms by their letters."""
    kinds = {"letters": TokenKind.SPELLED, "word": TokenKind.SPOKEN}
    return {
        row["acronym"]: Acronym(
            kind=kinds[row["said"]],
            meaning=row["meaning"],
            also=row["also"],
            default_word=row["default"] == "word",
        )
        for row in csv.DictReader(read_data("acronyms.csv").splitlines())
    }


@cache
def load_policy() -> Policy:
    """The policy file."""
    data: dict[str, Any] = tomllib.loads(read_data("policy.toml"))
    return Policy(
        tested_engines=tuple(data["tested_engines"]),
        titles=frozenset(data["titles"]),
        place_nouns=frozenset(data["place_nouns"]),
        joiners=frozenset(data["joiners"]),
        sure_names=tuple(data["sure_names"]),
        prefixes=frozenset(data["prefixes"]),
        roman=frozenset(data["roman"]),
        sentence_openings=tuple(data["sentence_openings"]),
        one_letter_words={key: frozenset(value) for key, value in data["one_letter_words"].items()},
    )
