"""The decision rules: TOML data, first hit wins."""

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from schedule2sign.model.flag import Severity
from schedule2sign.model.sign import Side


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionRule:
    """One rule. `look` is "name" or "any" (name, number and remarks as given); `last` looks at the last word only."""

    id: str
    pattern: re.Pattern[str]
    look: str
    last: bool
    template: str
    also: str
    pictogram: str
    side: Side
    severity: Severity
    who: str
    reason: str


@cache
def load_rules() -> tuple[DecisionRule, ...]:
    """The built-in rules in order."""
    data = tomllib.loads((Path(__file__).parent / "rules.toml").read_text(encoding="utf-8"))
    return tuple(
        DecisionRule(
            id=rule["id"],
            pattern=_whole_words(rule["words"]),
            look=rule.get("look", "name"),
            last=rule.get("last", False),
            template=rule["template"],
            also=rule.get("also", ""),
            pictogram=rule.get("pictogram", ""),
            side=Side(rule.get("side", "C")),
            severity=Severity(rule["severity"]),
            who=rule.get("who", "shop"),
            reason=rule["reason"],
        )
        for rule in data["rule"]
    )


def _whole_words(words: list[str]) -> re.Pattern[str]:
    choices = "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))
    return re.compile(rf"(?<![A-Z0-9'])(?:{choices})(?![A-Z0-9'])")
