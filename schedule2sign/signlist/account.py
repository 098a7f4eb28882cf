"""The row account: every row read ends in one place, or the run ends as our bug."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from schedule2sign.errors import AccountingError
from schedule2sign.model.job import Accounting, SignRecord, Status
from schedule2sign.model.schedule import RowKind, Schedule
from schedule2sign.model.sign import RowOutcome, SignList


def count_rows(schedule: Schedule, sign_list: SignList, signs: Sequence[SignRecord]) -> Accounting:
    """Count both sides of every equation.

    Raises:
        AccountingError: two sides differ.
    """
    data = [row.source for row in schedule.rows if row.kind is RowKind.DATA]
    decided = [decision.row.raw.source for decision in sign_list.decisions]
    _same("data rows", Counter(data), "decisions", Counter(decided))
    places = Counter(row.source for row in schedule.rows)
    if twice := [source for source, count in places.items() if count > 1]:
        raise AccountingError(f"the row account does not balance: {twice[0]} was read {places[twice[0]]} times")
    promised = Counter(sign_id for decision in sign_list.decisions for sign_id in decision.sign_ids)
    listed = Counter(record.request.sign_id for record in signs)
    _same("signs of the decisions", promised, "signs listed", listed)
    if repeated := [sign_id for sign_id, count in listed.items() if count > 1]:
        raise AccountingError(f"sign id {repeated[0]} stands {listed[repeated[0]]} times")
    for decision in sign_list.decisions:
        if bool(decision.sign_ids) != (decision.outcome is RowOutcome.SIGNED):
            raise AccountingError(
                f"{decision.row.raw.source} is {decision.outcome} with {len(decision.sign_ids)} signs"
            )
    kinds = Counter(row.kind for row in schedule.rows)
    outcomes = Counter(decision.outcome for decision in sign_list.decisions)
    reasons = Counter(decision.reason for decision in sign_list.decisions if decision.outcome is RowOutcome.UNSIGNED)
    released = [record for record in signs if record.status is Status.RELEASED]
    return Accounting(
        rows_read=len(schedule.rows),
        rows_by_kind=tuple((kind.value, kinds[kind]) for kind in RowKind),
        data_rows=len(data),
        outcomes=tuple((outcome.value, outcomes[outcome]) for outcome in RowOutcome),
        unsigned_reasons=tuple(sorted(reasons.items())),
        signs_listed=len(signs),
        signs_released=len(released),
        signs_held=sum(record.status is Status.HELD for record in signs),
        pieces_released=sum(record.request.quantity for record in released),
        designs_released=len({record.design for record in released}),
    )


def _same(left_name: str, left: Counter[Any], right_name: str, right: Counter[Any]) -> None:
    if left != right:
        odd = next(iter((left - right) or (right - left)))
        raise AccountingError(
            f"the row account does not balance: {left.total()} {left_name}, {right.total()} {right_name}; see {odd}"
        )
