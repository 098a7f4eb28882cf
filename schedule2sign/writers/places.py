"""Finds the row a flag or a sign came from: its door, room and text as given."""

from schedule2sign.model.job import Job
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import RawRow
from schedule2sign.model.source import Source

_Key = tuple[str, str, int]


class Places:
    """Rows of a job by file, sheet, row number and, of tables side by side, the column they start in."""

    def __init__(self, job: Job) -> None:
        self._sheets: dict[tuple[str, str], dict[int, RawRow]] = {}
        self._beside: dict[_Key, list[RawRow]] = {}  # of tables side by side
        for row in job.schedule.rows:
            source = row.source
            first = self._sheets.setdefault((source.file, source.sheet), {}).setdefault(source.row, row)
            if first is not row:
                self._beside.setdefault(_key(source), [first]).append(row)
        self._named = {decision.row.raw.source: decision.row for decision in job.decisions}

    def raw(self, source: Source | None) -> RawRow | None:
        if source is None:
            return None
        rows = self._beside.get(_key(source))
        if rows is None:
            return self._sheets.get((source.file, source.sheet), {}).get(source.row)
        # The row of the table the cell stands in: the last one that starts at or before its column.
        left = [row for row in rows if _order(row.source.column) <= _order(source.column)]
        return max(left or rows[:1], key=lambda row: _order(row.source.column))

    def named(self, source: Source | None) -> NamedRow | None:
        row = self.raw(source)
        return self._named.get(row.source) if row else None

    def door(self, source: Source | None) -> str:
        """Door mark, else room number, else "" where the place is no data row."""
        row = self.named(source)
        return (row.door or row.room_number) if row else ""

    def given(self, source: Source | None) -> str:
        """The text of the cell, else of the whole row, as the customer wrote it."""
        row = self.raw(source)
        if row is None or source is None:
            return ""
        cells = [cell.text for cell in row.cells if cell.column == source.column]
        return " | ".join(cells or row.as_given)


def _key(source: Source) -> _Key:
    return source.file, source.sheet, source.row


def _order(column: str) -> tuple[int, str]:
    """Column letters as a spreadsheet orders them: Z before AA."""
    return len(column), column
