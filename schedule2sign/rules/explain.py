"""The page of one rule: what, why, fix, and clause and limits profile by profile."""

import difflib
import inspect
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from schedule2sign.errors import InputError
from schedule2sign.rules.listing import NO_VERDICT, say_entries
from schedule2sign.rules.profile import Profile
from schedule2sign.rules.registry import BY_ID
from schedule2sign.rules.rule import Rule

DRAWINGS = Path(__file__).resolve().parent / "drawings"


def find_rule(rule_id: str) -> Rule:
    """The rule with this id, or the one a flag's code belongs to.

    Raises:
        InputError: no such rule.
    """
    name = rule_id.removeprefix("rules/")
    rule = BY_ID.get(name) or BY_ID.get("/".join(name.split("/")[:2]))
    if rule is None:
        near = difflib.get_close_matches(name, BY_ID)
        hint = f" Near it: {', '.join(near)}." if near else ""
        raise InputError(f"There is no rule {rule_id!r}.{hint} All: schedule2sign rules.")
    return rule


def drawing_of(rule: Rule) -> Path:
    """The rule's drawing."""
    return DRAWINGS / f"{rule.id.replace('/', '-')}.svg"


def how(rule: Rule) -> str:
    """What is measured, from the check itself."""
    return " ".join((inspect.getdoc(rule.check) or "").split())


def explain(rule_id: str, profiles: Sequence[Profile]) -> tuple[str, ...]:
    """The page of one rule, with the limits of each profile.

    Raises:
        InputError: no such rule.
    """
    rule = find_rule(rule_id)
    codes = ", ".join(f"rules/{rule.id}/{code} ({severity})" for code, severity in sorted(rule.codes.items()))
    return (
        f"{rule.id}: {rule.title}",
        f"Why      {rule.why}",
        f"How      {how(rule)}",
        *_limit_lines(rule, profiles),
        f"Findings {codes}",
        f"Fix      {rule.fix}",
        f"Waiver   {'may be waived by name, reason and date' if rule.waivable else 'none is taken'}",
        f"Drawing  {drawing_of(rule)}",
        NO_VERDICT,
    )


def describe(rule_id: str, profiles: Sequence[Profile]) -> dict[str, Any]:
    """The same for a program.

    Raises:
        InputError: no such rule.
    """
    rule = find_rule(rule_id)
    return {
        "id": rule.id,
        "title": rule.title,
        "why": rule.why,
        "how": how(rule),
        "fix": rule.fix,
        "waivable": rule.waivable,
        "codes": {f"rules/{rule.id}/{code}": str(severity) for code, severity in sorted(rule.codes.items())},
        "limits": {profile.standard.id: list(say_entries(rule, profile)) for profile in profiles},
        "drawing": str(drawing_of(rule)),
    }


def _limit_lines(rule: Rule, profiles: Sequence[Profile]) -> Iterator[str]:
    """One line a limit and profile; what a profile takes unchanged from the one it is built on is said once."""
    width = max(len(profile.standard.id) for profile in profiles)
    shown: dict[str, tuple[str, ...]] = {}
    head = "Limits"
    for profile in sorted(profiles, key=lambda profile: (bool(profile.extends), profile.standard.id)):
        name = profile.standard.id
        shown[name] = tuple(say_entries(rule, profile))
        same = shown.get(profile.extends) == shown[name]
        for text in (f"the same as {profile.extends}",) if same else shown[name]:
            yield f"{head:<8} {name:<{width}}  {text}"
            head, name = "", ""
