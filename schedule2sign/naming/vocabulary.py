"""The words the stage knows: its own data files under the job's overrides."""

import re
from dataclasses import dataclass
from functools import cache
from typing import Any

from schedule2sign.model.settings import Settings
from schedule2sign.naming.characters import Characters, load_characters
from schedule2sign.naming.tables import read_table, read_text
from schedule2sign.naming.terms import Terms, load_terms
from schedule2sign.naming.wording import HouseWords, load_house_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Ambiguity:
    """What a short form may stand for; `default` is "" where nobody may guess."""

    choices: tuple[str, ...]
    default: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Vocabulary:
    """Everything the naming rules look up. Keys and words are capitals.

    Attributes:
        approved: whole name as given -> approved wording.
        expand: short form (one or more words) -> long form.
        designated: short form -> long form where a letter or number follows.
        ambiguous: short form -> its meanings.
        acronyms: letters kept as letters; joined ones such as R&D too.
        either, either_first, small: little words that may be letters; see acronyms.toml.
        names: proper names of the job, as tuples of words; never expanded.
        words: words the job declared correct.
        trade: words of room names, and every word a long form is made of.
        english: words of the English dictionary.
        proper: words written only with a capital.
        given, surnames, lone_names, titles: common names of people, and what stands beside them; see people.toml.
        foreign: room words of other languages -> the language.
        heads, departments: see ordering.toml.
    """

    characters: Characters
    house: HouseWords
    terms: Terms
    approved: dict[str, str]
    expand: dict[str, str]
    designated: dict[str, str]
    ambiguous: dict[str, Ambiguity]
    acronyms: frozenset[str]
    either: frozenset[str]
    either_first: frozenset[str]
    small: frozenset[str]
    names: tuple[tuple[str, ...], ...]
    words: frozenset[str]
    trade: frozenset[str]
    english: frozenset[str]
    proper: frozenset[str]
    given: frozenset[str]
    surnames: frozenset[str]
    titles: frozenset[str]
    lone_names: frozenset[str]
    foreign: dict[str, str]
    heads: frozenset[str]
    departments: frozenset[str]
    status: frozenset[str]
    status_starts: tuple[str, ...]
    empty: frozenset[str]


def load_vocabulary(settings: Settings) -> Vocabulary:
    """The built-in tables with the job's lexicon and wording over them."""
    characters = load_characters()
    lexicon = settings.lexicon
    abbreviations = read_table("abbreviations.toml")
    acronyms = read_table("acronyms.toml")
    status = read_table("status.toml")

    def key(text: str) -> str:
        return characters.tidy(text).upper()

    heads = read_table("ordering.toml")
    people = read_table("people.toml")
    house = load_house_words()
    own = {key(short): key(long) for short, long in lexicon.abbreviations}
    kept = frozenset(key(text) for text in (*lexicon.spelled, *lexicon.spoken))
    words = frozenset(word for text in lexicon.words for word in key(text).split())
    decided = own.keys() | kept | words
    return Vocabulary(
        characters=characters,
        house=house,
        terms=load_terms(),
        approved={key(given): key(approved) for given, approved in lexicon.approved},
        expand={short: long for short, long in abbreviations["expand"].items() if short not in decided} | own,
        designated={short: long for short, long in abbreviations["designated"].items() if short not in decided},
        ambiguous={
            short: Ambiguity(choices=tuple(entry["choices"]), default=entry.get("default", ""))
            for short, entry in abbreviations["ambiguous"].items()
            if short not in decided
        },
        acronyms=kept | frozenset(acronyms["spelled"]) | frozenset(acronyms["spoken"]) | frozenset(acronyms["joined"]),
        either=frozenset(acronyms["either"]) - decided,
        either_first=frozenset(acronyms["first"]) - decided,
        small=frozenset(acronyms["small"]) - decided,
        names=tuple(tuple(key(name).split()) for name in lexicon.names),
        words=words,
        trade=_trade_words(abbreviations) | house.words(),
        english=_read_words("english.txt"),
        proper=_read_words("proper.txt"),
        given=frozenset(people["given"]),
        surnames=frozenset(people["surnames"]),
        titles=frozenset(people["titles"]),
        lone_names=frozenset(people["lone"]),
        foreign={word: language for language, words_ in read_table("languages.toml").items() for word in words_},
        heads=frozenset(heads["heads"]),
        departments=frozenset(heads["departments"]),
        status=frozenset(status["whole"]),
        status_starts=tuple(status["start"]),
        empty=frozenset(status["empty"]),
    )


@cache
def _read_words(name: str) -> frozenset[str]:
    """A word list of this folder in capitals; lines that start with # are remarks."""
    return frozenset([line for line in read_text(name).upper().splitlines() if line and line[0] != "#"])


def _trade_words(abbreviations: dict[str, Any]) -> frozenset[str]:
    long_forms = [*abbreviations["expand"].values(), *abbreviations["designated"].values()]
    long_forms += [choice for entry in abbreviations["ambiguous"].values() for choice in entry["choices"]]
    return _read_words("words.txt") | {word for form in long_forms for word in re.split(r"[\s-]+", form)}
