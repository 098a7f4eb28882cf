"""Finds the header rows of a sheet's tables."""

from collections.abc import Mapping

from schedule2sign.intake.columns import Header, Wish, build_header, is_letter
from schedule2sign.intake.grid import Grid, GridRow, column_index, squeeze
from schedule2sign.intake.headers import IDENTITY, fields_named, is_known_header, normalize_header
from schedule2sign.intake.patterns import is_code, starts_legend
from schedule2sign.model.schedule import Field

SEARCHED_ROWS = 200
_HEADER_CELL = 60
_MOST_EXTRA = 2
_ENOUGH = 4
_ENOUGH_ALONE = 3
_KEYS = (Field.DOOR, Field.ROOM_NUMBER)


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


def _may_be_header(row: GridRow, wishes: Mapping[Field, Wish]) -> bool:
    """True when the row by itself has enough known header texts; hidden rows count too."""
    texts = [plain for text in row.texts if (plain := squeeze(text))]
    if not wishes and not any(map(fields_named, texts)):
        return False  # nearly every row of a schedule
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
    while last + 1 < len(grid.rows) and last - first < _MOST_EXTRA:
        if not _is_header_part(grid.rows[last + 1], least=0.75) and not (
            last + 2 < len(grid.rows)
            and last + 2 - first <= _MOST_EXTRA
            and _is_lone_group(grid.rows[last + 1])
            and _is_header_part(grid.rows[last + 2], least=0.75)
        ):
            break
        last += 1
    while first > start and last - first < _MOST_EXTRA and _is_header_part(grid.rows[first - 1], least=0.5):
        first -= 1
    return first, last


def _is_lone_group(row: GridRow) -> bool:
    """True for a row between header rows that holds one group heading, such as SIZE over WIDTH and HEIGHT."""
    texts = [squeeze(cell.given) for cell in row.own.values() if squeeze(cell.given)]
    return len(texts) == 1 and is_known_header(texts[0])


def _is_header_part(row: GridRow, *, least: float) -> bool:
    texts = [squeeze(cell.given) for cell in row.cells.values() if squeeze(cell.given)]
    if not [text for text in row.texts if squeeze(text)]:
        return False
    if len(set(texts)) < 2 or any(is_code(text) or len(text) > _HEADER_CELL for text in texts):
        return False
    return sum(map(is_known_header, texts)) >= least * len(texts)
