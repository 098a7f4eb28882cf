"""The level of each row, settled where only other rows know it."""

from collections import defaultdict
from collections.abc import Sequence

from schedule2sign.model.named import NamedRow


def settle_levels(rows: Sequence[NamedRow]) -> tuple[str, ...]:
    """Each row's own level, else the only level on which other rows have the same room number, else ""."""
    known: defaultdict[str, set[str]] = defaultdict(set)
    for row in rows:
        if row.level and row.room_number:
            known[row.room_number].add(row.level)
    return tuple(row.level or _only(known.get(row.room_number, set())) for row in rows)


def _only(levels: set[str]) -> str:
    return next(iter(levels)) if len(levels) == 1 else ""
