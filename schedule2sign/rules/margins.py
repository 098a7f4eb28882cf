"""Values so near the end of a range that the bench's own error could carry them out."""

from collections.abc import Sequence

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.rule import Limit, Measurement, Verdict
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.engine import FLOAT_NOISE_MM
from schedule2sign.rules.registry import BY_ID
from schedule2sign.rules.wording import say_value

_LENGTHS = ("in", "mm")


def close_measurements(verdicts: Sequence[Verdict], tolerance_mm: float) -> tuple[tuple[Verdict, Measurement], ...]:
    """Lengths inside a range by less than the tolerance.

    Only ranges count: they carry no tolerance (ADA 104.1.1), one-sided limits carry the usual ones. A range of
    one number (California's dot and cell pitch) leaves nothing to keep away from.
    """
    return tuple(
        (verdict, measurement)
        for verdict in verdicts
        for measurement in verdict.closest
        if _is_range(measurement.limit) and -FLOAT_NOISE_MM <= measurement.margin < tolerance_mm - FLOAT_NOISE_MM
    )


def flag_close(layout: SignLayout, verdicts: Sequence[Verdict], tolerance_mm: float) -> tuple[Flag, ...]:
    """One note a sign, naming every value within the process tolerance of a limit."""
    close = close_measurements(verdicts, tolerance_mm)
    if not close:
        return ()
    named = "; ".join(
        f"{BY_ID[verdict.rule].title}: {say_value(m.value, m.limit)}, {_say_margin(m)} inside {m.limit} ({m.limit.clause})"
        for verdict, m in close
    )
    first = close[0][1]
    return (
        Flag(
            code="rules/close-to-limit",
            severity=Severity.NOTE,
            message=f"The process tolerance could carry {len(close)} value{'s' if len(close) > 1 else ''} over: {named}.",
            source=layout.request.source,
            sign_id=layout.request.sign_id,
            measured=say_value(first.value, first.limit),
            required=str(first.limit),
            clause=first.limit.clause,
            fix="Measure a first article; a range carries no tolerance of its own.",
            who="shop",
        ),
    )


def _is_range(limit: Limit) -> bool:
    return limit.unit in _LENGTHS and limit.low is not None and limit.high is not None and limit.low != limit.high


def _say_margin(measurement: Measurement) -> str:
    margin = max(measurement.margin, 0.0)
    return f"{margin / MM_PER_INCH:.4f} in" if measurement.limit.unit == "in" else f"{margin:.3f} mm"
