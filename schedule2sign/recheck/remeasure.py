"""Every rule on a sign rebuilt from its drawing, against what the record says it measured."""

from collections.abc import Iterator, Mapping

from schedule2sign.model.rule import Measurement, Outcome, Verdict
from schedule2sign.model.shape import SignLayout
from schedule2sign.recheck.report import Tally
from schedule2sign.rules.engine import check_sign
from schedule2sign.rules.profile import Profile
from schedule2sign.verification.difference import TOLERANCE_MM, Difference
from schedule2sign.verification.record import MANIFEST, RecordedCut

_ROUNDING = 0.0001  # recorded values have four decimals
_OUTCOMES = frozenset(Outcome)
# Files have six decimals of an inch: a length at its very limit may be written a few of them beyond it.
_WRITTEN_SHARE = 0.01  # of the tolerance: 0.0001 mm


def remeasure(
    layout: SignLayout,
    cut: RecordedCut,
    profile: Profile,
    unmeasured: Mapping[str, str],
    file: str,
    tally: Tally,
    *,
    same_version: bool,
) -> None:
    """Adds one entry a rule to the tally: judged again, or why not.

    Args:
        same_version: the record was written by this version, so it must have a verdict of every rule.
    """
    verdicts = check_sign(layout, profile)
    for verdict in verdicts:
        recorded = cut.outcomes.get(verdict.rule)
        if recorded is None:
            tally.unmeasured[verdict.rule, "the record has no verdict of this rule"] += 1
            if same_version:
                tally.differences.append(_unrecorded(verdict.rule, layout))
        elif verdict.rule in unmeasured and not recorded == verdict.outcome == Outcome.NOT_APPLICABLE:
            tally.unmeasured[verdict.rule, unmeasured[verdict.rule]] += 1
        else:
            tally.counts["judged"] += 1
            tally.differences += _compare(verdict, recorded, cut, layout, file)
            tally.counts["values"] += len(verdict.closest)
    for rule in sorted(set(cut.outcomes) - {verdict.rule for verdict in verdicts}):
        tally.unmeasured[rule, "this program has no such rule"] += 1


def _unrecorded(rule: str, layout: SignLayout) -> Difference:
    return Difference(
        code="not-recorded",
        file=MANIFEST,
        sign_id=layout.request.sign_id,
        message=f"The record has no verdict of {rule}, though this version wrote it.",
    )


def _compare(verdict: Verdict, recorded: str, cut: RecordedCut, layout: SignLayout, file: str) -> Iterator[Difference]:
    if recorded in _OUTCOMES and recorded != verdict.outcome and not _is_written_noise(verdict, recorded, layout):
        why = verdict.findings[0].message if verdict.findings else verdict.why_not
        yield Difference(
            code="rule-outcome",
            file=file,
            sign_id=layout.request.sign_id,
            message=f"{verdict.rule} is {verdict.outcome} on the drawing, {recorded} in the record"
            f"{f': {why}' if why else ''}.",
            found=verdict.outcome,
            expected=recorded,
        )
        return
    values = cut.measured.get(verdict.rule, {})
    for measurement in verdict.closest:
        yield from _compare_value(verdict.rule, measurement, values.get(measurement.limit.key), layout, file)


def _is_written_noise(verdict: Verdict, recorded: str, layout: SignLayout) -> bool:
    """Met on one side of the rounding and flagged on the other, by no more than the rounding."""
    if {recorded, str(verdict.outcome)} != {Outcome.MET, Outcome.FLAGGED} or not verdict.closest:
        return False
    if any(finding.measurement is None for finding in verdict.findings):
        return False
    is_met = verdict.outcome == Outcome.MET
    near = [
        abs(measurement.margin) <= _WRITTEN_SHARE * _tolerance(_unit(measurement), layout)
        for measurement in verdict.closest
        if is_met or measurement.margin < 0
    ]
    return any(near) if is_met else all(near)


def _unit(measurement: Measurement) -> str:
    return "mm" if measurement.limit.unit in ("in", "mm") else measurement.limit.unit


def _compare_value(
    rule: str, measurement: Measurement, recorded: float | None, layout: SignLayout, file: str
) -> Iterator[Difference]:
    limit, unit = measurement.limit, _unit(measurement)
    off = abs(measurement.value - recorded) if recorded is not None else float("inf")
    if off <= _tolerance(unit, layout) + _ROUNDING:
        return
    found = f"{measurement.value:.4f} {unit}"
    expected = f"{recorded:.4f} {unit}" if recorded is not None else "no value"
    yield Difference(
        code="rule-value",
        file=file,
        sign_id=layout.request.sign_id,
        message=f"{rule} measures {found} on the drawing for {limit.key}, {expected} in the record ({measurement.where}).",
        found=found,
        expected=expected,
    )


def _tolerance(unit: str, layout: SignLayout) -> float:
    """The tolerance in the limit's unit: shares are of the lowest letters, strokes of the thinnest."""
    lowest_mm = min((line.height_mm for line in layout.lines), default=1.0)
    if unit == "percent":
        return 100 * TOLERANCE_MM / lowest_mm
    if unit == "strokes":
        return TOLERANCE_MM / (layout.font.stroke_ratio * lowest_mm)
    return TOLERANCE_MM
