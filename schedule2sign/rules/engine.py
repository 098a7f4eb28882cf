"""Judges what the rules measure: exactly one verdict per rule and sign."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cache
from math import inf, isfinite
from sys import intern
from typing import Any

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.rule import FLOAT_NOISE_MM, Finding, Limit, Measurement, Outcome, Requirement, Verdict
from schedule2sign.model.shape import SignLayout
from schedule2sign.once import once
from schedule2sign.rules.profile import Profile
from schedule2sign.rules.registry import BY_ID, RULES
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, Rule, Series, Stated
from schedule2sign.rules.wording import say_basis, say_value

Said = tuple[Any, ...]  # a rule's id, and the values it is met with
_SHARED = 4096  # verdicts kept to be shared; those that are never seen again must not pile up


def check_sign(layout: SignLayout, profile: Profile) -> tuple[Verdict, ...]:
    """One verdict of every rule, in the registry's order."""
    return tuple(
        verdict or _judge_sign(rule, layout, profile) for rule, verdict in zip(RULES, _settled(profile), strict=True)
    )


def judge_rule(rule: Rule, layout: SignLayout, profile: Profile) -> Verdict:
    """One rule's verdict. A rule that fails or lacks its limit is not checked: silence is never a pass."""
    return _settle(rule, profile) or _judge_sign(rule, layout, profile)


@once
def _settled(profile: Profile) -> tuple[Verdict | None, ...]:
    return tuple(_settle(rule, profile) for rule in RULES)


def _settle(rule: Rule, profile: Profile) -> Verdict | None:
    """The verdict on any sign where the profile alone decides it: a limit is missing, or it has none of them."""
    keys = (*rule.limits, *rule.requirements)
    known = [key for key in keys if key in profile.limits or key in profile.requirements]
    missing = [key for key in keys if key not in known and key not in profile.waived]
    if missing:
        why = f"the profile {profile.standard.id} says nothing of {', '.join(missing)}"
        return Verdict(rule=rule.id, outcome=Outcome.NOT_CHECKED, why_not=why)
    if not known:
        return Verdict(rule=rule.id, outcome=Outcome.NOT_APPLICABLE, why_not=_why_waived(keys, profile))
    return None


def _judge_sign(rule: Rule, layout: SignLayout, profile: Profile) -> Verdict:
    try:
        if not rule.applies(layout):
            return _not_applicable(rule.id, rule.otherwise)
        readings = rule.check(layout)
        if isinstance(readings, Series):
            return _judge_series(rule, readings, profile)
        return _judge_readings(rule, tuple(readings), profile)
    except Exception as error:  # noqa: BLE001 - whatever a rule trips over, the sign is held and the reason named
        why = f"the rule failed with {type(error).__name__}: {error}"
        return Verdict(rule=rule.id, outcome=Outcome.NOT_CHECKED, why_not=why)


def measure_margin(value: float, limit: Limit) -> tuple[float, str]:
    """Distance to the nearest end of the limit, negative outside; and the code of the side, "" inside.

    Raises:
        ValueError: the value is not a number.
    """
    if not isfinite(value):
        raise ValueError(f"{limit.key} was measured as {value}")
    low, high = limit.low_value, limit.high_value
    below = value - low if low is not None else float("inf")
    above = high - value if high is not None else float("inf")
    margin = min(below, above)
    if margin >= -FLOAT_NOISE_MM:
        return margin, ""
    return margin, TOO_LARGE if above < below else TOO_SMALL


@cache
def _not_applicable(rule_id: str, why_not: str) -> Verdict:
    # Most rules say so of most signs.
    return Verdict(rule=rule_id, outcome=Outcome.NOT_APPLICABLE, why_not=why_not)


def _judge_series(rule: Rule, series: Series, profile: Profile) -> Verdict:
    """As its single readings would be judged; of all that are inside, only the closest is put into words."""
    closest: list[tuple[float, Measured]] = []
    for turn, key in enumerate(series.limits):
        values = series.values[turn :: len(series.limits)]
        limit = profile.limits.get(key)
        if key not in rule.limits or limit is None or not values or not all(map(isfinite, values)):
            return _judge_readings(rule, tuple(series), profile)
        low, high = limit.low_value, limit.high_value
        below = min(values) - low if low is not None else inf
        above = high - max(values) if high is not None else inf
        margin = min(below, above)
        if margin < -FLOAT_NOISE_MM:
            return _judge_readings(rule, tuple(series), profile)
        # Of values that are as close, the first.
        at_low = [value - low for value in values].index(margin) if low is not None and below == margin else len(values)
        at_high = [high - value for value in values].index(margin) if high is not None and above == margin else at_low
        reading = series.single(min(at_low, at_high) * len(series.limits) + turn)
        closest.append((margin, reading))
    return _share_met(rule.id, closest, (), profile)


def _judge_readings(rule: Rule, readings: Sequence[Measured | Stated], profile: Profile) -> Verdict:
    if not readings:
        return Verdict(rule=rule.id, outcome=Outcome.NOT_CHECKED, why_not="the rule applies but measured nothing")
    findings: list[Finding] = []
    closest: dict[str, tuple[float, Measured]] = {}
    stated: dict[str, tuple[Requirement, str]] = {}
    judged = 0
    declared = (*rule.limits, *rule.requirements)
    for reading in readings:
        key = reading.limit if isinstance(reading, Measured) else reading.requirement
        if key not in declared:
            raise KeyError(f"{key!r} is no declared limit or requirement of {rule.id}")
        if key in profile.waived:
            continue
        judged += 1
        if isinstance(reading, Stated):
            requirement = profile.requirements[key]
            wrong = reading.value not in requirement.allowed
            if wrong:
                findings.append(_find_wrong(rule, reading, requirement))
            if wrong or key not in stated:
                stated[key] = (requirement, reading.value)
            continue
        margin, side = measure_margin(reading.value, profile.limits[key])
        if side:
            findings.append(_find_fault(rule, _measurement(margin, reading, profile), side))
        if key not in closest or margin < closest[key][0]:
            closest[key] = (margin, reading)
    if not judged:
        why = _why_waived((*rule.limits, *rule.requirements), profile)
        return Verdict(rule=rule.id, outcome=Outcome.NOT_APPLICABLE, why_not=why)
    if not findings:
        return _share_met(rule.id, closest.values(), tuple(stated.values()), profile)
    return Verdict(
        rule=rule.id,
        outcome=Outcome.FLAGGED,
        findings=tuple(findings),
        closest=tuple(_measurement(margin, reading, profile) for margin, reading in closest.values()),
        judged=tuple(stated.values()),
    )


def _share_met(
    rule_id: str,
    closest: Collection[tuple[float, Measured]],
    judged: tuple[tuple[Requirement, str], ...],
    profile: Profile,
) -> Verdict:
    """The verdict that a rule is met: one and the same for all signs it says the same of."""
    said = (
        rule_id,
        tuple([(found.limit, found.value, found.unit_mm, found.where) for _, found in closest]),
        tuple([(requirement.key, value) for requirement, value in judged]),
    )
    shared = _met_verdicts(profile)
    verdict = shared.get(said)
    if verdict is None:
        measured = tuple(_measurement(margin, reading, profile) for margin, reading in closest)
        verdict = Verdict(rule=rule_id, outcome=Outcome.MET, closest=measured, judged=judged)
        if len(shared) >= _SHARED:
            shared.clear()
        shared[said] = verdict
    return verdict


@once
def _met_verdicts(profile: Profile) -> dict[Said, Verdict]:  # noqa: ARG001 - what is said means what this profile says
    return {}


def _measurement(margin: float, reading: Measured, profile: Profile) -> Measurement:
    limit = profile.limits[reading.limit]
    if limit.unit in ("in", "mm"):
        margin_mm: float | None = margin
    else:
        margin_mm = margin * reading.unit_mm if reading.unit_mm else None
    return Measurement(
        limit=limit, value=reading.value, margin=margin, where=intern(reading.where), margin_mm=margin_mm
    )


def _find_fault(rule: Rule, measurement: Measurement, side: str) -> Finding:
    value = say_value(measurement.value, measurement.limit)
    message = f"{measurement.where}: {value}, required {measurement.limit}"
    return Finding(code=_declared(rule, side), message=message, measurement=measurement)


def _find_wrong(rule: Rule, reading: Stated, requirement: Requirement) -> Finding:
    return Finding(
        code=_declared(rule, reading.code),
        message=f"{reading.where}: {reading.value}, required {requirement}",
        requirement=requirement,
        found=reading.value,
    )


def _declared(rule: Rule, code: str) -> str:
    if code not in rule.codes:
        raise KeyError(f"{code!r} is no declared code of {rule.id}")
    return code


def _why_waived(keys: Sequence[str], profile: Profile) -> str:
    return " ".join(dict.fromkeys(profile.waived[key] for key in keys if key in profile.waived))


def flag_verdicts(layout: SignLayout, verdicts: Sequence[Verdict]) -> tuple[Flag, ...]:
    """Flags of a sign: one for each rule, finding code and limit; the worst place is named and the others counted."""
    return tuple(
        flag
        for verdict in verdicts
        if verdict.findings or verdict.outcome is Outcome.NOT_CHECKED
        for flag in _flag_verdict(layout, verdict, BY_ID)
    )


def _flag_verdict(layout: SignLayout, verdict: Verdict, rules: Mapping[str, Rule]) -> Iterator[Flag]:
    rule = rules[verdict.rule]
    if verdict.outcome is Outcome.NOT_CHECKED:
        yield Flag(
            code=f"rules/{rule.id}/not-checked",
            severity=Severity.HOLD,
            message=f"{rule.title} was not checked: {verdict.why_not}.",
            source=layout.request.source,
            sign_id=layout.request.sign_id,
            fix="This is a fault of the program or its rule table: report it with the schedule row.",
            who="shop",
        )
    groups: dict[tuple[str, str], list[Finding]] = {}
    for finding in verdict.findings:
        key = finding.measurement.limit.key if finding.measurement else ""
        groups.setdefault((finding.code, key), []).append(finding)
    for (code, _), findings in groups.items():
        yield _flag_group(layout, rule, code, findings)


def _flag_group(layout: SignLayout, rule: Rule, code: str, findings: Sequence[Finding]) -> Flag:
    worst = min(findings, key=lambda finding: finding.measurement.margin if finding.measurement else 0.0)
    measured, ruled = worst.found, worst.requirement or (worst.measurement.limit if worst.measurement else None)
    if worst.measurement:
        measured = say_value(worst.measurement.value, worst.measurement.limit)
    clause = ruled.clause if ruled else ""
    remarks = [clause, say_basis(ruled.basis) if ruled else ""]
    others = len(findings) - 1
    places = f"; {others} more place{'s' if others > 1 else ''} likewise" if others else ""
    remark = "; ".join(part for part in remarks if part)
    return Flag(
        code=f"rules/{rule.id}/{code}",
        severity=rule.codes[code],
        message=f"{rule.title}: {worst.message}{f' ({remark})' if remark else ''}{places}.",
        source=layout.request.source,
        sign_id=layout.request.sign_id,
        measured=measured,
        required=str(ruled) if ruled else "",
        clause=clause,
        fix=rule.fix,
        who="shop",
    )
