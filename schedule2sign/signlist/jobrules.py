"""A job's own decision rules: added in front of the built-in ones, in place of one, or against one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from schedule2sign.errors import InputError
from schedule2sign.model.settings import RuleTable
from schedule2sign.signlist.decisionrule import DecisionRule, make_rule

# Ids that stand beside decisions which no rule of the file makes.
_RESERVED = frozenset({"R1", "R2", "R3", "SAME", "PAIR", "JOIN", "TYPE", "ANSWER"})


@dataclass(frozen=True, slots=True, kw_only=True)
class MergedRules:
    """The rules in force, and what the job file made of the built-in ones, by id."""

    rules: tuple[DecisionRule, ...]
    added: tuple[str, ...]
    changed: tuple[str, ...]
    switched_off: tuple[str, ...]


def merge_rules(
    shipped: Sequence[DecisionRule],
    tables: Mapping[str, Mapping[str, Any]],
    job_rules: Sequence[RuleTable],
    words: Mapping[str, str],
    templates: frozenset[str],
) -> MergedRules:
    """A new id is a rule before all others; the id of a built-in rule changes it where it stands, or switches it off.

    Args:
        tables: the built-in rules as their file has them, by id.
        words: the job's words, which "{stair}" and the like in a phrase stand for.
        templates: names of the sign templates there are; empty means any.

    Raises:
        InputError: a rule of the job has a mistake.
    """
    rules = {rule.id: rule for rule in shipped}
    added: dict[str, DecisionRule] = {}
    changed: list[str] = []
    off: list[str] = []
    for table in (dict(pairs) for pairs in job_rules):
        rule_id = str(table.get("id", "?"))
        where = f"The job file, rule {rule_id!r}"
        if rule_id in (*added, *changed, *off):
            raise InputError(f"{where}: it stands there twice.")
        if rule_id in _RESERVED:
            raise InputError(f"{where}: that id belongs to a decision of the program; choose another.")
        if table.get("off") is not None:
            _switch_off(table, where, rules)
            off.append(rule_id)
            continue
        rule = make_rule(_complete(table, tables), words, where)
        _check_category(rule, where, tables)
        _check_templates(rule, where, templates)
        if rule_id in rules:
            rules[rule_id] = rule
            changed.append(rule_id)
        else:
            added[rule_id] = rule
    kept = (rule for rule in rules.values() if rule.id not in off)
    return MergedRules(
        rules=(*added.values(), *kept), added=tuple(added), changed=tuple(changed), switched_off=tuple(off)
    )


def _complete(table: Mapping[str, Any], tables: Mapping[str, Mapping[str, Any]]) -> dict[str, Any]:
    """A job's rule with what it does not say: from the built-in rule of its id, else the plain default.

    With another template the built-in rule's question and reason would be about a sign that is not made.
    """
    given = {key: list(value) if isinstance(value, tuple) else value for key, value in table.items()}
    rule_id = str(given.get("id", ""))
    early = "remarks" in given or "row" in given
    base = dict(tables.get(rule_id, {"category": "status" if early else "named"}))
    if "template" in given and given["template"] != base.get("template"):
        for key in ("severity", "reason", "ask", "fix", "once", "once_severity", "also", "pictogram", "symbol"):
            base.pop(key, None)
    default = {
        "code": f"job-rule-{rule_id.lower()}",
        "severity": "NOTE",
        "who": "shop",
        "reason": "as the job file says",
    }
    return {**default, **base, **given}


def _switch_off(table: Mapping[str, Any], where: str, rules: Mapping[str, DecisionRule]) -> None:
    if table["off"] is not True or set(table) != {"id", "off"}:
        raise InputError(f'{where}: a rule is switched off by its id and "off = true", and nothing else.')
    if table["id"] not in rules:
        raise InputError(f"{where}: there is no such rule to switch off; rules: {', '.join(rules)}.")


def _check_category(rule: DecisionRule, where: str, tables: Mapping[str, Mapping[str, Any]]) -> None:
    known = {"named", *(table["category"] for table in tables.values())}
    if rule.category not in known:
        raise InputError(f"{where}: there is no category {rule.category!r}; known: {', '.join(sorted(known))}.")


def _check_templates(rule: DecisionRule, where: str, templates: frozenset[str]) -> None:
    if rule.also not in ("", "stair-level"):
        raise InputError(f"{where}: also is {rule.also!r}; the only second sign of a row is 'stair-level'.")
    if templates and rule.template not in {"", *templates}:
        known = ", ".join(repr(name) for name in sorted(templates))
        raise InputError(f"{where}: there is no sign template {rule.template!r}; known: {known}, or '' for no sign.")
