"""Why a line's braille is as it is: capitals, contractions, dots."""

from collections.abc import Iterator
from dataclasses import dataclass

from schedule2sign.braille.codes import find_code
from schedule2sign.braille.translator import Translator
from schedule2sign.geometry.brailleascii import ascii_braille, dot_numbers
from schedule2sign.geometry.dotgrid import BLANK
from schedule2sign.model.braille import BrailleLine, Token, TokenKind

# The classes ADA 703.3.1 lets keep their capitals, in its words; a room code's letters are letters of the alphabet.
_CAPITALS = {
    TokenKind.WORD: "first word of a sentence",
    TokenKind.NAME: "proper noun or name",
    TokenKind.SPELLED: "acronym",
    TokenKind.SPOKEN: "acronym",
    TokenKind.LETTER: "individual letter of the alphabet",
    TokenKind.INITIALS: "initials",
    TokenKind.ROOM_CODE: "individual letters of the alphabet",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Contraction:
    """Letters written shorter than letter by letter, and their cells."""

    letters: str
    cells: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ExplainedWord:
    """What stands between two spaces."""

    typed: str
    cells: str
    ascii: str
    dots: str
    tokens: tuple[Token, ...]
    contractions: tuple[Contraction, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """A line with its words explained; `words` is () where the cells could not be told apart by word."""

    line: BrailleLine
    code_title: str
    ascii: str
    words: tuple[ExplainedWord, ...]


def explain(text: str, translator: Translator, code: str = "") -> Explanation:
    """Explain the braille of one raised line.

    Raises:
        InputError: no such braille code.
    """
    line = translator.translate(text, code)
    chosen = find_code(line.code)
    readable = not any(flag.code in ("braille/unknown-character", "braille/word-count") for flag in line.flags)
    engine = translator.open_engine(chosen.tables)
    words: list[ExplainedWord] = []
    if readable:
        _, given = translator.read_words(text, chosen)
        for word, cells in zip(given, line.cells.split(BLANK), strict=True):
            spans = () if translator.fixed_cells(word, chosen) else engine.align(word.typed, word.kept)
            found = tuple(
                Contraction(letters=letters, cells=span) for letters, span in spans if _is_contraction(letters, span)
            )
            words.append(
                ExplainedWord(
                    typed=word.typed,
                    cells=cells,
                    ascii=ascii_braille(cells),
                    dots=dot_numbers(cells),
                    tokens=word.tokens,
                    contractions=found,
                )
            )
    return Explanation(
        line=line,
        code_title=chosen.title,
        ascii=ascii_braille(line.cells) if readable else "",
        words=tuple(words),
    )


def explanation_lines(explanation: Explanation) -> Iterator[str]:
    """The explanation as lines of text for a terminal."""
    line = explanation.line
    yield f"raised            {line.text}"
    yield f"braille           {line.cells}"
    yield f"ASCII braille     {explanation.ascii}"
    yield f"back-translation  {line.back}"
    yield f"code              {line.code} ({explanation.code_title})"
    for word in explanation.words:
        yield ""
        yield f"{word.typed}  {word.cells}  {word.ascii}"
        yield f"  dots          {word.dots}"
        for token in word.tokens:
            said = [
                f"{token.kind}: {token.reason}",
                capitals_reason(token),
                "" if token.contracted else "not contracted",
            ]
            yield f"  {token.typed:<13} {'; '.join(filter(None, said))}"
        if word.contractions:
            yield "  contractions  " + ", ".join(f"{part.letters} {part.cells}" for part in word.contractions)
    for flag in line.flags:
        yield ""
        yield f"{flag.severity} {flag.code}: {flag.message} {flag.fix}".rstrip()


def capitals_reason(token: Token) -> str:
    """Why the word has capitals in braille, or none; "" where it has no letter."""
    if not any(char.isalpha() for char in token.typed):
        return ""
    if token.typed == token.typed.lower():
        return "no capital (ADA 703.3.1)"
    return f"capital kept: {_CAPITALS.get(token.kind, token.kind)} (ADA 703.3.1)"


def _is_contraction(letters: str, cells: str) -> bool:
    """Fewer cells than letters, capital signs left out."""
    return len(letters) > 1 and letters[0].isalpha() and len(cells.lstrip("\u2820")) < len(letters)
