"""Words nobody knows: short forms without a vowel, slips of spelling, other languages, stray characters.

A slip is cut twice, raised and in braille, so a word near a known one is held with the suggestion.
"""

import re
from collections.abc import Collection
from functools import cache

from schedule2sign.naming.draft import Draft
from schedule2sign.naming.vocabulary import Vocabulary

_WORD = re.compile(r"(?<![^\W_])[A-Z]+(?:'[A-Z]+)?(?![^\W_])")
_CAPITALS = re.compile(r"\b[A-Z]{2,}\b")
_DOTTED_INITIAL = re.compile(r"(?:[A-Z]\.)+")
_ROMAN = frozenset(["II", "III", "IV", "VI", "VII", "VIII", "IX", "XI", "XII"])
_VOWELS = frozenset("AEIOUY")
_SHORT = 4
_LONG = 8
_PREFIXES = (
    "NON",
    "PRE",
    "POST",
    "MULTI",
    "TELE",
    "SUB",
    "MICRO",
    "MINI",
    "ELECTRO",
    "RADIO",
    "NEURO",
    "CARDIO",
    "BIO",
)
_PREFIXED = 5
_MEASURE = re.compile(r"\d['\"]")
_HALF = 4
_MOST = 3
_LATIN_END = 0x250


def check_words(draft: Draft, vocabulary: Vocabulary) -> None:
    """Flag every word of a name that is on no list."""
    languages = {vocabulary.foreign[word] for word in _unknown(draft.text, vocabulary) if word in vocabulary.foreign}
    if languages:
        draft.hold(
            "foreign-language",
            f"{draft.given!r} reads as {' or '.join(sorted(languages))}; its braille is another code than English.",
            fix="Give the English wording under [lexicon.approved], or have the sign made in that language's own code.",
            who="owner",
        )
        return
    for word in _unknown(draft.text, vocabulary):
        _flag_word(word, draft, vocabulary)
    check_capitals(draft, vocabulary)
    _note_numerals(draft)


def check_characters(draft: Draft, vocabulary: Vocabulary) -> None:
    """Hold a name with a character that a raised name may not hold."""
    named = {char for name in vocabulary.names for word in name for char in word}
    known = vocabulary.characters.raised | named
    odd = sorted(set(draft.text) - known)
    if _MEASURE.search(draft.text):
        odd.append("a foot or inch mark")
    if not odd:
        return
    shown = " ".join(odd)
    if all(len(char) == 1 and char.isalpha() and ord(char) < _LATIN_END for char in odd):
        draft.hold(
            "accented-letter",
            f"{draft.given!r} holds {shown}: an accent is never dropped silently.",
            fix="Give the wording under [lexicon.approved], or list the word under lexicon.names if it is official.",
            who="owner",
        )
    elif any(len(char) == 1 and char.isalpha() for char in odd):
        draft.hold(
            "foreign-language",
            f"{draft.given!r} holds letters of another script: {shown}.",
            fix="Give the English wording under [lexicon.approved], or have the sign made in that language's own code.",
            who="owner",
        )
    else:
        draft.hold(
            "character",
            f"{draft.given!r} holds {shown}, which a raised name does not carry.",
            fix="Give the wording under [lexicon.approved] in the job file.",
        )


def _unknown(text: str, vocabulary: Vocabulary) -> list[str]:
    """Words of the name on no list, in order, each once."""
    named = {word.strip(".") for name in vocabulary.names for word in name}
    words: dict[str, None] = {}
    for token in text.split():
        if token in vocabulary.acronyms or token.strip(".") in named or _DOTTED_INITIAL.fullmatch(token):
            continue
        words |= dict.fromkeys(word for word in _WORD.findall(token) if not _is_known(word, vocabulary))
    return list(words)


def _is_known(word: str, vocabulary: Vocabulary) -> bool:
    if len(word) == 1 or word in vocabulary.acronyms or word in vocabulary.words or word in vocabulary.trade:
        return True
    if word in vocabulary.ambiguous or word in _ROMAN or word in vocabulary.terms.by_text:
        return True  # flagged where it was met, or a numeral
    if not _VOWELS & set(word):
        return False
    stem = word.removesuffix("'S").removesuffix("'")
    return any(
        stem in known for known in (vocabulary.trade, vocabulary.english, vocabulary.proper, vocabulary.words)
    ) or any(
        stem.startswith(prefix)
        and len(stem) - len(prefix) >= _PREFIXED
        and (stem[len(prefix) :] in vocabulary.trade or stem[len(prefix) :] in vocabulary.english)
        for prefix in _PREFIXES
    )


def _flag_word(word: str, draft: Draft, vocabulary: Vocabulary) -> None:
    suggestions = suggest(word, vocabulary.trade, vocabulary.english)
    if not _VOWELS & set(word) or (len(word) <= _SHORT and not suggestions):
        draft.hold(
            "unknown-abbreviation",
            f"{word!r} in {draft.given!r} is no word and on no list of short forms.",
            fix=f'Say what it stands for under [lexicon.abbreviations] ({word} = "..."), '
            "or that it stays as letters under lexicon.spelled in the job file.",
        )
        return
    if suggestions:
        draft.hold(
            "spelling",
            f"{word!r} in {draft.given!r} is in no word list; near it: {', '.join(suggestions)}.",
            fix=f"Correct it under [lexicon.approved], or list {word} under lexicon.words if it is right.",
        )
    else:
        draft.ask(
            "unknown-word",
            f"{word!r} in {draft.given!r} is in no word list; it is kept as written.",
            fix=f"Confirm it, then list {word} under lexicon.words, lexicon.names, lexicon.spelled or lexicon.spoken: "
            "its braille depends on which.",
            subject=word,
        )


@cache
def suggest(word: str, trade: frozenset[str], english: frozenset[str]) -> tuple[str, ...]:
    """Up to three known words that a slip of the finger away would give, nearest first."""
    if len(word) <= _SHORT:
        return ()
    for half in range(_HALF, len(word) - _HALF + 1):
        if word[:half] in trade and word[half:] in trade:
            return (f"{word[:half]} {word[half:]}",)
    distance = 2 if len(word) >= _LONG else 1
    near = _nearest(word, trade, 1) or _nearest(word, english, 1) or _nearest(word, trade, distance)
    return tuple(near[:_MOST])


def _nearest(word: str, known: Collection[str], distance: int) -> list[str]:
    from rapidfuzz.distance import OSA
    from rapidfuzz.process import extract_iter

    same_start = [other for other in known if abs(len(other) - len(word)) <= distance and len(other) > _SHORT]
    found = [
        (int(score), other)
        for other, score, _ in extract_iter(word, same_start, scorer=OSA.distance, score_cutoff=distance)
    ]
    return [other for score, other in sorted(found) if score == 1 or other[0] == word[0]]


def _note_numerals(draft: Draft) -> None:
    *front, last = draft.text.split() or [""]
    if front and last in _ROMAN:
        draft.note("roman-numeral", f"{last} in {draft.given!r} is kept as letters: braille shows capital letters.")


def check_capitals(draft: Draft, vocabulary: Vocabulary) -> None:
    """Hold what may be letters or a word: AT in capitals in "AT Pool", AT where no AT can stand, "Us" in "Us Exam"."""
    capitals = set(_CAPITALS.findall(draft.given)) if draft.given != draft.given.upper() else set()
    words = draft.text.split()
    doubtful = [word for word in words if word in vocabulary.either and word in capitals]
    if len(words) > 1 and words[0] in vocabulary.either_first:
        doubtful.append(words[0])
    if not draft.given.isupper() and not draft.given.islower():
        doubtful += [word for word in words if word in vocabulary.small and word not in _CAPITALS.findall(draft.given)]
    for word in dict.fromkeys(doubtful):
        draft.hold(
            "acronym-or-word",
            f"{word!r} in {draft.given!r} may be letters or the word; each has another braille.",
            fix=f"List {word} under lexicon.spelled if it is letters, or under lexicon.words if it is the word.",
        )
