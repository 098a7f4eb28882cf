"""Phrases of the rule file as patterns over a cleaned text."""

import re
from collections.abc import Iterable

# A number, a letter or two, or both: STAIR 2, STAIR B, LAB 2A, ST-1.
_DESIGNATOR = r"(?:NO\.? ?|# ?)?(?:(?!(?:OF|TO|IN|AT|ON|OR|BY)\b)[A-Z]{1,2}|[A-Z]?-?\d{1,4}[A-Z]?)"
_BEFORE, _AFTER = r"(?<![A-Z0-9'])", r"(?![A-Z0-9'])"
_TYPED = str.maketrans({"\u2019": "'", "\u2018": "'", "\u201c": '"', "\u201d": '"', "\u2013": "-", "\u2014": "-"})
NOTHING = re.compile(r"(?!)")  # what no phrase at all compiles to


def plain(text: str) -> str:
    """Capitals, plain quotes and dashes, single spaces: what phrases are compared with."""
    if not text:
        return ""  # most cells of a schedule
    return " ".join((text if text.isascii() else text.translate(_TYPED)).upper().split())


def compile_phrases(phrases: Iterable[str]) -> re.Pattern[str]:
    """One pattern for a list of phrases: "=" whole text, "^" at its start, "$" at its end, "#" a number or letter.

    "..." stands for any words between: "FEMALE ... TOILET".
    """
    alike: dict[tuple[str, str], list[str]] = {}
    for phrase in phrases:
        edges, core = _compile(phrase)
        alike.setdefault(edges, []).append(core)
    # What must stand before and after is looked at once for all phrases that share it.
    parts = [f"{first}(?:{'|'.join(cores)}){last}" for (first, last), cores in alike.items()]
    return re.compile("|".join(parts)) if parts else NOTHING


def _compile(phrase: str) -> tuple[tuple[str, str], str]:
    """What stands before and after the phrase, and the phrase itself."""
    whole, start, end = phrase.startswith("="), phrase.startswith("^"), phrase.endswith("$")
    core = plain(phrase.lstrip("=^").removesuffix("$"))
    gaps = (_DESIGNATOR.join(re.escape(part) for part in words.split("#")) for words in core.split(" ... "))
    first = "^" if whole or start else _BEFORE
    last = "$" if whole or end else _AFTER
    return (first, last), rf"{_AFTER}.*{_BEFORE}".join(gaps)
