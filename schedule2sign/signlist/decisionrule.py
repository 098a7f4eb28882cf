"""One decision rule, made from a table of a rule file."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Any

from schedule2sign.errors import InputError
from schedule2sign.model.flag import Severity
from schedule2sign.model.sign import Side
from schedule2sign.signlist.phrases import compile_phrases

_REQUIRED = ("id", "code", "category", "template", "severity", "who", "reason")
_PHRASES = ("words", "except", "remarks", "row")
_ID = re.compile(r"[A-Z0-9]{1,12}")
_CODE = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
EARLY = ("status", "opening")  # categories looked at before any name; they alone see remarks and other cells


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionRule:
    """One rule; rules.toml says what each key means."""

    id: str
    code: str
    category: str
    template: str
    severity: Severity
    who: str
    reason: str
    words: re.Pattern[str]
    excluded: re.Pattern[str]
    remarks: re.Pattern[str]
    row: re.Pattern[str]
    side: Side = Side.CORRIDOR
    also: str = ""
    pictogram: str = ""
    symbol: str = ""
    ask: str = ""
    fix: str = ""
    clause: str = ""
    once: str = ""
    once_severity: Severity = Severity.ASK


def make_rule(table: Mapping[str, Any], words: Mapping[str, str], where: str) -> DecisionRule:
    """A rule of a table as rules.toml describes it.

    Args:
        words: the job's words, which "{stair}" and the like in a phrase stand for.
        where: what messages call the rule.

    Raises:
        InputError: the table has a mistake.
    """
    known = {field.name for field in fields(DecisionRule)} - {"excluded"} | {"except"}
    if unknown := sorted(set(table) - known):
        raise InputError(f"{where}: {unknown[0]!r} means nothing; known keys: {', '.join(sorted(known))}.")
    if missing := [key for key in _REQUIRED if not isinstance(table.get(key), str)]:
        raise InputError(f"{where}: {missing[0]!r} is missing or no text.")
    for key, value in table.items():
        if key in _PHRASES and not (isinstance(value, list) and all(isinstance(word, str) for word in value)):
            raise InputError(f"{where}: {key!r} must be a list of phrases in quotes.")
        if key not in _PHRASES and not isinstance(value, str):
            raise InputError(f"{where}: {key!r} must be text in quotes.")
    if table["category"] not in EARLY and any(table.get(key) for key in ("remarks", "row")):
        raise InputError(f"{where}: remarks and row are looked at in the category 'status' only.")
    if not any(table.get(key) for key in ("words", "remarks", "row")):
        raise InputError(f"{where}: it has no words, remarks or row to look for, so it would never fire.")
    if not _ID.fullmatch(table["id"]) or not _CODE.fullmatch(table["code"]):
        raise InputError(
            f"{where}: an id is capitals and digits (R7), a code is small words with hyphens (storage-room)."
        )
    if Severity.STOP in (table.get("severity"), table.get("once_severity")):
        raise InputError(f"{where}: STOP concerns whole files. Severity is NOTE, ASK or HOLD.")
    phrases = {key: compile_phrases(_fill(table.get(key, ()), words)) for key in _PHRASES}
    try:
        severities = {key: Severity(table[key]) for key in ("severity", "once_severity") if key in table}
        side = Side(table.get("side", "C"))
    except ValueError as error:
        raise InputError(f"{where}: {error}. Severity is NOTE, ASK or HOLD; side is C, R, S or X.") from None
    texts = {key: value for key, value in table.items() if key not in (*_PHRASES, *severities, "side")}
    return DecisionRule(
        words=phrases["words"],
        excluded=phrases["except"],
        remarks=phrases["remarks"],
        row=phrases["row"],
        side=side,
        **severities,
        **texts,
    )


def _fill(phrases: list[str] | tuple[str, ...], words: Mapping[str, str]) -> Iterator[str]:
    for phrase in phrases:
        for key, value in words.items():
            phrase = phrase.replace("{" + key + "}", value)
        yield phrase
