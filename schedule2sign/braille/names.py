"""Proper names in a line: the job's, the sure ones, those after a title, and how far they reach."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from schedule2sign.braille.lexicon import Name, WordBook
from schedule2sign.braille.parts import Piece, Questions, make_token, name_case, split_pieces
from schedule2sign.model.braille import Token, TokenKind

Tokens = dict[int, Token]  # by index of the piece


def take_names(pieces: Sequence[Piece], book: WordBook, questions: Questions) -> Tokens:
    """Names of the job and sure names, longest first."""
    taken: Tokens = {}
    index = 0
    while index < len(pieces):
        for count in range(min(book.longest_name, len(pieces) - index), 0, -1):
            span = pieces[index : index + count]
            name = _find(span, pieces[index + count :], book) if _starts_clean(pieces, index) else None
            if name:
                for offset, token in enumerate(_name_tokens(span, name, book, questions)):
                    taken[index + offset] = token
                index += count
                break
        else:
            index += 1
    return taken


def take_titles(pieces: Sequence[Piece], book: WordBook, settled: Tokens) -> Tokens:
    """DR. VALE, ST ORAN, J. VALE: a title or an initial makes the next word a name, unless it is an everyday word."""
    taken: Tokens = {}
    for index, piece in enumerate(pieces):
        dotted = _text(pieces, index + 1) == "." and pieces[index + 1].chunk == piece.chunk
        initial = len(piece.text) == 1 and piece.text.isalpha() and dotted
        if index in settled or not (initial or piece.text in book.policy.titles):
            continue
        if initial:
            taken[index] = make_token(piece.text, TokenKind.INITIALS, piece.text, "initial", contracted=False)
        after = index + 2 if dotted else index + 1
        word = _text(pieces, after)
        if len(word) < 2 or not word[0].isalpha() or pieces[after].chunk != piece.chunk + 1:
            continue
        is_name = after in settled and settled[after].kind is TokenKind.NAME
        if not is_name and (after in settled or book.is_known(word)):
            continue
        if not initial:
            reason = f"title before {word}"
            # UEB 10.4.2: St, saint or street, is written s t.
            taken[index] = make_token(piece.text, TokenKind.NAME, piece.text.capitalize(), reason, contracted=False)
        if not is_name:
            taken[after] = make_token(word, TokenKind.NAME, name_case(word), f"name after {piece.text}")
    return taken


def extend_names(
    pieces: Sequence[Piece], tokens: Tokens, settled: Tokens, book: WordBook, questions: Questions
) -> Tokens:
    """A name before a place noun is, unless the job says otherwise, the name of the place: Vale Library."""
    taken: Tokens = {}
    for index, piece in enumerate(pieces):
        if tokens[index].kind is not TokenKind.NAME or index in settled or index in taken or _is_title(tokens[index]):
            continue
        last = _last_place_noun(pieces, tokens, index, book)
        if last == index:
            continue
        for spot in range(index + 1, last + 1):
            if tokens[spot].kind is TokenKind.WORD and tokens[spot].text not in book.policy.joiners:
                typed = tokens[spot].text.capitalize()
                reason = f"part of a name with {piece.text}"
                taken[spot] = replace(tokens[spot], typed=typed, kind=TokenKind.NAME, reason=reason)
        phrase = " ".join(other.text for other in pieces[index : last + 1])
        questions.ask(
            "name-extent",
            f"{phrase!r} is brailled as one proper name, every word with a capital.",
            f"If that is the place's name, add {phrase!r} to the job's lexicon under names; "
            f"if only {piece.text} is a name, add {piece.text!r}.",
        )
    return taken


def _text(pieces: Sequence[Piece], index: int) -> str:
    return pieces[index].text if index < len(pieces) else ""


def _is_title(token: Token) -> bool:
    return token.reason.startswith("title")


def _starts_clean(pieces: Sequence[Piece], index: int) -> bool:
    """A name does not start behind a digit or letter of its own chunk: the VALE of 2VALE is no name."""
    return index == 0 or pieces[index - 1].chunk != pieces[index].chunk or not pieces[index - 1].text.isalnum()


def _find(span: Sequence[Piece], rest: Sequence[Piece], book: WordBook) -> Name | None:
    if rest and rest[0].chunk == span[-1].chunk and rest[0].text.isalnum():
        return None
    text = span[0].text
    for before, piece in pairwise(span):
        text += piece.text if piece.chunk == before.chunk else f" {piece.text}"
    if len(span) == 1 and book.job_kind(text):
        return None
    return book.find_name(text)


def _name_tokens(span: Sequence[Piece], name: Name, book: WordBook, questions: Questions) -> list[Token]:
    reason = "name in the job's lexicon" if name.from_job else "proper name"
    tokens: list[Token] = []
    for piece, form in zip(span, split_pieces(name.written), strict=True):
        acronym = book.acronym(piece.text) if len(span) > 1 else None
        if acronym and form.text == form.text.upper():
            contracted = acronym.kind is not TokenKind.SPELLED
            tokens.append(
                make_token(piece.text, acronym.kind, piece.text, f"{reason}; {acronym.meaning}", contracted=contracted)
            )
            continue
        if not piece.text[0].isalpha():
            tokens.append(make_token(piece.text, TokenKind.SYMBOL, piece.text, reason))
            continue
        if piece.text.startswith("MC") and len(piece.text) > 4 and form.text == form.text.upper():
            questions.ask(
                "name-capitals",
                f"{piece.text!r} is brailled {name_case(form.text)!r}; the job's lexicon shows no capitals inside it.",
                "Write the name in the lexicon as it is spelled, such as 'McVale'.",
            )
        tokens.append(make_token(piece.text, TokenKind.NAME, name_case(form.text), reason))
    return tokens


def _last_place_noun(pieces: Sequence[Piece], tokens: Tokens, index: int, book: WordBook) -> int:
    last = index
    for spot in range(index + 1, len(pieces)):
        if tokens[spot].kind not in (TokenKind.WORD, TokenKind.NAME):
            break
        if pieces[spot].text in book.policy.place_nouns:
            last = spot
    return last
