"""Names of people and other proper names: a person's name is never raised by default."""

import re
from itertools import pairwise

from schedule2sign.naming.draft import Draft
from schedule2sign.naming.vocabulary import Vocabulary

_LETTER = r"[^\W\d_]"
_INITIALS = re.compile(rf"(?:[A-Z]\.\s?){{1,3}}(?:DE |VAN |VON )?({_LETTER}[\w'-]+)")
_COURTESY = re.compile(rf"(?:MR|MRS|MS|MISS|MX)\.?\s+{_LETTER}[\w' -]+")
_TITLE = re.compile(rf"(?:DR|PROF|REV|FR|RABBI|PASTOR|JUDGE|CAPT|LT|SGT|SEN|REP|COACH)\.?\s+({_LETTER}[\w'-]+)")
_OFFICE = re.compile(r"([A-Z][A-Z-]+)(?:'S)? (?:OFFICE|OFC|OFF)")
_PIECES = re.compile(r"\s*[/&()]\s*|\s-\s|:\s|\sAND\s")
_WORD = re.compile(r"(?<![\w])[A-Z][A-Z'-]+")
_FIRST_LAST = 2


def check_people(draft: Draft, vocabulary: Vocabulary) -> bool:
    """Hold a name that is a person's, or a room's with a person's beside it; True when it was held."""
    if _is_person(draft.text, vocabulary) or _names_occupant(draft.text, vocabulary):
        draft.hold(
            "person-name",
            f"{draft.given!r} reads as a person's name, and people move: it belongs in a changeable insert.",
            fix="Give the room's permanent name under [lexicon.approved], "
            "or list it under lexicon.names if the owner named the room so.",
            who="owner",
        )
        return True
    return False


def ask_proper_names(draft: Draft, vocabulary: Vocabulary) -> None:
    """Ask about a word known only as a proper name within a longer name."""
    named = {word for name in vocabulary.names for word in name}
    words = _WORD.findall(draft.text)
    titled = [after for title, after in pairwise(draft.text.split()) if opens_name(title, after, vocabulary)]
    if words[-1:] == ["HALL"]:  # a corridor, unless it is somebody's
        titled += [word for word in words if _is_known(word, vocabulary)]
    proper = [word for word in words if (_is_proper(word, vocabulary) or word in titled) and word not in named]
    if proper and len(words) > 1:
        draft.ask(
            "proper-name",
            f"{' '.join(proper)!r} in {draft.given!r} reads as a proper name; it is kept.",
            fix="Confirm its spelling with the owner and list it under lexicon.names in the job file.",
            who="owner",
            subject=" ".join(proper),
        )


def opens_name(title: str, following: str, vocabulary: Vocabulary) -> bool:
    """True when DR or ST stands before a word that is no room word: DR. KING LIBRARY, ST. MARY CHAPEL."""
    return (
        title.strip(".") in {"DR", "ST"}
        and following.isalpha()
        and len(following) > _FIRST_LAST
        and following not in vocabulary.trade
        and following not in vocabulary.expand
        and following not in vocabulary.ambiguous
    )


def _is_person(text: str, vocabulary: Vocabulary) -> bool:
    if any(" ".join(name) in text for name in vocabulary.names):
        return False
    if _COURTESY.fullmatch(text):
        return True
    for pattern in (_INITIALS, _TITLE):
        if (found := pattern.fullmatch(text)) and not _is_room_word(found[1], vocabulary):
            return True
    if (found := _OFFICE.fullmatch(text)) and (_is_proper(found[1], vocabulary) or _is_known(found[1], vocabulary)):
        return True
    words = text.replace(",", " ").split()
    if any(_is_room_word(word, vocabulary) or not word.isalpha() for word in words):
        return False
    if len(words) <= _FIRST_LAST + 1 and (words[0] in vocabulary.given or words[-1] in vocabulary.given):
        return True
    if len(words) == 1 and words[0] in vocabulary.surnames:
        return True
    return 1 <= len(words) <= _FIRST_LAST and all(_is_proper(word, vocabulary) for word in words)


def _names_occupant(text: str, vocabulary: Vocabulary) -> bool:
    """True when a piece of the text is made of known given names and surnames, and titles: OFFICE - SMITH, MILLER/LEE."""
    if any(" ".join(name) in text for name in vocabulary.names):
        return False
    return any(_is_occupant(piece, vocabulary) for piece in _PIECES.split(text))


def _is_occupant(piece: str, vocabulary: Vocabulary) -> bool:
    words = [word.strip(".,").removesuffix("'S") for word in piece.split()]
    rest = [word for word in words if word and word not in vocabulary.titles]
    if len(words) == 1 and words[0] in vocabulary.lone_names:
        return True
    return any(_is_known(word, vocabulary) for word in rest) and all(
        _is_known(word, vocabulary) or _is_initial(word) for word in rest
    )


def _is_known(word: str, vocabulary: Vocabulary) -> bool:
    return word in vocabulary.given or word in vocabulary.surnames


def _is_initial(word: str) -> bool:
    return all(len(letter) == 1 and letter.isalpha() for letter in word.split("."))


def _is_room_word(word: str, vocabulary: Vocabulary) -> bool:
    return word in vocabulary.trade or word in vocabulary.expand or word in vocabulary.ambiguous


def _is_proper(word: str, vocabulary: Vocabulary) -> bool:
    return (
        word.removesuffix("'S") in vocabulary.proper
        and not _is_room_word(word, vocabulary)
        and word not in vocabulary.acronyms
        and word not in vocabulary.words
        and word not in vocabulary.foreign
    )
