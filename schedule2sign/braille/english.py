"""Class of every word of an English line raised in capitals: it decides capitals and contraction."""

import re
from collections.abc import Sequence
from dataclasses import replace

from schedule2sign.braille.lexicon import WordBook
from schedule2sign.braille.names import Tokens, extend_names, take_names, take_titles
from schedule2sign.braille.parts import (
    Part,
    Piece,
    Questions,
    Reading,
    make_token,
    plain_token,
    split_pieces,
)
from schedule2sign.model.braille import Token, TokenKind

_ORDINAL = re.compile(r"(\d+)(ST|ND|RD|TH)")


def classify_english(text: str, book: WordBook) -> Reading:
    """Class every word of a line raised in capitals."""
    if text.isdecimal() and (book.job_kind(text) or not book.find_name(text)):
        return Reading(parts=(Part(token=plain_token(text), chunk=0),), flags=())  # a room's number, as most lines
    pieces = split_pieces(text)
    questions = Questions(text)
    settled = take_names(pieces, book, questions)
    tokens = settled | take_titles(pieces, book, settled)
    chooser = _Chooser(text, pieces, book, questions)
    for index in range(len(pieces)):
        if index not in tokens:
            tokens[index] = chooser.choose(index)
    tokens |= extend_names(pieces, tokens, settled, book, questions)
    if 0 not in settled:
        tokens |= _open_sentence(text, tokens, book, questions)
    parts = tuple(Part(token=tokens[index], chunk=piece.chunk) for index, piece in enumerate(pieces))
    return Reading(parts=parts, flags=tuple(questions.flags))


def _open_sentence(text: str, tokens: Tokens, book: WordBook, questions: Questions) -> Tokens:
    """The first word of a sentence takes a capital."""
    if tokens[0].kind is not TokenKind.WORD or not any(
        text.startswith(f"{opening} ") for opening in book.policy.sentence_openings
    ):
        return {}
    questions.ask(
        "sentence",
        f"{text!r} reads as a sentence, so its first word has a capital.",
        f"Add {text.capitalize()!r} to the job's lexicon under names if it is a sentence, "
        f"{text.lower()!r} if it is not.",
    )
    return {0: replace(tokens[0], typed=tokens[0].text.capitalize(), reason="first word of a sentence")}


class _Chooser:
    """Chooses the class of one piece by its letters and its neighbors."""

    def __init__(self, text: str, pieces: Sequence[Piece], book: WordBook, questions: Questions) -> None:
        self._text = text
        self._pieces = pieces
        self._book = book
        self._questions = questions

    def choose(self, index: int) -> Token:
        text = self._pieces[index].text
        if not any(char.isalnum() for char in text) or text.replace(".", "").replace(",", "").isdigit():
            return plain_token(text)
        if kind := self._book.job_kind(text):
            return self._job_token(text, kind)
        if ordinal := _ORDINAL.fullmatch(text):
            return self._ordinal(text, int(ordinal[1]), ordinal[2])
        if any(char.isdigit() for char in text):
            return self._room_code(text)
        if "." in text:
            return make_token(text, TokenKind.INITIALS, text, "initials with full stops", contracted=False)
        if len(text) == 1:
            return self._letter(index)
        if self._is_prefixed(index):
            return make_token(text, TokenKind.WORD, text.lower(), "part of a hyphenated word")
        if self._book.acronym(text):
            return self._acronym(index)
        if text in self._book.policy.roman:
            return make_token(text, TokenKind.SPELLED, text, "Roman numeral", contracted=False)
        if len(text) <= 2 and not self._book.is_room_word(text) and self._beside_digits(index):
            return make_token(text, TokenKind.ROOM_CODE, text, "letters of a room number", contracted=False)
        return self._word(text)

    def _job_token(self, text: str, kind: TokenKind) -> Token:
        if kind is TokenKind.WORD:
            return make_token(text, kind, text.lower(), "word in the job's lexicon")
        contracted = kind is not TokenKind.SPELLED
        return make_token(text, kind, self._book.written(text), "acronym in the job's lexicon", contracted=contracted)

    def _ordinal(self, text: str, number: int, ending: str) -> Token:
        right = "TH" if number % 100 in (11, 12, 13) else {1: "ST", 2: "ND", 3: "RD"}.get(number % 10, "TH")
        if ending != right:
            self._questions.hold(
                "ordinal",
                f"{text!r} in {self._text!r} is no ordinal: {number} takes {right}.",
                f"Correct it to {number}{right}, or, if it is a room number, add {text} to the job's lexicon "
                "under spelled.",
            )
        # The number sets grade 1 mode, so the engine leaves the ending uncontracted (UEB 6.5.1).
        return make_token(text, TokenKind.ORDINAL, text.lower(), "ordinal number")

    def _room_code(self, text: str) -> Token:
        if any(len(run) > 2 for run in re.findall(r"[^\W\d_]+", text)):
            self._questions.ask(
                "room-code",
                f"{text!r} in {self._text!r} is brailled as a room number: capital letters, not contracted.",
                f"If it holds a word, put a space or hyphen into the sign's text; if not, add {text} to the job's "
                "lexicon under spelled.",
            )
        return make_token(text, TokenKind.ROOM_CODE, text, "letters and digits of a room number", contracted=False)

    def _letter(self, index: int) -> Token:
        piece = self._pieces[index]
        if "&" in (self._beside(index, -1), self._beside(index, 1)):
            return make_token(piece.text, TokenKind.INITIALS, piece.text, "initials", contracted=False)
        inside = 0 < piece.chunk < self._pieces[-1].chunk
        if piece.text == "A" and inside and not self._beside(index, 1) and not self._beside(index, -1):
            self._questions.ask(
                "letter-or-word",
                f"'A' in {self._text!r} is brailled as the letter A, with a capital.",
                "Add A to the job's lexicon under words if it is the article, under spelled if it is the letter.",
            )
        return make_token(piece.text, TokenKind.LETTER, piece.text, "single letter", contracted=False)

    def _beside(self, index: int, step: int) -> str:
        """The neighbor piece inside the same chunk, or ""."""
        other = index + step
        if not 0 <= other < len(self._pieces) or self._pieces[other].chunk != self._pieces[index].chunk:
            return ""
        return self._pieces[other].text

    def _beside_digits(self, index: int) -> bool:
        """True in a chunk such as 2-OR or ED-101, where a run of letters belongs to a number."""
        chunk = self._pieces[index].chunk
        return any(other.chunk == chunk and any(char.isdigit() for char in other.text) for other in self._pieces)

    def _is_prefixed(self, index: int) -> bool:
        """PRE of PRE-OP and OP of PRE-OP, ED of CO-ED: neither stands for itself."""
        text, prefixes = self._pieces[index].text, self._book.policy.prefixes
        if self._beside(index, 1) == "-" and text in prefixes:
            return self._beside(index, 2)[:1].isalpha()
        tail = self._beside(index, -1) == "-" and self._beside(index, -2) in prefixes
        return tail and (text in prefixes or text == "ED")

    def _acronym(self, index: int) -> Token:
        text = self._pieces[index].text
        acronym = self._book.acronym(text)
        if acronym is None:
            return self._word(text)
        as_word = acronym.default_word or (text == "OR" and self._beside(index, -2) == "AND")
        if acronym.also and not self._is_plainly_acronym(index):
            as_word = as_word or (text == "OR" and not self._pieces[index + 1].text[0].isdigit())
            taken = f"the word {acronym.also!r}" if as_word else f"the acronym for {acronym.meaning}"
            self._questions.ask(
                "acronym-or-word",
                f"{text!r} in {self._text!r} is brailled as {taken}.",
                f"If it is the acronym, add {text} to the job's lexicon under spelled or spoken; "
                "if the word, under words.",
            )
        if as_word:
            return make_token(text, TokenKind.WORD, text.lower(), "common word")
        # UEB 10.12.1: letters said one by one are not contracted; 10.12.2: said as a word, or in doubt, contracted.
        spelled = acronym.kind is TokenKind.SPELLED
        said = "letter by letter" if spelled else "as a word"
        return make_token(text, acronym.kind, text, f"{acronym.meaning}, said {said}", contracted=not spelled)

    def _is_plainly_acronym(self, index: int) -> bool:
        """OR 3, ED TRIAGE, CLEAN OR, PET/CT: the word it could be mistaken for would not stand there."""
        text, last = self._pieces[index].text, len(self._pieces) - 1
        before = self._pieces[index - 1].text if index else ""
        after = self._pieces[index + 1].text if index < last else ""
        if text == "OR":
            return not before or not after or before == "/"
        if text == "ED" and not before:
            return True
        around = (before, after, self._beside(index, -2), self._beside(index, 2))
        return any(other != "OR" and self._book.acronym(other) for other in around if other)

    def _word(self, text: str) -> Token:
        book, small = self._book, text.lower()
        if book.is_room_word(text):
            return make_token(text, TokenKind.WORD, small, "common word")
        if book.is_word(text):
            if not book.name(text):
                return make_token(text, TokenKind.WORD, small, "common word")
            self._questions.ask(
                "name-or-word",
                f"{text!r} in {self._text!r} is brailled as a common word (small letters); it may be a name.",
                f"If it is a name, add {text} to the job's lexicon under names; if not, under words.",
            )
            return make_token(text, TokenKind.WORD, small, "common word that may be a name")
        if name := book.name(text):
            self._questions.ask(
                "name",
                f"{text!r} in {self._text!r} is brailled as a proper name, with a capital.",
                f"If it is a name, add {text} to the job's lexicon under names; else correct the schedule.",
            )
            return make_token(text, TokenKind.NAME, name, "proper name by our word list")
        if parts := book.compound(text):
            self._questions.ask(
                "compound",
                f"{text!r} in {self._text!r} is taken as the compound {parts[0]} + {parts[1]}; "
                "no contraction may cross the join.",
                f"Have a transcriber check it, then add {text} to the job's lexicon under words.",
                clause="UEB 10.11.1",
            )
            return make_token(text, TokenKind.WORD, small, f"compound of {parts[0].lower()} and {parts[1].lower()}")
        self._questions.hold(
            "unknown-word",
            f"{text!r} in {self._text!r} is in no word list: a name, an acronym or a misspelling?",
            f"Correct the schedule, or add {text} to the job's lexicon under names, spelled, spoken or words.",
        )
        return make_token(text, TokenKind.UNKNOWN, small, "in no word list")
