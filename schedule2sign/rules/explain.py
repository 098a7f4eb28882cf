"""Rule pages, the catalog and the listings: made from the rules and profiles themselves, so they cannot drift."""

from collections.abc import Iterator

from schedule2sign.errors import InputError
from schedule2sign.model.rule import Limit, Requirement
from schedule2sign.rules.coverage import Row, coverage
from schedule2sign.rules.profile import Profile, load_profile, profile_ids
from schedule2sign.rules.registry import BY_ID, RULES
from schedule2sign.rules.rule import Rule
from schedule2sign.rules.wording import say_basis

_NO_VERDICT = (
    "These are checks against published dimensions, not legal advice: the authority having jurisdiction decides."
)


def list_standards() -> tuple[str, ...]:
    """One line for each profile."""
    width = max(map(len, profile_ids()))
    return tuple(_say_standard(load_profile(profile_id), width) for profile_id in profile_ids())


def list_limits(profile: Profile) -> tuple[str, ...]:
    """Every limit and requirement in force, by rule, with clause and how it was read."""
    lines = [f"{profile.standard.title} ({profile.standard.edition}), table of {profile.standard.table_date}"]
    for rule in RULES:
        lines += [f"{rule.id}: {rule.title}", *(f"    {text}" for text in _say_entries(rule, profile))]
    used = {key for rule in RULES for key in rule.limits}
    for key in sorted(profile.limits.keys() - used):
        lines += [f"{key}: for the installer", f"    {_say_entry(profile.limits[key])}"]
    lines.append(_NO_VERDICT)
    return tuple(lines)


def list_coverage(profile: Profile) -> tuple[str, ...]:
    """Every requirement of the standards the profile follows: its rules, or why no rule judges it."""
    rows = coverage(profile)
    judged = sum(bool(row.rules) for row in rows)
    lines = [f"{profile.standard.title}: {judged} of {len(rows)} rows have a rule"]
    for row in rows:
        lines += [f"{row.id:<6} {row.title}", *(f"       {text}" for text in _say_row(row, profile))]
    lines.append(_NO_VERDICT)
    return tuple(lines)


def explain(rule_id: str, profile: Profile) -> tuple[str, ...]:
    """The page of one rule.

    Raises:
        InputError: no such rule.
    """
    rule = BY_ID.get(rule_id)
    if rule is None:
        raise InputError(f"There is no rule {rule_id!r}. Known: {', '.join(BY_ID)}.")
    return (
        f"{rule.id}: {rule.title}",
        f"Why    {rule.why}",
        *(f"Limit  {text}" for text in _say_entries(rule, profile)),
        f"Codes  {', '.join(f'rules/{rule.id}/{code} ({severity})' for code, severity in sorted(rule.codes.items()))}",
        f"Fix    {rule.fix}",
        f"Waiver {'may be waived by name, reason and date' if rule.waivable else 'none is taken'}",
        _NO_VERDICT,
    )


def write_catalog() -> str:
    """The catalog of rules as Markdown, with the limits of every profile."""
    profiles = [load_profile(profile_id) for profile_id in profile_ids()]
    parts = ["# Rules", "", "Made from the rules and profiles themselves. " + _NO_VERDICT, ""]
    for rule in RULES:
        parts += [f"## {rule.id}", "", f"{rule.title}.", "", rule.why, "", "| profile | required |", "|---|---|"]
        parts += [
            f"| {profile.standard.id} | {'; '.join(_say_entries(rule, profile)).replace('|', '/')} |"
            for profile in profiles
        ]
        parts += ["", f"Fix: {rule.fix}", "", "Waiver: " + ("may be taken." if rule.waivable else "none."), ""]
    return "\n".join(parts)


def _say_standard(profile: Profile, width: int) -> str:
    remark = "; experimental: its values were read second hand" if profile.standard.experimental else ""
    standard = profile.standard
    return f"{standard.id:<{width}}  {standard.title} ({standard.edition}; table of {standard.table_date}{remark})"


def _say_entries(rule: Rule, profile: Profile) -> Iterator[str]:
    for key in (*rule.limits, *rule.requirements):
        entry: Limit | Requirement | None = profile.limits.get(key) or profile.requirements.get(key)
        if entry is not None:
            yield _say_entry(entry)
        elif key in profile.waived:
            yield f"{_plain(key)}: none. {profile.waived[key]}"
        else:
            yield f"{_plain(key)}: missing in this profile, so the rule is not checked and holds every sign"


def _say_entry(entry: Limit | Requirement) -> str:
    remarks = "; ".join(part for part in (entry.clause, say_basis(entry.basis)) if part)
    return f"{_plain(entry.key)}: {entry}" + (f" ({remarks})" if remarks else "")


def _say_row(row: Row, profile: Profile) -> Iterator[str]:
    waived = [rule_id for rule_id in row.rules if _is_waived(BY_ID[rule_id], profile)]
    if row.rules:
        yield f"judged by {', '.join(row.rules)}"
    if waived:
        yield f"without a limit in this profile: {', '.join(waived)}"
    if row.needs is not None:
        yield f"needs {row.needs}. {row.why}"


def _is_waived(rule: Rule, profile: Profile) -> bool:
    return all(key in profile.waived for key in (*rule.limits, *rule.requirements))


def _plain(key: str) -> str:
    return key.replace("_", " ")
