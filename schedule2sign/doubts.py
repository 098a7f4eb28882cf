"""One doubt, one question: what two stages ask about one word or one cell is asked once."""

import re
from collections.abc import Iterable
from dataclasses import replace

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.sign import SignList

# Code of the stage that speaks second -> codes with which an earlier stage has asked the same.
_SAME_WORD = {
    "braille/unknown-word": (
        "naming/spelling", "naming/unknown-word", "naming/unknown-abbreviation", "naming/ambiguous-abbreviation",
        "naming/character", "naming/damaged-text", "naming/look-alike", "naming/foreign-language",
    ),
    "braille/unknown-character": ("naming/character", "naming/accented-letter", "naming/damaged-text", "naming/look-alike"),
    "braille/acronym-or-word": ("naming/acronym-or-word",),
    "braille/language-words": ("naming/foreign-language",),
}  # fmt: skip
_SAME_CELL = {
    "naming/number-date": ("intake/date-value",),
    "naming/number-fraction": ("intake/date-value",),
    "naming/number-range": ("intake/date-value",),
    "naming/number-exponent": ("intake/scientific-number", "intake/date-value"),
}
_QUOTED = re.compile(r"'([^']+)'")


def ask_once(flags: Iterable[Flag]) -> tuple[Flag, ...]:
    """The flags with each doubt once, in order: the first to speak keeps it, with the stronger severity of the two.

    Where a person has settled the first (a note by now: none of the first codes is one by itself), the second is still a
    question of its own: that a word is spelled right does not say how it is brailled.
    """
    said = list(dict.fromkeys(flags))
    kept: list[Flag] = []
    for flag in said:
        at = next((at for at, first in enumerate(kept) if _is_same(first, flag)), None)
        if at is None:
            kept.append(flag)
        else:
            kept[at] = _join(kept[at], flag)
    return tuple(kept)


def ask_rows_once(sign_list: SignList) -> SignList:
    """The sign list with each doubt of a row and of a sign once."""
    decisions, requests = sign_list.decisions, sign_list.requests
    return replace(
        sign_list,
        decisions=tuple(one if len(one.flags) < 2 else replace(one, flags=ask_once(one.flags)) for one in decisions),
        requests=tuple(one if len(one.flags) < 2 else replace(one, flags=ask_once(one.flags)) for one in requests),
    )


def _is_same(first: Flag, second: Flag) -> bool:
    if first.severity is Severity.NOTE:
        return False
    if first.code in _SAME_CELL.get(second.code, ()):
        return first.source == second.source
    if first.code not in _SAME_WORD.get(second.code, ()):
        return False
    word = _QUOTED.search(second.message)
    return word is not None and word[1].upper() in " ".join(_QUOTED.findall(first.message)[:1]).upper()


def _join(first: Flag, second: Flag) -> Flag:
    stronger = max(first.severity, second.severity, key=lambda one: one.rank)
    fix = first.fix if second.fix in first.fix else f"{first.fix} {second.fix}".strip()
    return replace(
        first,
        severity=stronger,
        message=f"{first.message.removesuffix('.')}. (Asked also as {second.code}.)",
        clause=first.clause or second.clause,
        fix=fix,
        who=first.who or second.who,
    )
