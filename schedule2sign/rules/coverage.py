"""Which published requirement which rule judges, and why software cannot judge the rest."""

import tomllib
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from pathlib import Path

from schedule2sign.rules.profile import Profile
from schedule2sign.rules.registry import BY_ID

_TABLE = Path(__file__).resolve().parent / "coverage.toml"


class Needs(StrEnum):
    """What it takes to judge a row that no rule judges."""

    SITE = "needs site data"
    PERSON = "needs a person"
    NOTHING = "demands nothing of a sign"
    NOT_MADE = "is about a sign or feature this program does not make"
    ELSEWHERE = "is for another part of the program"


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One published requirement: judged by rules, or by what `needs` says.

    Attributes:
        id: row of the table of values the rules are built on.
        title: quantity and clause.
        rules: ids of the rules that judge it.
        needs: None where rules judge all of it.
        why: what no rule judges, and why.
    """

    id: str
    title: str
    rules: tuple[str, ...]
    needs: Needs | None
    why: str


def coverage(profile: Profile) -> tuple[Row, ...]:
    """Rows of the standards the profile follows."""
    table = load_table()
    return tuple(row for group in _groups()[profile.standard.id] for row in table[group])


@cache
def load_table() -> dict[str, tuple[Row, ...]]:
    """Every row, by standard.

    Raises:
        ValueError: a row names no rule that exists, or says neither who judges it nor why not.
    """
    data = tomllib.loads(_TABLE.read_text(encoding="utf-8"))
    return {group: tuple(_row(key, entry) for key, entry in rows.items()) for group, rows in data["row"].items()}


@cache
def _groups() -> dict[str, tuple[str, ...]]:
    data = tomllib.loads(_TABLE.read_text(encoding="utf-8"))
    return {profile: tuple(groups) for profile, groups in data["standards"].items()}


def _row(key: str, entry: dict[str, object]) -> Row:
    rules = entry.get("rules", [])
    rule_ids = tuple(str(rule) for rule in rules) if isinstance(rules, list) else ()
    unknown = [rule for rule in rule_ids if rule not in BY_ID]
    needs = Needs[str(entry["needs"]).upper()] if "needs" in entry else None
    why = str(entry.get("why", ""))
    if unknown or not (rule_ids or needs) or bool(needs) != bool(why):
        raise ValueError(f"coverage row {key}: {unknown or 'needs rules, or what it takes and why'}")
    return Row(id=key, title=str(entry["title"]), rules=rule_ids, needs=needs, why=why)
