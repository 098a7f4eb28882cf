"""Listings of the rule book, made from the profiles themselves: standards, limits in force, coverage."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

from schedule2sign.model.rule import Basis, Limit, Requirement, RuleInForce
from schedule2sign.rules.coverage import Row, coverage
from schedule2sign.rules.profile import Profile
from schedule2sign.rules.registry import BY_ID, RULES
from schedule2sign.rules.rule import Rule
from schedule2sign.rules.wording import say_basis

NO_VERDICT = (
    "These are checks against published dimensions, not legal advice: the authority having jurisdiction decides."
)
_BASIS = {
    Basis.STANDARD: "read in the clause",
    Basis.SECONDARY: "read second hand",
    Basis.MEMORY: "from memory",
    Basis.HOUSE: "house",
}


def list_standard(profile: Profile) -> tuple[str, ...]:
    """A profile's title, edition, how its values were read, and whether it is experimental."""
    standard = profile.standard
    counts = count_bases(profile)
    basis = ", ".join(f"{counts[basis]} {words}" for basis, words in _BASIS.items() if counts[basis])
    lines = [
        f"{standard.id}: {standard.title}",
        f"    edition  {standard.edition}; table of {standard.table_date}",
        f"    values   {basis}",
    ]
    if profile.extends:
        lines.append(f"    built on {profile.extends}")
    if standard.experimental:
        lines.append("    EXPERIMENTAL: its values were read second hand; do not cut by it without the text itself")
    return tuple(lines)


def describe_standard(profile: Profile) -> dict[str, Any]:
    """The same for a program."""
    standard = profile.standard
    return {
        "id": standard.id,
        "title": standard.title,
        "edition": standard.edition,
        "table_date": standard.table_date,
        "experimental": standard.experimental,
        "built_on": profile.extends,
        "values_by_basis": {str(basis): count for basis, count in count_bases(profile).items()},
    }


def count_bases(profile: Profile) -> Counter[Basis]:
    """How many values were read in the standard, second hand, from memory, or are ours."""
    entries: tuple[Limit | Requirement, ...] = (*profile.limits.values(), *profile.requirements.values())
    return Counter(entry.basis for entry in entries)


def rules_in_force(profile: Profile) -> tuple[RuleInForce, ...]:
    """Every rule with what the profile sets for it, in the registry's order."""
    return tuple(_in_force(rule, profile) for rule in RULES)


def list_rules() -> tuple[str, ...]:
    """Id and title of every rule."""
    width = max(len(rule.id) for rule in RULES)
    return tuple(f"{rule.id:<{width}}  {rule.title}" for rule in RULES)


def list_limits(profile: Profile) -> tuple[str, ...]:
    """Every limit and requirement in force, by rule, with printed value, unit, clause and basis."""
    lines = [f"{profile.standard.title} ({profile.standard.edition}), table of {profile.standard.table_date}"]
    for rule in RULES:
        lines += [f"{rule.id}: {rule.title}", *(f"    {text}" for text in say_entries(rule, profile))]
    lines.append(NO_VERDICT)
    return tuple(lines)


def describe_limits(profile: Profile) -> list[dict[str, Any]]:
    """The same for a program."""
    return [
        {
            "id": rule.id,
            "title": rule.title,
            "waivable": rule.waivable,
            "limits": [
                {
                    "key": limit.key,
                    "low": limit.low,
                    "high": limit.high,
                    "unit": limit.unit,
                    "low_value": limit.low_value,
                    "high_value": limit.high_value,
                    "range": limit.is_range,
                    "clause": limit.clause,
                    "basis": str(limit.basis),
                }
                for limit in rule.limits
            ],
            "requirements": [
                {"key": entry.key, "allowed": list(entry.allowed), "clause": entry.clause, "basis": str(entry.basis)}
                for entry in rule.requirements
            ],
            "none": dict(rule.waived),
        }
        for rule in rules_in_force(profile)
    ]


def list_coverage(profile: Profile) -> tuple[str, ...]:
    """Every requirement of the standards the profile follows: its rules, or why no rule judges it."""
    rows = coverage(profile)
    judged = sum(bool(row.rules) for row in rows)
    lines = [f"{profile.standard.title}: {judged} of {len(rows)} rows have a rule"]
    for row in rows:
        lines += [f"{row.id:<6} {row.title}", *(f"       {text}" for text in _say_row(row, profile))]
    lines.append(NO_VERDICT)
    return tuple(lines)


def describe_coverage(profile: Profile) -> list[dict[str, Any]]:
    """The same for a program."""
    return [
        {
            "id": row.id,
            "title": row.title,
            "rules": list(row.rules),
            "needs": str(row.needs) if row.needs is not None else "",
            "why": row.why,
        }
        for row in coverage(profile)
    ]


def say_entries(rule: Rule, profile: Profile) -> Iterator[str]:
    """Each limit and requirement of a rule in words; why there is none, where there is none."""
    for key in (*rule.limits, *rule.requirements):
        entry: Limit | Requirement | None = profile.limits.get(key) or profile.requirements.get(key)
        if entry is not None:
            remarks = "; ".join(part for part in (entry.clause, say_basis(entry.basis)) if part)
            yield f"{_plain(key)}: {entry}" + (f" ({remarks})" if remarks else "") + f" [{entry.basis}]"
        elif key in profile.waived:
            yield f"{_plain(key)}: none. {profile.waived[key]}"
        else:
            yield f"{_plain(key)}: missing in this profile, so the rule is not checked and holds every sign"


def _in_force(rule: Rule, profile: Profile) -> RuleInForce:
    keys = (*rule.limits, *rule.requirements)
    return RuleInForce(
        id=rule.id,
        title=rule.title,
        waivable=rule.waivable,
        limits=tuple(profile.limits[key] for key in rule.limits if key in profile.limits),
        requirements=tuple(profile.requirements[key] for key in rule.requirements if key in profile.requirements),
        waived=tuple((key, profile.waived[key]) for key in keys if key in profile.waived),
    )


def _say_row(row: Row, profile: Profile) -> Iterator[str]:
    if row.rules:
        yield f"judged by {', '.join(row.rules)}"
    waived = [rule_id for rule_id in row.rules if _is_waived(BY_ID[rule_id], profile)]
    if waived:
        yield f"without a limit in this profile: {', '.join(waived)}"
    if row.needs is not None:
        yield f"{row.needs}. {row.why}"


def _is_waived(rule: Rule, profile: Profile) -> bool:
    return all(key in profile.waived for key in (*rule.limits, *rule.requirements))


def _plain(key: str) -> str:
    return key.replace("_", " ")
