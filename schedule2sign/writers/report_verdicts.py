"""Verdicts of the report page: what rules say of many signs is shared, and a sign has what was measured on it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from schedule2sign.model.rule import Basis, Finding, Limit, Measurement, Outcome, Verdict
from schedule2sign.writers.measures import basis_words, measured_text
from schedule2sign.writers.pagejson import page_json
from schedule2sign.writers.report_shared import Shared, with_names


@dataclass(frozen=True, slots=True)
class Judged:
    """The verdicts on a sign.

    Attributes:
        rules: name of the list of what its rules say.
        measured: of every limit of these rules in turn value and margin, as JSON.
        where: of every limit what was measured.
        said: findings, and why a rule was not checked, by the place of the rule in the list.
    """

    rules: str
    measured: str
    where: list[str]
    said: dict[int, list[str]]


def describe_verdicts(verdicts: Sequence[Verdict], shared: Shared) -> Judged:
    """What the rules say and what was measured, apart."""
    names: list[str] = []
    measured: list[str] = []
    where: list[str] = []
    said: dict[int, list[str]] = {}
    for place, verdict in enumerate(verdicts):
        outcome, why_not = verdict.outcome, verdict.why_not
        values: Sequence[Measurement] = verdict.closest
        if verdict.findings:
            said[place] = [_finding_text(finding) for finding in verdict.findings]
            values = _with_found(verdict)
        if outcome is Outcome.NOT_CHECKED:  # why a rule failed may be of this sign alone
            said[place], why_not = [why_not], ""
        limits = tuple([one.limit for one in values])
        names.append(shared.name(_rule_text, verdict.rule, outcome, why_not, limits))
        for one in values:
            unit = one.limit.unit
            measured += (_number(one.value, unit), _number(one.margin, unit))
            where.append(one.where)
    return Judged(shared.name(with_names, tuple(names)), f"[{','.join(measured)}]", where, said)


def _with_found(verdict: Verdict) -> list[Measurement]:
    """What was measured in a finding is shown with it; the closest of the rest follows."""
    found = [finding.measurement for finding in verdict.findings if finding.measurement]
    return list(dict.fromkeys([*found, *verdict.closest]))


def _rule_text(rule: str, outcome: Outcome, why_not: str, limits: tuple[Limit, ...]) -> str:
    """A rule, its outcome, why it was not applied, and of each limit what it is, its unit and its clause."""
    return with_names((), *map(page_json, (rule, outcome.value, why_not, [_limit_words(limit) for limit in limits])))


def _limit_words(limit: Limit) -> tuple[str, str, str]:
    clause = limit.clause or "none: a limit of this program"
    if limit.basis is not Basis.STANDARD and limit.clause:
        clause += f" ({basis_words(limit.basis)})"
    return str(limit), measured_text(0, limit.unit).removeprefix("0 "), clause


@lru_cache(maxsize=8192)
def _number(value: float, unit: str) -> str:
    """As it is shown, without its unit."""
    return measured_text(value, unit).partition(" ")[0]


def _finding_text(finding: Finding) -> str:
    allowed = finding.requirement
    return f"{finding.message} Allowed: {allowed}; {allowed.clause}." if allowed else finding.message
