"""The row account in words, one count a line."""

from collections.abc import Iterator

from schedule2sign.model.job import Accounting


def account_lines(account: Accounting) -> Iterator[tuple[int, str]]:
    """Every count of the account with its name, each total before its parts."""
    yield account.rows_read, "rows read, of which"
    for kind, count in account.rows_by_kind:
        yield count, f"    {kind}"
    yield account.data_rows, "data rows, of which"
    for outcome, count in account.outcomes:
        yield count, f"    {outcome}"
        if outcome == "unsigned":
            for reason, share in account.unsigned_reasons:
                yield share, f"        {reason}"
    yield account.signs_listed, "signs listed, of which"
    yield account.signs_released, "    released"
    yield account.signs_held, "    held"
    yield account.pieces_released, "pieces to make of the released signs"
    yield account.designs_released, "different designs among the released signs"
