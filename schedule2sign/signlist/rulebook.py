"""The decision rules: data in order, first hit wins; the job's own stand before the built-in ones."""

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any

from schedule2sign.model.settings import RuleTable, Wording
from schedule2sign.signlist.decisionrule import EARLY, DecisionRule, make_rule
from schedule2sign.signlist.jobrules import merge_rules
from schedule2sign.signlist.phrases import NOTHING, compile_phrases

_PARTED = re.compile(r"[,;|]")


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleBook:
    """The rules in order, and the word lists that stand beside them.

    Attributes:
        shipped: the built-in rules, whatever a job makes of them.
        added, changed, switched_off: ids of rules, as the job file says.
        sign_types: word of a sign-type column -> template, "none" or "any".
        special: template -> templates that are a special form of it.
        discharge: what says that a level is the level of exit discharge.
        profiles: what a rule profile may ask for besides -> ids of the profiles that do.
        hands: word of a hand column -> "left" or "right" (where the hinges are).
    """

    rules: tuple[DecisionRule, ...]
    shipped: tuple[DecisionRule, ...]
    sign_types: Mapping[str, str]
    special: Mapping[str, tuple[str, ...]]
    discharge: re.Pattern[str]
    profiles: Mapping[str, tuple[str, ...]]
    outside: re.Pattern[str]
    public: re.Pattern[str]
    pair: re.Pattern[str]
    glass: re.Pattern[str]
    hands: Mapping[str, str]
    added: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    switched_off: tuple[str, ...] = ()

    def name_rule(self, name: str) -> DecisionRule | None:
        """The first rule that the cleaned name fires."""
        for rule in self.rules:
            if rule.category in EARLY:
                continue
            if rule.words.search(name) and not rule.excluded.search(name):
                return rule
        return None

    def life_safety(self, name: str) -> DecisionRule | None:
        """The built-in rule for a life-safety sign that the name fires, whatever the job's own rules say."""
        for rule in self.shipped:
            if rule.category == "life-safety" and rule.words.search(name) and not rule.excluded.search(name):
                return rule
        return None

    def sign_type(self, given: str) -> str | None:
        """What a word of a sign-type column means, with or without SIGN after it; None where it needs a legend."""
        word = given.rstrip(".")
        bare = word.removesuffix("S").removesuffix(" SIGN")
        return self.sign_types.get(word) or self.sign_types.get(bare)

    def wants(self, what: str, standard: str) -> bool:
        """True when the rule profile asks for a "star" or a "door-symbol"."""
        return standard in self.profiles[what]

    def rule(self, rule_id: str) -> DecisionRule:
        """The rule of that id; the built-in one where the job has switched it off.

        Raises:
            KeyError: there is none.
        """
        for rule in (*self.rules, *self.shipped):
            if rule.id == rule_id:
                return rule
        raise KeyError(rule_id)


class StatusRules:
    """The rules that a status word or a kind of door fires, before any name is looked at."""

    def __init__(self, book: RuleBook) -> None:
        self._rules = [rule for rule in book.rules if rule.category in EARLY]
        # Most rows fire none of them, which is told at once.
        self._any_words = lru_cache(maxsize=4096)(_any_of(rule.words for rule in self._rules).search)
        self._any_remarks = _any_of(rule.remarks for rule in self._rules).search
        self._any_row = _any_of(rule.row for rule in self._rules).search

    def find(self, name: str, notes: str = "", cells: str = "") -> DecisionRule | None:
        """The first rule that fires."""
        said = [text for note in _parts(notes) for text in (note.strip(" ."), note)]
        if not (self._any_words(name) or any(map(self._any_remarks, said)) or self._any_row(cells)):
            return None
        for rule in self._rules:
            fired = any(map(rule.remarks.search, said)) or rule.words.search(name) or rule.row.search(cells)
            if fired and not rule.excluded.search(name):
                return rule
        return None


def _any_of(patterns: Iterable[re.Pattern[str]]) -> re.Pattern[str]:
    """What finds something where one of the patterns does."""
    return re.compile("|".join(f"(?:{pattern.pattern})" for pattern in patterns if pattern is not NOTHING) or "(?!)")


def _parts(notes: str) -> Iterator[str]:
    yield from (part.strip() for part in _PARTED.split(notes) if part.strip())


def load_rules(
    wording: Wording | None = None, job_rules: Sequence[RuleTable] = (), templates: Iterable[str] = ()
) -> RuleBook:
    """The job's own rules before the built-in ones.

    Args:
        wording: the job's words; "{stair}" and the like in a phrase stand for them.
        job_rules: [[rules]] tables of the job file. A new id is a new rule, in front of all others; the id of a built-in
            rule changes that rule where it stands, or switches it off.
        templates: names of the sign templates there are; () means any.

    Raises:
        InputError: a rule of the job has a mistake.
    """
    wording = wording or Wording()
    own = _load_own(wording)
    if not job_rules:
        return own
    tables = {table["id"]: table for table in _data()["rule"]}
    merged = merge_rules(own.shipped, tables, job_rules, _words(wording), frozenset(templates))
    return replace(
        own, rules=merged.rules, added=merged.added, changed=merged.changed, switched_off=merged.switched_off
    )


@cache
def _data() -> dict[str, Any]:
    return tomllib.loads(files("schedule2sign.signlist").joinpath("rules.toml").read_text(encoding="utf-8"))


@cache
def _load_own(wording: Wording) -> RuleBook:
    data = _data()
    words = _words(wording)
    types = {word: template for template, known in data["sign-type"]["template"].items() for word in known}
    types |= {word: kind for kind in ("none", "any") for word in data["sign-type"][kind]}
    rules = tuple(make_rule(table, words, f"rules.toml, rule {table['id']!r}") for table in data["rule"])
    return RuleBook(
        rules=rules,
        shipped=rules,
        sign_types=types,
        special={template: tuple(forms) for template, forms in data["sign-type"]["special"].items()},
        discharge=compile_phrases(data["discharge"]["words"]),
        profiles={what: tuple(ids) for what, ids in data["profiles"].items()},
        outside=compile_phrases(f"={word}" for word in data["from"]["outside"]),
        public=compile_phrases(data["from"]["public"]),
        pair=compile_phrases(data["pair"]["words"]),
        glass=compile_phrases(data["glass"]["words"]),
        hands={word: side for side in ("left", "right") for word in data["hand"][side]},
    )


def _words(wording: Wording) -> dict[str, str]:
    return {key: value.upper() for key, value in asdict(wording).items()}
