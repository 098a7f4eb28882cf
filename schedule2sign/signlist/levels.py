"""The level of each row, settled where only other rows know it."""

import re
from collections import defaultdict
from collections.abc import Sequence
from functools import cache

from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Field
from schedule2sign.signlist.identity import level_code
from schedule2sign.signlist.phrases import plain
from schedule2sign.signlist.rulebook import RuleBook


def settle_levels(rows: Sequence[NamedRow]) -> tuple[str, ...]:
    """Each row's own level, else the only level on which other rows have the same room number, else ""."""
    known: defaultdict[str, set[str]] = defaultdict(set)
    for row in rows:
        if row.level and row.room_number:
            known[row.room_number].add(row.level)
    return tuple(row.level or _only(known.get(row.room_number, set())) for row in rows)


def find_discharge(rows: Sequence[NamedRow], levels: Sequence[str], said: str, book: RuleBook) -> frozenset[str]:
    """Codes of the levels of exit discharge: the job file's, else those of rows that say so; empty where nobody does."""
    if said:
        return frozenset({level_code(plain(said))})

    @cache  # rows say the same few names and levels again and again
    def speaks(text: str) -> bool:
        return bool(book.discharge.search(text))

    @cache
    def says_so(levels: tuple[str, str], remarks: str) -> bool:
        return any(map(speaks, (*map(plain, levels), *_parts(plain(remarks)))))

    return frozenset(
        level_code(level)
        for row, level in zip(rows, levels, strict=True)
        if level
        and (speaks(row.name) or says_so((row.raw.level, row.raw.text(Field.LEVEL)), row.raw.text(Field.REMARKS)))
    )


def _parts(remarks: str) -> list[str]:
    return [part.strip(" .") for part in re.split(r"[,;|]", remarks)] if remarks else []


def _only(levels: set[str]) -> str:
    return next(iter(levels)) if len(levels) == 1 else ""
