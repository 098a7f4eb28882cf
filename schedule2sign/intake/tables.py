"""Finds the tables of a sheet: header rows, columns, and what one row stands for."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from schedule2sign.intake.grid import Grid, GridRow, column_index, column_letter, is_void, squeeze
from schedule2sign.intake.headers import (
    IDENTITY,
    Claim,
    assign_fields,
    claims_of,
    fields_named,
    is_known_header,
    names_message,
    normalize_header,
)
from schedule2sign.intake.patterns import is_code, is_level_heading, shape_of, starts_legend
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import ColumnMatch, Field, TableShape
from schedule2sign.model.source import Source

SEARCHED_ROWS = 200
_HEADER_CELL = 60
_SAMPLE = 400
_ENOUGH = 4
_TOLD = 9
_KEYS = (Field.DOOR, Field.ROOM_NUMBER)
_ENOUGH_ALONE = 3
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

    `first` is past `last` for a table that has none (columns given by letter).
    """

    first: int
    last: int
    columns: tuple[ColumnMatch, ...]
    fields: Mapping[int, Field]
    strengths: Mapping[int, int]
    shape: TableShape
    evidence: str
    flags: tuple[Flag, ...]
    refusal: str = ""

    @property
    def identity(self) -> tuple[Field, ...]:
        return tuple(field for field in self.fields.values() if field in IDENTITY)


def find_header(grid: Grid, start: int, stop: int, wishes: Mapping[Field, Wish]) -> Header | None:
    """The next header at or below grid row index `start`, or None.

    Args:
        stop: index one past the last row to search.
        wishes: columns told beforehand, by the user or by a standard.
    """
    for index in range(start, min(stop, len(grid.rows))):
        if _may_be_header(grid.rows[index], wishes):
            header = build_header(grid, *_extend(grid, index, start), wishes)
            if header.refusal or _is_enough(header):
                return header
    return None


def _is_enough(header: Header) -> bool:
    """True when the headers together leave no doubt: "NAME" beside nothing but "CATEGORY" may head any list."""
    if not header.identity:
        return False
    support = sum(header.strengths[at] for at, meaning in header.fields.items() if meaning is not Field.ADJACENT)
    others = sum(is_known_header(match.header.rpartition(" / ")[2]) for match in header.columns if match.field is None)
    alone = len(header.columns) == 1
    return support + others / 2 >= (_ENOUGH_ALONE if alone else _ENOUGH)


def letter_header(grid: Grid, wishes: Mapping[Field, Wish]) -> Header | None:
    """A table without header row: every column named by its letter, every row of the sheet a record."""
    width = max((max(row.cells, default=-1) for row in grid.rows), default=-1)
    for wish in wishes.values():
        if not is_letter(wish.header) or column_index(wish.header) > width:
            return None
    return build_header(grid, 0, -1, wishes)


def is_letter(text: str) -> bool:
    """True for one to three capital or small letters that may name a column."""
    return text.isascii() and text.isalpha() and len(text) <= 3


def _may_be_header(row: GridRow, wishes: Mapping[Field, Wish]) -> bool:
    """True when the row by itself has enough known header texts; hidden rows count too."""
    texts = [squeeze(text) for text in row.texts if squeeze(text)]
    if not texts:
        return False
    given = {normalize_header(wish.header) for wish in wishes.values()}
    here = {normalize_header(text) for text in texts}
    if starts_legend(tuple(texts)) and not any(field in _KEYS for text in texts for field, _ in fields_named(text)):
        return False  # A revision box: REV, DATE, DESCRIPTION.
    if given and given & here and (len(given & here) == len(given) or len(given & here) >= 2):
        return True
    if len(texts) == 1:
        # One column only: its header must be beyond doubt, "ROOM" alone may be a title.
        return any(
            field in IDENTITY and strength == 3 and " " in normalize_header(texts[0])
            for field, strength in fields_named(texts[0])
        )
    named: set[Field] = set()
    others = 0
    # Texts that leave no choice take their field first.
    for text in sorted(dict.fromkeys(map(normalize_header, texts)), key=lambda text: len(fields_named(text))):
        fields = [field for field, _ in sorted(fields_named(text), key=lambda named: -named[1])]
        named.update([field for field in fields if field not in named][:1])
        others += not fields and is_known_header(text)
    # A refused list (types and counts of doors) names no door either, so the fields decide later.
    known = len(named) + others
    keys = named & set(IDENTITY)
    if len(keys) >= 2:
        return True
    if any(len(text) > _HEADER_CELL for text in texts) or sum(map(is_code, texts)) > len(texts) / 4:
        return False
    return bool(keys) and known >= 2 and known >= len(set(texts)) / 4


def _extend(grid: Grid, index: int, start: int) -> tuple[int, int]:
    """Neighboring rows that belong to the same header: groups above, parts of headers below."""
    first = last = index
    while last + 1 < len(grid.rows) and last - first < 2 and _is_header_part(grid.rows[last + 1], least=0.75):
        last += 1
    while first > start and last - first < 2 and _is_header_part(grid.rows[first - 1], least=0.5):
        first -= 1
    return first, last


def _is_header_part(row: GridRow, *, least: float) -> bool:
    texts = [squeeze(cell.given) for cell in row.cells.values() if squeeze(cell.given)]
    if not [text for text in row.texts if squeeze(text)]:
        return False
    if len(set(texts)) < 2 or any(is_code(text) or len(text) > _HEADER_CELL for text in texts):
        return False
    return sum(map(is_known_header, texts)) >= least * len(texts)


def build_header(grid: Grid, first: int, last: int, wishes: Mapping[Field, Wish]) -> Header:
    """Map the columns under the header rows [first, last]."""
    parts = _header_parts(grid, first, last)
    body = grid.rows[last + 1 : last + 1 + _SAMPLE]
    width = max(
        (max(row.cells, default=-1) for row in grid.rows[max(first, 0) :]),
        default=-1,
    )
    values = {column: _values_below(body, column) for column in range(width + 1)}
    title = " ".join(text for row in grid.rows[: max(first, 0)] for text in row.texts)
    for_doors = _is_of_openings(parts, title)

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
    rows = ", ".join(str(grid.rows[index].number) for index in range(first, last + 1))
    evidence = f"header in row {rows}" if rows else "no header row, columns given by letter"
    if first > 0:
        evidence += f" under {first} other rows"
    evidence += f"; {len(fields)} of {len(matches)} columns known; {why}"
    if grid.notes:
        evidence += f"; {grid.notes}"
    flags = (
        *(_rival_flag(grid, first, last, parts, *pair) for pair in rivals),
        *_hidden_column_flags(grid, last, parts, values),
        *_doubtful_column_flags(grid, last, parts, chosen, values, forced),
        *_missing_number_flag(grid, last, fields),
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
        refusal=_refusal(fields, values),
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


def _is_of_openings(parts: Mapping[int, tuple[str, ...]], title: str) -> bool:
    last = [texts[-1] for texts in parts.values()]
    named = [field for text in last for field, _ in fields_named(text)]
    if Field.DOOR in named and any(
        field is Field.DOOR and strength > 1 for text in last for field, strength in fields_named(text)
    ):
        return False  # It has a door column of its own.
    hits = sum(field in _OPENING_FIELDS for field in named)
    hits += sum(normalize_header(text) in _OPENING_WORDS for text in last)
    return hits >= 2 or (hits >= 1 and "door" in title.lower())


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


def _refusal(fields: Mapping[int, Field], values: Mapping[int, list[str]]) -> str:
    """Why the table cannot be a list of doors or rooms, or ""."""
    mapped = set(fields.values())
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
            counts = [int(squeeze(value)) for value in values[column] if squeeze(value).isdigit()]
            if counts and sum(count > 1 for count in counts) >= len(counts) / 3:
                return (
                    f"it counts doors by type: column {column_letter(column)} says how many of each"
                    f" ({sum(counts)} doors in {len(counts)} rows), and no column says which room"
                )
    return "" if Field.DOOR in mapped else "it has no column for a door, a room number or a room name"


def _evidence_of(column: int, chosen: Mapping[int, Claim], grid: Grid) -> str:
    if column in chosen:
        return chosen[column].evidence
    return "column is hidden" if column in grid.hidden_columns else ""


def _name(parts: Mapping[int, tuple[str, ...]], column: int) -> str:
    header = " / ".join(parts.get(column, ()))
    return f"{column_letter(column)} {header!r}" if header else column_letter(column)


def _place(grid: Grid, last: int, column: int) -> Source:
    row = grid.rows[max(last, 0)].number if grid.rows else 1
    return Source(file=grid.file, sheet=grid.sheet, row=row, column=column_letter(column))


def _rival_flag(
    grid: Grid, _first: int, last: int, parts: Mapping[int, tuple[str, ...]], first: Claim, rival: Claim
) -> Flag:
    field = first.field
    return Flag(
        code="intake/two-columns",
        severity=Severity.ASK,
        source=_place(grid, last, rival.column),
        message=(
            f"columns {_name(parts, first.column)} and {_name(parts, rival.column)} may both be the {field};"
            f" {column_letter(first.column)} is taken"
        ),
        fix=f"If it is the other one, add --column {field}={column_letter(rival.column)}.",
    )


def _hidden_column_flags(
    grid: Grid, last: int, parts: Mapping[int, tuple[str, ...]], values: Mapping[int, list[str]]
) -> list[Flag]:
    return [
        Flag(
            code="intake/hidden-column",
            severity=Severity.ASK,
            source=_place(grid, last, column),
            message=f"column {_name(parts, column)} is hidden; its {len(values[column])} cells are listed, not used",
            fix="Show the column and read again if it counts.",
        )
        for column in sorted(grid.hidden_columns)
        if values.get(column)
    ]


def _doubtful_column_flags(
    grid: Grid,
    last: int,
    parts: Mapping[int, tuple[str, ...]],
    chosen: Mapping[int, Claim],
    values: Mapping[int, list[str]],
    forced: Mapping[int, Claim],
) -> list[Flag]:
    """A column whose header says numbers and whose cells hold words, or the other way round."""
    flags = []
    for column, claim in sorted(chosen.items()):
        if column in forced or claim.field not in (Field.ROOM_NUMBER, Field.ROOM_NAME):
            continue
        filled = [value for value in values[column] if not is_void(value) and not is_level_heading(value)]
        codes = sum(map(is_code, filled))
        wrong = codes < 0.2 * len(filled) if claim.field is Field.ROOM_NUMBER else codes > 0.8 * len(filled)
        if filled and wrong:
            flags.append(
                Flag(
                    code="intake/column-content-differs",
                    severity=Severity.ASK,
                    source=_place(grid, last, column),
                    message=(
                        f"column {_name(parts, column)} is read as the {claim.field}, but {codes} of {len(filled)}"
                        " cells look like numbers"
                    ),
                    fix=f"If another column is the {claim.field}, add --column {claim.field}=HEADER.",
                )
            )
    return flags


def _missing_number_flag(grid: Grid, last: int, fields: Mapping[int, Field]) -> list[Flag]:
    if set(fields.values()) & {Field.DOOR, Field.ROOM_NUMBER, Field.FINAL_NUMBER} or not fields:
        return []
    flag = Flag(
        code="intake/no-number-column",
        severity=Severity.ASK,
        source=_place(grid, last, min(fields)),
        message="the table has names, but no column of door or room numbers: equal names cannot be told apart",
        fix="Add --column number=HEADER if there is one, or ask for the numbers.",
        who="architect",
    )
    return [flag]
