"""The rule book in force as other programs read it."""

from collections.abc import Sequence
from typing import Any

from schedule2sign.model.rule import RuleInForce, Verdict, WaiverUse


def describe_rule(rule: RuleInForce) -> dict[str, Any]:
    """A rule with every limit and requirement, as printed, its clause and how it was read."""
    return {
        "id": rule.id,
        "title": rule.title,
        "waivable": rule.waivable,
        "limits": [
            {
                "key": limit.key,
                "low": limit.low,
                "high": limit.high,
                "unit": limit.unit,
                "clause": limit.clause,
                "basis": limit.basis.value,
            }
            for limit in rule.limits
        ],
        "requirements": [
            {"key": entry.key, "allowed": list(entry.allowed), "clause": entry.clause, "basis": entry.basis.value}
            for entry in rule.requirements
        ],
        "none": dict(rule.waived),
    }


def describe_waiver(use: WaiverUse) -> dict[str, str]:
    """A waiver and what became of it."""
    waiver = use.waiver
    return {
        "rule": waiver.rule,
        "code": waiver.code,
        "sign": waiver.sign,
        "reason": waiver.reason,
        "name": waiver.name,
        "date": waiver.given.isoformat(),
        "until": waiver.until.isoformat(),
        "state": use.state.value,
    }


def close_rules(verdicts: Sequence[Verdict], tolerance_mm: float) -> list[str]:
    """Rules with a value inside its range by less than the process tolerance."""
    return [
        verdict.rule
        for verdict in verdicts
        if any(measurement.is_close(tolerance_mm) for measurement in verdict.closest)
    ]
