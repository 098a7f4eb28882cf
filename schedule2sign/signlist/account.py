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
        AccountingError: two sides differ; the message shows both.
    """
    data = Counter(row.source for row in schedule.rows if row.kind is RowKind.DATA)
    _same("data rows read", data, "decisions", Counter(decision.row.raw.source for decision in sign_list.decisions))
    _once("row", Counter(row.source for row in schedule.rows))
    promised = Counter(sign_id for decision in sign_list.decisions for sign_id in decision.sign_ids)
    requested = Counter(request.sign_id for request in sign_list.requests)
    listed = Counter(record.request.sign_id for record in signs)
    _same("signs of the decisions", promised, "signs asked for", requested)
    _same("signs asked for", requested, "signs listed", listed)
    _once("sign id", listed)
    _once("sign id without its case", Counter(sign_id.casefold() for sign_id in listed))
    _check_decisions(sign_list)
    kinds = Counter(row.kind for row in schedule.rows)
    outcomes = Counter(decision.outcome for decision in sign_list.decisions)
    reasons = Counter(decision.reason for decision in sign_list.decisions if decision.outcome is RowOutcome.UNSIGNED)
    released = [record for record in signs if record.status is Status.RELEASED]
    held = [record for record in signs if record.status is Status.HELD]
    account = Accounting(
        rows_read=len(schedule.rows),
        rows_by_kind=tuple((kind.value, kinds[kind]) for kind in RowKind),
        data_rows=data.total(),
        outcomes=tuple((outcome.value, outcomes[outcome]) for outcome in RowOutcome),
        unsigned_reasons=tuple(sorted(reasons.items())),
        signs_listed=len(signs),
        signs_released=len(released),
        signs_held=len(held),
        pieces_released=sum(record.request.quantity for record in released),
        designs_released=len({record.design for record in released}),
    )
    _check_sums(account, dict(account.outcomes))
    return account


def _check_decisions(sign_list: SignList) -> None:
    """Signed rows make signs, unsigned and merged rows make none, and each sign names its own row."""
    source_of = {request.sign_id: request.source for request in sign_list.requests}
    for decision in sign_list.decisions:
        source, count = decision.row.raw.source, len(decision.sign_ids)
        if decision.outcome is RowOutcome.SIGNED and not count:
            raise AccountingError(f"The row account does not balance: {source} is signed, but it has 0 signs.")
        if decision.outcome in (RowOutcome.UNSIGNED, RowOutcome.MERGED) and count:
            raise AccountingError(
                f"The row account does not balance: {source} is {decision.outcome} with {count} signs."
            )
        for sign_id in decision.sign_ids:
            if source_of[sign_id] != source:
                raise AccountingError(
                    f"The row account does not balance: sign {sign_id} belongs to {source} and to {source_of[sign_id]}."
                )


def _check_sums(account: Accounting, outcomes: dict[str, int]) -> None:
    """Every total is the sum of its parts (trade practice: the first thing a shop checks)."""
    for whole, total, parts in (
        ("rows read", account.rows_read, sum(count for _, count in account.rows_by_kind)),
        ("data rows", account.data_rows, sum(outcomes.values())),
        ("unsigned rows", outcomes[RowOutcome.UNSIGNED.value], sum(count for _, count in account.unsigned_reasons)),
        ("signs listed", account.signs_listed, account.signs_released + account.signs_held),
    ):
        if total != parts:
            raise AccountingError(f"The row account does not balance: {total} {whole}, but their parts make {parts}.")


def _once(what: str, counts: Counter[Any]) -> None:
    twice = [item for item, count in counts.items() if count > 1]
    if twice:
        raise AccountingError(f"The row account does not balance: {what} {twice[0]} stands {counts[twice[0]]} times.")


def _same(left_name: str, left: Counter[Any], right_name: str, right: Counter[Any]) -> None:
    if left != right:
        odd = next(iter((left - right) or (right - left)))
        raise AccountingError(
            f"The row account does not balance: {left.total()} {left_name}, {right.total()} {right_name}; see {odd}."
        )
