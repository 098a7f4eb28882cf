"""The pieces of a raised line, and what is found out about each."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from schedule2sign.model.braille import Token, TokenKind
from schedule2sign.model.flag import Flag, Severity

# Dotted initials, numbers with full stops or commas, runs of letters and digits, else one character.
_PIECE = re.compile(r"(?:[^\W\d_]\.){2,}|\d+(?:[.,]\d+)+|[^\W_]+(?:'[^\W\d_]+)*'?|\S")
_POSSESSIVE = re.compile(r"'S$")
_LETTERS = re.compile(r"[^\W\d_]{2,}")
CAPITALS_CLAUSE = "ADA 703.3.1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A run of letters and digits, or one sign. `chunk` counts the words between spaces, from 0."""

    text: str
    chunk: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A classed piece."""

    token: Token
    chunk: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A line as classed: its parts, and what must be told or asked about them."""

    parts: tuple[Part, ...]
    flags: tuple[Flag, ...]


class Word:
    """What stands between two spaces: the text handed to the engine and which of its letters stay uncontracted."""

    def __init__(self, parts: Sequence[Part]) -> None:
        self.tokens: tuple[Token, ...] = tuple(part.token for part in parts)
        self.typed = "".join(token.typed for token in self.tokens)
        # Only runs of letters need keeping apart; on a single letter the mark would change older codes' letter signs.
        self.kept = tuple(
            not token.contracted and _LETTERS.search(token.typed) is not None
            for token in self.tokens
            for _ in token.typed
        )

    @property
    def is_uncontracted(self) -> bool:
        """True where no letter of the word may be contracted."""
        return not any(token.contracted and _LETTERS.search(token.typed) for token in self.tokens)


class Questions:
    """Flags about one line, gathered."""

    def __init__(self, text: str) -> None:
        self._text = text
        self.flags: list[Flag] = []

    def ask(self, code: str, message: str, fix: str, clause: str = CAPITALS_CLAUSE, who: str = "transcriber") -> None:
        """A default was taken; a person must tick it."""
        self._add(Severity.ASK, code, message, fix, clause, who)

    def hold(self, code: str, message: str, fix: str, clause: str = CAPITALS_CLAUSE, who: str = "architect") -> None:
        """No default is safe."""
        self._add(Severity.HOLD, code, message, fix, clause, who)

    def _add(self, severity: Severity, code: str, message: str, fix: str, clause: str, who: str) -> None:
        flag = Flag(
            code=f"braille/{code}",
            severity=severity,
            message=message,
            given=self._text,
            clause=clause,
            fix=fix,
            who=who,
        )
        if flag not in self.flags:
            self.flags.append(flag)


def split_pieces(text: str) -> tuple[Piece, ...]:
    """Pieces of a line, in order; joined chunk by chunk they are the line again."""
    if _PIECE.fullmatch(text):
        return (Piece(text=text, chunk=0),)  # a number or one word
    return tuple(
        Piece(text=piece, chunk=chunk) for chunk, word in enumerate(text.split()) for piece in _PIECE.findall(word)
    )


def make_token(text: str, kind: TokenKind, typed: str, reason: str, *, contracted: bool = True) -> Token:
    """A token, contracted unless said otherwise."""
    return Token(text=text, kind=kind, typed=typed, contracted=contracted, reason=reason)


def plain_token(text: str) -> Token:
    """A number, a sign or a punctuation mark."""
    if text[0].isdigit():
        return make_token(text, TokenKind.NUMBER, text, "number")
    return make_token(text, TokenKind.SYMBOL, text, "sign or punctuation")


def name_case(name: str) -> str:
    """A name in mixed case stays as given; one in capitals gets a capital for each part (O'Brien, Smith-Vale)."""
    if name != name.upper():
        return name
    bare = _POSSESSIVE.sub("", name)
    cased = "".join(part.capitalize() for part in re.split(r"([-' ])", bare))
    return f"{cased}'s" if bare != name else cased
