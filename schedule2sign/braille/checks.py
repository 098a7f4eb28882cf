"""Checks every translated line must stand."""

import re
from collections.abc import Container, Sequence

from schedule2sign.geometry.dotgrid import BLANK
from schedule2sign.model.flag import Flag, Severity

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
    return (_hold("word-count", text, message, "Have a transcriber write this line.", str(len(groups)), str(words)),)


def check_joins(text: str, typed: str, code: str) -> tuple[Flag, ...]:
    """The pre-2016 code joins some words, which one blank for each space cannot show."""
    found = _OLD_JOINS.search(typed) if code == "us-2016-and-before" else None
    if found is None:
        return ()
    message = f"{text!r} holds {found[0]!r}, which the pre-2016 code writes without the space."
    return (_hold("old-join", text, message, "Have a transcriber write this line, or use ueb-contracted."),)


def check_back(text: str, typed: str, back: str, *, capitals: bool) -> tuple[Flag, ...]:
    """The cells read as the text that went in; letter case counts only where the code writes capitals."""
    if back == typed or (not capitals and back.lower() == typed.lower()):
        return ()
    message = f"The braille of {text!r} translates back to {back!r}; {typed!r} went in."
    return (_hold("back-translation", text, message, "Have a transcriber check this line.", back, typed),)


def check_mixed_case(text: str, words: Sequence[str], known: Container[str]) -> tuple[Flag, ...]:
    """Two capitals before a small letter (BEd): the engine ends the capitals in the wrong place."""
    odd = [word for word in words if _MIXED_CASE.search(word) and word not in known]
    if not odd:
        return ()
    message = f"{odd[0]!r} in {text!r} mixes capitals and small letters in a way the braille engine gets wrong."
    return (_hold("mixed-capitals", text, message, "Have a transcriber write this word.", clause="UEB 8.4.2"),)


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
