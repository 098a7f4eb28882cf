"""Values so near the end of a range that the bench's own error could carry them out."""

from collections.abc import Iterable, Sequence

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.plate import Close
from schedule2sign.model.rule import Measurement, Verdict
from schedule2sign.rules.registry import BY_ID
from schedule2sign.rules.wording import say_basis, say_value

_NAMED = 5  # signs named in a note; the list of checks has them all


def find_close(verdicts: Iterable[Verdict], tolerance_mm: float) -> tuple[Close, ...]:
    """What lies so near to the end of its range.

    Only ranges count: they carry no tolerance (ADA 104.1.1), one-sided limits carry the usual ones. A range of
    one number (California's dot and cell pitch) leaves nothing to keep away from.

    Args:
        tolerance_mm: error of the process, each way.
    """
    return tuple(
        Close(rule=verdict.rule, measurement=measurement)
        for verdict in verdicts
        for measurement in verdict.closest
        if measurement.is_close(tolerance_mm)
    )


def flag_close(signs: Iterable[tuple[str, Sequence[Close]]], tolerance_mm: float) -> tuple[Flag, ...]:
    """One note for each limit that signs come close to, with the closest value and the signs.

    Args:
        signs: sign id and what is close on each sign.
        tolerance_mm: error of the process, each way.
    """
    groups: dict[tuple[str, str], list[tuple[str, Measurement]]] = {}
    for sign_id, found in signs:
        for close in found:
            groups.setdefault((close.rule, close.measurement.limit.key), []).append((sign_id, close.measurement))
    return tuple(_note(rule_id, close, tolerance_mm) for (rule_id, _), close in groups.items())


def _note(rule_id: str, close: Sequence[tuple[str, Measurement]], tolerance_mm: float) -> Flag:
    sign_id, worst = min(close, key=lambda item: item[1].margin_mm or 0.0)
    limit = worst.limit
    remark = "; ".join(part for part in (limit.clause, say_basis(limit.basis)) if part)
    ids = [other for other, _ in close]
    more = f" and {len(ids) - _NAMED} more" if len(ids) > _NAMED else ""
    inch = limit.unit != "mm"
    return Flag(
        code=f"rules/{rule_id}/close-to-limit",
        severity=Severity.NOTE,
        message=(
            f"{BY_ID[rule_id].title}: the process tolerance of {_say_length(tolerance_mm, inch=inch)} could carry "
            f"{len(close)} sign{'s' if len(close) > 1 else ''} over; closest {say_value(worst.value, limit)}, "
            f"{_say_length(max(worst.margin_mm or 0.0, 0.0), inch=inch)} inside {limit} ({remark}), "
            f"on {sign_id}, {worst.where}. Signs: {', '.join(ids[:_NAMED])}{more}."
        ),
        measured=say_value(worst.value, limit),
        required=str(limit),
        clause=limit.clause,
        fix="Measure a first article; a range carries no tolerance of its own (ADA 104.1.1).",
        who="shop",
    )


def _say_length(length_mm: float, *, inch: bool) -> str:
    return f"{length_mm / MM_PER_INCH:.4f} in" if inch else f"{length_mm:.3f} mm"
