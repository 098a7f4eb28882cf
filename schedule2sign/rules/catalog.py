"""The catalog of rules as a page with drawings: made from the rules and profiles, so it cannot drift from them."""

from collections.abc import Iterator, Sequence

from schedule2sign.rules.drawing import draw_rule
from schedule2sign.rules.explain import drawing_of, how
from schedule2sign.rules.listing import NO_VERDICT, say_entries
from schedule2sign.rules.profile import Profile
from schedule2sign.rules.registry import RULES

PAGE = "CATALOG.md"


def write_catalog(profiles: Sequence[Profile]) -> dict[str, str]:
    """Path -> text of the page and every drawing, beside each other."""
    files = {PAGE: "\n".join(_page(profiles))}
    for rule in RULES:
        files[f"drawings/{drawing_of(rule).name}"] = draw_rule(rule)
    return files


def _page(profiles: Sequence[Profile]) -> Iterator[str]:
    yield from ("# Rules", "", f"Made by `schedule2sign rules --catalog`; do not edit. {NO_VERDICT}", "")
    for rule in RULES:
        yield from (f"## {rule.id}", "", f"![{rule.title}](drawings/{drawing_of(rule).name})", "", f"{rule.title}.")
        yield from ("", f"{rule.why} {how(rule)}", "", "| profile | required |", "|---|---|")
        for profile in profiles:
            yield f"| {profile.standard.id} | {'<br>'.join(say_entries(rule, profile)).replace('|', '/')} |"
        codes = ", ".join(f"`rules/{rule.id}/{code}` ({severity})" for code, severity in sorted(rule.codes.items()))
        yield from ("", f"Findings: {codes}", "", f"Fix: {rule.fix}", "")
        yield from (f"Waiver: {'may be taken.' if rule.waivable else 'none.'}", "")
