"""Rows that stand for one door or room: the same data is one sign, different data holds them all."""

import re
from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from schedule2sign.model.flag import worst_severity
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Field
from schedule2sign.signlist.phrases import plain

_COMPARED = (
    Field.FINAL_NUMBER, Field.FROM_ROOM, Field.TO_ROOM, Field.ADJACENT, Field.LEAF, Field.HAND, Field.GLASS,
    Field.SIGN_TYPE, Field.INSERT, Field.OCCUPANCY, Field.QUANTITY, Field.REMARKS,
)  # fmt: skip
_NOTHING = ("",) * len(_COMPARED)
_LETTERED = re.compile(r"(.*\d)[- ]?([A-Z])")


@dataclass(frozen=True, slots=True, kw_only=True)
class Repeats:
    """By index of the row.

    Attributes:
        kept: the row that a row with the same data was merged into.
        partners: the row of the right leaf that the row of the left leaf was merged into.
        conflicts: what a row contradicts, in words.
    """

    kept: Mapping[int, int]
    partners: Mapping[int, int]
    conflicts: Mapping[int, str]


def row_content(row: NamedRow) -> tuple[str, ...]:
    """Everything of a row that may change its sign, as compared."""
    if not any(cell.field in _COMPARED for cell in row.raw.cells):
        return (row.door, row.room_number, row.name, *_NOTHING)  # most rows of most schedules
    return (row.door, row.room_number, row.name, *(plain(row.raw.text(field)) for field in _COMPARED))


def find_repeats(rows: Sequence[NamedRow], levels: Sequence[str]) -> Repeats:
    """Compare rows with the same door mark, or without a door with the same room number, on one level."""
    kept: dict[int, int] = {}
    conflicts: dict[int, str] = {}
    for group in _grouped((_mark(row, levels[index]), index) for index, row in enumerate(rows)):
        if len(group) == 1:
            continue  # as most
        by_content = _grouped((row_content(rows[index]), index) for index in group)
        first = []
        for same in by_content:
            ordered = sorted(same, key=lambda index: _rank(rows[index]))
            first.append(ordered[0])
            kept |= dict.fromkeys(ordered[1:], ordered[0])
        if len(first) > 1:
            conflicts |= dict.fromkeys(first, _differences([rows[index] for index in first]))
    live = [index for index in range(len(rows)) if index not in kept]
    for group in _grouped((_posted(rows[index], levels[index]), index) for index in live if rows[index].name):
        if len({rows[index].name for index in group}) > 1:
            seen = "; ".join(sorted({f"{rows[index].name} ({_where(rows[index])})" for index in group}))
            for index in group:
                conflicts.setdefault(index, f"number {_number(rows[index])} has several names: {seen}")
    partners = _pair_rows(rows, [index for index in live if index not in conflicts])
    return Repeats(kept=kept, partners=partners, conflicts=conflicts)


def _pair_rows(rows: Sequence[NamedRow], live: Sequence[int]) -> dict[int, int]:
    """104L and 104R, with no other letter after 104 and the same room: one pair of doors on two rows."""
    marks: defaultdict[tuple[str, str], dict[str, int]] = defaultdict(dict)
    for index in live:
        if found := _LETTERED.fullmatch(rows[index].door):
            marks[rows[index].level, found[1]][found[2]] = index
    pairs = {}
    for letters in marks.values():
        if set(letters) == {"L", "R"} and _room(rows[letters["L"]]) == _room(rows[letters["R"]]):
            pairs[letters["L"]] = letters["R"]
    return pairs


def _room(row: NamedRow) -> tuple[str, ...]:
    # The room column may repeat the mark.
    number = "" if row.room_number == row.door else row.room_number
    return (number, row.name, plain(row.raw.text(Field.FROM_ROOM)), plain(row.raw.text(Field.TO_ROOM)))


def _mark(row: NamedRow, level: str) -> Hashable:
    if row.door:
        return "door", level, row.door
    return ("room", level, row.room_number) if row.room_number else None


def _number(row: NamedRow) -> str:
    return plain(row.raw.text(Field.FINAL_NUMBER)).replace(" ", "") or row.room_number


def _posted(row: NamedRow, level: str) -> Hashable:
    number = _number(row)
    return (level, number) if number else None


def _grouped(keyed: Iterable[tuple[Hashable, int]]) -> list[list[int]]:
    groups: defaultdict[Hashable, list[int]] = defaultdict(list)
    for key, index in keyed:
        if key is not None:
            groups[key].append(index)
    return list(groups.values())


def _rank(row: NamedRow) -> tuple[object, ...]:
    """Which of the same rows is kept: the one in most doubt, then by its text; where it stands decides last."""
    worst = worst_severity((*row.raw.flags, *row.flags))
    source = row.raw.source
    return (-worst.rank if worst else 1, row.raw.as_given, source.file, source.sheet, source.row)


def _where(row: NamedRow) -> str:
    return f"{'door ' + row.door + ', ' if row.door else ''}{row.raw.source}"


def _differences(rows: Sequence[NamedRow]) -> str:
    """Which texts differ, each with where it stands."""
    labels = ("door", "number", "name", *(field.value for field in _COMPARED))
    contents = [row_content(row) for row in rows]
    parts = []
    for label, column in zip(labels, zip(*contents, strict=True), strict=True):
        if len(set(column)) > 1:
            seen = {f"{text or 'nothing'} ({row.raw.source})" for text, row in zip(column, rows, strict=True)}
            parts.append(f"{label}: {' or '.join(sorted(seen))}")
    return "; ".join(parts)
