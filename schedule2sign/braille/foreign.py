"""Class of the words of a line in a language whose words we do not know."""

from dataclasses import replace

from schedule2sign.braille.lexicon import WordBook
from schedule2sign.braille.parts import Part, Questions, Reading, make_token, name_case, plain_token, split_pieces
from schedule2sign.model.braille import Token, TokenKind


def classify_foreign(text: str, book: WordBook, language: str, *, capitals: bool) -> Reading:
    """Small letters but for the job's own names, single letters and room numbers; the rest is asked.

    Args:
        text: line raised in capitals.
        book: the job's words.
        language: two-letter language.
        capitals: False where the code writes no capital signs.
    """
    questions = Questions(text)
    asked: list[str] = []
    parts: list[Part] = []
    for piece in split_pieces(text):
        token = _choose(piece.text, book, language)
        if token.kind is TokenKind.WORD and book.job_kind(piece.text) is None:
            asked.append(piece.text)
        if token.kind is TokenKind.NAME and not capitals:
            token = replace(token, typed=token.typed.lower(), reason=f"{token.reason}; this code writes no capitals")
        parts.append(Part(token=token, chunk=piece.chunk))
    if asked:
        questions.ask(
            "language-words",
            f"{text!r} is brailled with {', '.join(dict.fromkeys(asked))} as common words (small letters): "
            "no word list of ours covers this language.",
            "Have a reader of the language confirm it; add names to the job's lexicon under names, "
            "the rest under words.",
        )
    return Reading(parts=tuple(parts), flags=tuple(questions.flags))


def _choose(text: str, book: WordBook, language: str) -> Token:
    if not any(char.isalpha() for char in text):
        return plain_token(text)
    if any(char.isdigit() for char in text):
        return make_token(text, TokenKind.ROOM_CODE, text, "letters and digits of a room number", contracted=False)
    if name := book.find_name(text):
        return make_token(text, TokenKind.NAME, name_case(name.written), "name in the job's lexicon")
    if (kind := book.job_kind(text)) in (TokenKind.SPELLED, TokenKind.SPOKEN):
        contracted = kind is TokenKind.SPOKEN
        return make_token(text, kind, book.written(text), "acronym in the job's lexicon", contracted=contracted)
    if len(text) == 1 and text not in book.policy.one_letter_words.get(language, frozenset()):
        return make_token(text, TokenKind.LETTER, text, "single letter", contracted=False)
    return make_token(text, TokenKind.WORD, text.lower(), "taken as a common word")
