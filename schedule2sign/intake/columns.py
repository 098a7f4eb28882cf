"""The columns under a header: what each one holds, and what one row of the table stands for."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from schedule2sign.intake.doubts import content_flags, gap_flag, hidden_column_flags, missing_number_flags, rival_flag
from schedule2sign.intake.grid import Grid, GridRow, column_index, column_letter, is_void, squeeze
from schedule2sign.intake.headers import (
    IDENTITY,
    Claim,
    assign_fields,
    claims_of,
    fields_named,
    names_message,
    normalize_header,
)
from schedule2sign.intake.patterns import shape_of
from schedule2sign.model.flag import Flag
from schedule2sign.model.schedule import ColumnMatch, Field, TableShape

_SAMPLE = 400
_TOLD = 9
_TYPE_LENGTH = 4
# Columns only a schedule of openings has: there a plain "NO." is the door's.
_OPENING_FIELDS = (Field.LEAF, Field.HAND, Field.GLASS, Field.FROM_ROOM)
_OPENING_WORDS = ("hardware", "hardware set", "frame", "door type", "frame type", "undercut", "under cut", "jamb")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A column told beforehand: its header text or letter, and who told.

    `alone` says that the columns so told are all there are: none is guessed beside them.
    """

    header: str
    reason: str
    alone: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Header:
    """A table's header: grid rows [first, last], its columns, and flags about them.

    `first` is past `last` for a table that has none (columns given by letter). `rivals` gives the columns that may hold
    the door mark or the room number instead of the one taken: column taken -> the others.
    """

    first: int
    last: int
    columns: tuple[ColumnMatch, ...]
    fields: Mapping[int, Field]
    strengths: Mapping[int, int]
    shape: TableShape
    evidence: str
    flags: tuple[Flag, ...]
    rivals: Mapping[int, tuple[int, ...]]
    refusal: str = ""

    @property
    def identity(self) -> tuple[Field, ...]:
        return tuple(field for field in self.fields.values() if field in IDENTITY)


_NUMBERED = (Field.DOOR, Field.ROOM_NUMBER)


def is_letter(text: str) -> bool:
    """True for one to three capital or small letters that may name a column."""
    return text.isascii() and text.isalpha() and len(text) <= 3


def build_header(grid: Grid, first: int, last: int, wishes: Mapping[Field, Wish]) -> Header:
    """Map the columns under the header rows [first, last]."""
    parts = _header_parts(grid, first, last)
    body = grid.rows[last + 1 : last + 1 + _SAMPLE]
    width = grid.last_column(max(first, 0))
    values = {column: _values_below(body, column) for column in range(width + 1)}
    for_doors = _is_of_openings(parts, grid.rows[: max(first, 0)])

    forced = _forced_columns(parts, wishes, width)
    claims: list[Claim] = []
    for column in range(width + 1):
        if column in forced or column in grid.hidden_columns or any(wish.alone for wish in wishes.values()):
            continue
        claims += claims_of(column, parts.get(column, ()), values[column], for_doors=for_doors)
    taken = {claim.field for claim in forced.values()}
    chosen, rivals = assign_fields([claim for claim in claims if claim.field not in taken])
    chosen = _without_types({**chosen, **forced}, values, forced)
    fields = {column: chosen[column].field for column in sorted(chosen)}

    matches = tuple(
        ColumnMatch(
            column=column_letter(column),
            header=" / ".join(parts.get(column, ())),
            field=fields.get(column),
            evidence=_evidence_of(column, chosen, grid),
        )
        for column in range(width + 1)
        if column in parts or column in fields
    )
    shape, why = _shape_of(fields, parts, chosen)
    rows = [grid.rows[index].number for index in range(first, last + 1)]
    found = f"rows {rows[0]} to {rows[-1]}" if len(rows) > 1 else f"row {rows[0]}" if rows else ""
    evidence = f"header in {found}" if rows else "no header row, columns given by letter"
    if first > 0:
        evidence += f", {first} other row{'s' * (first > 1)} above"
    evidence += f"; {len(fields)} of {len(matches)} columns known; {why}"
    if grid.notes:
        evidence += f"; {grid.notes}"
    flags = (
        *(rival_flag(grid, last, parts, *pair) for pair in rivals),
        *hidden_column_flags(grid, last, parts, values),
        *content_flags(grid, last, parts, chosen, values, forced),
        *missing_number_flags(grid, last, fields),
        *gap_flag(grid, last, parts, chosen, values),
    )
    return Header(
        first=first,
        last=last,
        columns=matches,
        fields=fields,
        strengths={column: chosen[column].strength for column in fields},
        shape=shape,
        evidence=evidence,
        flags=flags,
        rivals={
            at: tuple(rival.column for first_claim, rival in rivals if first_claim.column == at)
            for at in {first_claim.column for first_claim, _ in rivals if first_claim.field in _NUMBERED}
        },
        refusal=_refusal(fields, values, {column: chosen[column].strength for column in fields}),
    )


def _header_parts(grid: Grid, first: int, last: int) -> dict[int, tuple[str, ...]]:
    """Header texts of each column from top to bottom; group headings reach over the columns they stand above."""
    parts: dict[int, list[str]] = {}
    own: set[int] = set()
    for index in range(first, last + 1):
        row = grid.rows[index]
        spread: dict[int, str] = {}
        for column, cell in row.cells.items():
            text = squeeze(cell.given)
            if not text:
                continue
            own.add(column)
            spread[column] = text
            for top, left, bottom, right in grid.merges:
                if left == column and top <= row.number <= bottom:
                    spread.update(dict.fromkeys(range(left, right + 1), text))
        if not grid.merges_known and index < last:
            width = max(max(line.cells, default=0) for line in grid.rows[first : last + 1])
            # A heading reaches no further than the one above it.
            fences = {at for line in grid.rows[first:index] for at in line.cells}
            spread = _spread_right(spread, width, fences)
        for column, text in spread.items():
            texts = parts.setdefault(column, [])
            if not texts or texts[-1] != text:
                texts.append(text)
    return {column: tuple(texts) for column, texts in sorted(parts.items()) if column in own}


def _spread_right(row: Mapping[int, str], last: int, fences: set[int]) -> dict[int, str]:
    spread: dict[int, str] = {}
    text = ""
    for column in range(last + 1):
        text = row.get(column, "" if column in fences else text)
        if text:
            spread[column] = text
    return spread


def _values_below(rows: Sequence[GridRow], column: int) -> list[str]:
    """Texts of a column in rows that are not a heading (more than one cell)."""
    found = [row.cells[column].given for row in rows if column in row.cells and len(row.own) > 1]
    return found or [row.cells[column].given for row in rows if column in row.cells]


def _is_of_openings(parts: Mapping[int, tuple[str, ...]], above: Sequence[GridRow]) -> bool:
    last = [texts[-1] for texts in parts.values()]
    named = [field for text in last for field, _ in fields_named(text)]
    if Field.DOOR in named and any(
        field is Field.DOOR and strength > 1 for text in last for field, strength in fields_named(text)
    ):
        return False  # It has a door column of its own.
    hits = sum(field in _OPENING_FIELDS for field in named)
    hits += sum(normalize_header(text) in _OPENING_WORDS for text in last)
    return hits >= 2 or (hits >= 1 and any("door" in text.lower() for row in above for text in row.texts))


def _forced_columns(parts: Mapping[int, tuple[str, ...]], wishes: Mapping[Field, Wish], width: int) -> dict[int, Claim]:
    """Columns the user named, by header text first, else by letter."""
    forced: dict[int, Claim] = {}
    for field, wish in wishes.items():
        wanted = wish.header
        plain = normalize_header(wanted)
        exact = [at for at, texts in parts.items() if squeeze(" / ".join(texts)).lower() == squeeze(wanted).lower()]
        same = [
            at
            for at, texts in parts.items()
            if plain and plain in {normalize_header(text) for text in (" ".join(texts), texts[-1])}
        ]
        by_letter = [column_index(wanted)] if is_letter(wanted) and column_index(wanted) <= width else []
        for column in (*exact, *same, *by_letter):
            if column not in forced:
                forced[column] = Claim(column=column, field=field, strength=_TOLD, evidence=wish.reason)
                break
    return forced


def _without_types(
    chosen: Mapping[int, Claim], values: Mapping[int, list[str]], forced: Mapping[int, Claim]
) -> dict[int, Claim]:
    """Drop a "MARK" that holds a few type letters over and over: it names kinds of doors, not doors."""
    kept = dict(chosen)
    for column, claim in chosen.items():
        if claim.field is not Field.DOOR or column in forced:
            continue
        filled = [squeeze(value) for value in values[column] if not is_void(value)]
        repeated = len(filled) >= 6 and len(set(filled)) <= len(filled) / 2
        if repeated and all(shape_of(value) in ("A", "A9", "9", "99") and len(value) <= 3 for value in filled):
            del kept[column]
    return kept


def _shape_of(
    fields: Mapping[int, Field], parts: Mapping[int, tuple[str, ...]], chosen: Mapping[int, Claim]
) -> tuple[TableShape, str]:
    by_field = {field: column for column, field in reversed(list(fields.items()))}
    name = by_field.get(Field.ROOM_NAME)
    if name is not None and names_message(parts.get(name, ())):
        return TableShape.MESSAGES, f"a message list, since column {column_letter(name)} holds sign wording"
    if Field.DOOR in by_field:
        column = by_field[Field.DOOR]
        return (
            TableShape.DOORS,
            f"a door schedule, since column {column_letter(column)} is the door ({chosen[column].evidence})",
        )
    names = " and ".join(
        f"column {column_letter(by_field[field])} is the {field} ({chosen[by_field[field]].evidence})"
        for field in (Field.ROOM_NUMBER, Field.ROOM_NAME)
        if field in by_field
    )
    return TableShape.ROOMS, f"a room schedule, since it has no door column and {names or 'nothing else'}"


def _refusal(fields: Mapping[int, Field], values: Mapping[int, list[str]], strengths: Mapping[int, int]) -> str:
    """Why the table cannot be a list of doors or rooms, or ""."""
    mapped = set(fields.values())
    if _is_type_legend(fields, values, strengths):
        return "it explains sign types, one row each, and lists no doors or rooms"
    if mapped & {
        Field.ROOM_NUMBER,
        Field.ROOM_NAME,
        Field.FINAL_NUMBER,
        Field.FROM_ROOM,
        Field.TO_ROOM,
        Field.ADJACENT,
    }:
        return ""
    for column, field in fields.items():
        if field is Field.QUANTITY:
            counts = [int(text) for value in values[column] if (text := squeeze(value)).isdecimal() and len(text) < 10]
            if counts and sum(count > 1 for count in counts) >= len(counts) / 3:
                return (
                    f"it counts doors by type: column {column_letter(column)} says how many of each"
                    f" ({sum(counts)} doors in {len(counts)} rows), and no column says which room"
                )
    return "" if Field.DOOR in mapped else "it has no column for a door, a room number or a room name"


def _is_type_legend(fields: Mapping[int, Field], values: Mapping[int, list[str]], strengths: Mapping[int, int]) -> bool:
    """True for SIGN TYPE beside DESCRIPTION, each short type once: a legend, not a list of rooms."""
    by_field = {field: column for column, field in fields.items()}
    if set(by_field) - {Field.SIGN_TYPE, Field.ROOM_NAME, Field.REMARKS, Field.QUANTITY}:
        return False
    if Field.SIGN_TYPE not in by_field or Field.ROOM_NAME not in by_field:
        return False
    types = [squeeze(value) for value in values[by_field[Field.SIGN_TYPE]] if not is_void(value)]
    distinct = len(set(types)) == len(types) and all(len(text) <= _TYPE_LENGTH for text in types)
    return distinct and strengths[by_field[Field.ROOM_NAME]] <= 1


def _evidence_of(column: int, chosen: Mapping[int, Claim], grid: Grid) -> str:
    if column in chosen:
        return chosen[column].evidence
    return "column is hidden" if column in grid.hidden_columns else ""
