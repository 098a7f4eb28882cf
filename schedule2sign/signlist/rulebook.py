"""The decision rules: data in order, first hit wins; a job may override or add some."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, fields
from importlib.resources import files
from pathlib import Path
from typing import Any

from schedule2sign.errors import InputError
from schedule2sign.model.flag import Severity
from schedule2sign.model.settings import Wording
from schedule2sign.model.sign import Side
from schedule2sign.signlist.phrases import compile_phrases

_REQUIRED = ("id", "code", "category", "template", "severity", "who", "reason")
_PHRASES = ("words", "except", "remarks", "row")
_ID = re.compile(r"[A-Z0-9]{1,12}")
_CODE = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


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
    ask: str = ""
    fix: str = ""
    clause: str = ""
    once: str = ""
    once_severity: Severity = Severity.ASK


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleBook:
    """The rules in order, and the word lists that stand beside them."""

    rules: tuple[DecisionRule, ...]
    sign_types: Mapping[str, str]  # word of a sign-type column -> template, "none" or "any"
    outside: re.Pattern[str]
    public: re.Pattern[str]
    pair: re.Pattern[str]
    glass: re.Pattern[str]
    hands: Mapping[str, str]  # word of a hand column -> "left" or "right" (where the hinges are)

    def status_rule(self, name: str, notes: str, cells: str) -> DecisionRule | None:
        """The first rule that a status word or a kind of door fires, before any name is looked at."""
        for rule in self.rules:
            if rule.category in ("status", "opening") and not rule.excluded.search(name):
                by_note = any(
                    rule.remarks.search(note.strip(" .")) or rule.remarks.search(note) for note in _parts(notes)
                )
                if by_note or rule.words.search(name) or rule.row.search(cells):
                    return rule
        return None

    def name_rule(self, name: str) -> DecisionRule | None:
        """The first rule that the cleaned name fires."""
        for rule in self.rules:
            if rule.category in ("status", "opening"):
                continue
            if rule.words.search(name) and not rule.excluded.search(name):
                return rule
        return None

    def rule(self, rule_id: str) -> DecisionRule:
        """The rule of that id.

        Raises:
            KeyError: there is none.
        """
        for rule in self.rules:
            if rule.id == rule_id:
                return rule
        raise KeyError(rule_id)


def _parts(notes: str) -> Iterator[str]:
    yield from (part.strip() for part in re.split(r"[,;|]", notes) if part.strip())


def load_rules(wording: Wording | None = None, extra: Path | None = None) -> RuleBook:
    """The built-in rules under the job's own.

    Args:
        wording: the job's words; "{stair}" and the like in a phrase stand for them.
        extra: a TOML file of [[rule]] tables. A known id replaces that rule where it stands; a new id goes in front of
            the category rules, or in front of the rule that its "before" names.

    Raises:
        InputError: the extra file cannot be read or has a mistake.
    """
    data = tomllib.loads(files("schedule2sign.signlist").joinpath("rules.toml").read_text(encoding="utf-8"))
    words = {key: value.upper() for key, value in asdict(wording or Wording()).items()}
    rules = [_make_rule(table, words, "rules.toml") for table in data["rule"]]
    if extra is not None:
        _add_rules(rules, extra, words)
    types = {word: template for template, known in data["sign-type"]["template"].items() for word in known}
    types |= {word: kind for kind in ("none", "any") for word in data["sign-type"][kind]}
    return RuleBook(
        rules=tuple(rules),
        sign_types=types,
        outside=compile_phrases(f"={word}" for word in data["from"]["outside"]),
        public=compile_phrases(data["from"]["public"]),
        pair=compile_phrases(data["pair"]["words"]),
        glass=compile_phrases(data["glass"]["words"]),
        hands={word: side for side in ("left", "right") for word in data["hand"][side]},
    )


def _make_rule(table: Mapping[str, Any], words: Mapping[str, str], file: str) -> DecisionRule:
    where = f"{file}, rule {table.get('id', '?')!r}"
    known = {field.name for field in fields(DecisionRule)} - {"excluded"} | {"except", "before"}
    if unknown := sorted(set(table) - known):
        raise InputError(f"{where}: {unknown[0]!r} means nothing; known keys: {', '.join(sorted(known))}.")
    if missing := [key for key in _REQUIRED if not isinstance(table.get(key), str)]:
        raise InputError(f"{where}: {missing[0]!r} is missing or no text.")
    for key, value in table.items():
        if key in _PHRASES and not (isinstance(value, list) and all(isinstance(word, str) for word in value)):
            raise InputError(f"{where}: {key!r} must be a list of phrases in quotes.")
        if key not in _PHRASES and not isinstance(value, str):
            raise InputError(f"{where}: {key!r} must be text in quotes.")
    if not any(table.get(key) for key in ("words", "remarks", "row")):
        raise InputError(f"{where}: it has no words, remarks or row to look for, so it would never fire.")
    if not _ID.fullmatch(table["id"]) or not _CODE.fullmatch(table["code"]):
        raise InputError(
            f"{where}: an id is capitals and digits (R7), a code is small words with hyphens (storage-room)."
        )
    phrases = {key: compile_phrases(_fill(table.get(key, ()), words)) for key in _PHRASES}
    try:
        severities = {key: Severity(table[key]) for key in ("severity", "once_severity") if key in table}
        side = Side(table.get("side", "C"))
    except ValueError as error:
        raise InputError(f"{where}: {error}. Severity is NOTE, ASK or HOLD; side is C, R, S or X.") from None
    texts = {key: value for key, value in table.items() if key not in (*_PHRASES, *severities, "side", "before")}
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


def _add_rules(rules: list[DecisionRule], extra: Path, words: Mapping[str, str]) -> None:
    try:
        data = tomllib.loads(extra.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(f"The rule file {extra} cannot be read: {error.strerror}.") from error
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InputError(f"The rule file {extra.name} is not valid TOML: {error}.") from error
    tables = data.get("rule")
    if set(data) != {"rule"} or not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        raise InputError(f"The rule file {extra.name} holds [[rule]] tables and nothing else.")
    for table in tables:
        rule = _make_rule(table, words, extra.name)
        places = {known.id: at for at, known in enumerate(rules)}
        if rule.id in places and "before" not in table:
            rules[places[rule.id]] = rule
            continue
        if rule.id in places:
            raise InputError(
                f"{extra.name}, rule {rule.id!r} exists already; without 'before' it replaces the old one."
            )
        before = table.get("before", "")
        if before and before not in places:
            raise InputError(f"{extra.name}, rule {rule.id!r}: there is no rule {before!r} to stand before.")
        first = next((at for at, known in enumerate(rules) if known.category not in ("status", "opening")), len(rules))
        rules.insert(places[before] if before else first, rule)
