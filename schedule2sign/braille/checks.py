"""Checks every translated line must stand."""

import re
from collections.abc import Container, Sequence

from schedule2sign.braille.engine import LouisEngine
from schedule2sign.braille.parts import Word
from schedule2sign.geometry.dotgrid import BLANK
from schedule2sign.model.braille import TokenKind
from schedule2sign.model.flag import Flag, Severity

_TAME_SIGNS = frozenset("-.,'")
_LOWER = {"\u2812": "\u2809\u2815\u281d", "\u2832": "\u2819\u280a\u280e", "\u2806": "\u2803\u2811"}
_SIX_DOT = frozenset(chr(0x2800 + bits) for bits in range(64))
# The pre-2016 code writes these words without a space between them, or joins them to the next word
# (from memory).
_OLD_JOINS = re.compile(r"\b(?:a|and|for|of|the|with) (?:a|and|for|of|the|with)\b|\b(?:to|into|by) \S")
_MIXED_CASE = re.compile(r"[A-Z]{2}[a-z](?!\b)|[A-Z]{2}[a-rt-z]")


def check_cells(text: str, words: int, cells: str) -> tuple[Flag, ...]:
    """Only six-dot cells, and one group of cells for each word."""
    if odd := sorted(set(cells) - _SIX_DOT):
        message = f"{text!r} holds a character the braille code has no sign for (the engine wrote {' '.join(odd)})."
        return (
            _hold("unknown-character", text, message, "Reword the sign, or choose the braille code of its language."),
        )
    groups = cells.split(BLANK) if cells else []
    if len(groups) == words and all(groups):
        return ()
    message = (
        f"{text!r} has {words} words but its braille has {len(groups)}, so it cannot be divided into lines safely."
    )
    return (
        _hold(
            "word-count",
            text,
            message,
            "Have a transcriber write this line in braille-check.xlsx and sign it.",
            str(len(groups)),
            str(words),
        ),
    )


def check_joins(text: str, typed: str, code: str) -> tuple[Flag, ...]:
    """The pre-2016 code joins some words, which one blank for each space cannot show."""
    found = _OLD_JOINS.search(typed) if code == "us-2016-and-before" else None
    if found is None:
        return ()
    message = f"{text!r} holds {found[0]!r}, which the pre-2016 code writes without the space."
    return (_hold("old-join", text, message, "Reword the line, or use ueb-contracted."),)


def check_back(text: str, typed: str, back: str, *, capitals: bool) -> tuple[Flag, ...]:
    """The cells read as the text that went in; letter case counts only where the code writes capitals."""
    if back == typed or (not capitals and back.lower() == typed.lower()):
        return ()
    message = f"The braille of {text!r} translates back to {back!r}; {typed!r} went in."
    return (
        _hold(
            "back-translation",
            text,
            message,
            "Have a transcriber check this line in braille-check.xlsx and sign it.",
            back,
            typed,
        ),
    )


def check_mixed_case(text: str, words: Sequence[str], known: Container[str]) -> tuple[Flag, ...]:
    """Two capitals before a small letter (BEd): the engine ends the capitals in the wrong place."""
    odd = [word for word in words if _MIXED_CASE.search(word) and word not in known]
    if not odd:
        return ()
    message = f"{odd[0]!r} in {text!r} mixes capitals and small letters in a way the braille engine gets wrong."
    return (
        _hold(
            "mixed-capitals",
            text,
            message,
            "Have a transcriber write this word in braille-check.xlsx and sign it.",
            clause="UEB 8.4.2",
        ),
    )


def check_neighbors(text: str, word: Word, cells: str, engine: LouisEngine) -> tuple[Flag, ...]:
    """A word that touches a slash or another sign reads as it does alone.

    The engine's whole-word rules do not reach such words: dish/ comes out as dis + h.
    """
    if not any(token.kind is TokenKind.SYMBOL and token.typed not in _TAME_SIGNS for token in word.tokens):
        return ()
    for token in word.tokens:
        if not token.contracted or not token.typed[0].isalpha():
            continue
        alone = engine.translate(token.typed)
        # Behind a sign that is no hyphen, be, con and dis are spelled (UEB 10.6.1, from memory).
        spelled = next((alone.replace(low, full, 1) for low, full in _LOWER.items() if low in alone[:2]), alone)
        if alone not in cells and spelled not in cells:
            message = f"{token.text!r} in {text!r} touches a sign, where the braille engine contracts it differently."
            fix = "Put the words on two lines or join them with AND; else have a transcriber write this line in braille-check.xlsx and sign it."
            return (_hold("word-beside-sign", text, message, fix, cells, alone),)
    return ()


def _hold(
    code: str, text: str, message: str, fix: str, measured: str = "", required: str = "", clause: str = ""
) -> Flag:
    return Flag(
        code=f"braille/{code}",
        severity=Severity.HOLD,
        message=message,
        given=text,
        measured=measured,
        required=required,
        clause=clause,
        fix=fix,
        who="transcriber",
    )
