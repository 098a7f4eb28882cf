"""What a row under a header is: a record, a heading, a sum, a note, or nothing that can be placed."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from statistics import median

from schedule2sign.intake.columns import Header
from schedule2sign.intake.grid import Grid, GridRow, column_index, is_void, load_table, squeeze
from schedule2sign.intake.headers import IDENTITY, normalize_header
from schedule2sign.intake.patterns import (
    is_bare_level,
    is_code,
    is_count,
    is_level_heading,
    is_level_value,
    is_remark,
    is_subtotal,
    shape_of,
    starts_legend,
)
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Field, RowKind
from schedule2sign.model.source import Source

_NUMBERED = (Field.DOOR, Field.ROOM_NUMBER)
_SHORT_MARK = 4
_NO_SIGN = "It is counted and listed, and makes no sign"


@dataclass(frozen=True, slots=True)
class Judgement:
    """The kind of a row, its flags, and the level it names for the rows below ("" for none)."""

    kind: RowKind
    flags: tuple[Flag, ...] = ()
    level: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Habits:
    """What is usual in one table: how many cells a record has, how its numbers are built."""

    fill: float = 1.0
    shapes: frozenset[str] = field(default_factory=frozenset)


class Judge:
    """Judges the rows of one table.

    Args:
        seen: texts of title and header rows above, with their kind.
    """

    def __init__(
        self, grid: Grid, header: Header, body: tuple[GridRow, ...], seen: Mapping[tuple[str, ...], RowKind]
    ) -> None:
        self._grid = grid
        self._header = header
        self._seen = seen
        self._words = header_words(header)
        self._habits = _study(header, body)

    def judge(self, row: GridRow, level: str, *, legend: bool) -> Judgement:
        """What the row is, under a level, and with a heading of notes above it or not."""
        texts = plain_texts(row)
        if all(map(is_void, texts)):
            return Judgement(RowKind.BLANK)
        repeated = self._repeats(row, texts)
        if row.hidden:
            # The rows under a hidden heading still belong to its level.
            named = texts[0] if len(texts) == 1 and is_level_heading(texts[0]) else ""
            if repeated is not None:
                return Judgement(repeated, (), named)
            what = f"the row is hidden or filtered out. {_NO_SIGN}"
            return Judgement(RowKind.HIDDEN, (self._row_flag(row, "intake/hidden-row", what),), named)
        if _is_struck(row, self._header):
            what = f"the row is struck through. {_NO_SIGN}"
            return Judgement(RowKind.STRUCK, (self._row_flag(row, "intake/struck-row", what),))
        if repeated is not None:
            return Judgement(repeated)
        if heading := _level_of_heading(row, texts, self._header):
            flags: tuple[Flag, ...] = ()
            if self._habits.fill <= 1:
                what = f"{heading!r} is taken for a level heading; in a list of one column it may be a room"
                flags = (self._row_flag(row, "intake/lone-level", what),)
            return Judgement(RowKind.LEVEL, flags, heading)
        if is_subtotal(texts, level):
            return Judgement(RowKind.SUBTOTAL)
        if len(texts) == 1 and _is_page_mark(texts[0]):
            return Judgement(RowKind.TITLE)
        if starts_legend(texts) and not _has_code(row, self._header):
            return Judgement(RowKind.LEGEND)
        if legend:
            return self._judge_in_legend(row)
        if len(texts) == 1:
            return self._judge_lone(row, texts[0])
        return self._judge_record(row)

    def _judge_in_legend(self, row: GridRow) -> Judgement:
        """Under notes a row is a note, unless it is built like the records above."""
        if not _has_code(row, self._header, self._habits.shapes):
            return Judgement(RowKind.LEGEND)
        if len(row.own) >= 2 and len(row.own) > self._habits.fill / 2:
            return Judgement(RowKind.DATA)
        flag = self._row_flag(
            row,
            "intake/unplaced-row",
            f"the row stands among notes but begins like a record. {_NO_SIGN}",
            severity=Severity.HOLD,
        )
        return Judgement(RowKind.UNPLACED, (flag,))

    def _judge_lone(self, row: GridRow, text: str) -> Judgement:
        """A row with one cell: a record, a heading, or a remark."""
        at, cell = next((at, cell) for at, cell in row.own.items() if squeeze(cell.given))
        meaning = self._header.fields.get(at)
        if self._habits.fill <= 1 and meaning in IDENTITY:
            return Judgement(RowKind.DATA)
        if meaning in _NUMBERED or meaning is Field.FINAL_NUMBER:
            # An error or a lost formula stands where a number was.
            if is_code(text) or shape_of(text) in self._habits.shapes or len(text) <= _SHORT_MARK or cell.marks:
                return Judgement(RowKind.DATA)
        elif meaning is Field.ROOM_NAME:
            flag = self._row_flag(
                row, "intake/lone-name", f"the row has nothing but {text!r} in the name column: a room or a heading?"
            )
            return Judgement(RowKind.DATA, (flag,))
        if is_remark(text):
            return Judgement(RowKind.LEGEND)
        flag = self._row_flag(
            row,
            "intake/unplaced-row",
            f"the row has one cell, {_short(text)!r}: no record, and no level heading. {_NO_SIGN}",
        )
        return Judgement(RowKind.UNPLACED, (flag,))

    def _judge_record(self, row: GridRow) -> Judgement:
        identity = {
            meaning: cell
            for at, cell in row.cells.items()
            if (meaning := self._header.fields.get(at)) in IDENTITY and (not is_void(cell.given) or cell.marks)
        }
        own = [cell for cell in row.own.values() if not is_void(cell.given)]
        if not identity:
            flag = self._row_flag(
                row,
                "intake/no-identity",
                f"the row has {len(own)} cells, but no door, room number or room name. {_NO_SIGN}",
                severity=Severity.HOLD,
            )
            return Judgement(RowKind.UNPLACED, (flag,))
        numbered = [cell.given for meaning, cell in identity.items() if meaning in _NUMBERED]
        strange = bool(numbered) and not any(
            is_code(text) or shape_of(text) in self._habits.shapes for text in numbered
        )
        marked = any(cell.marks for cell in identity.values())
        if self._habits.shapes and self._habits.fill > 2 and len(own) == 2 and strange and not marked:
            # "FG | FULL GLASS": a legend without a heading.
            begin = _short(squeeze(numbered[0]))
            what = f"the row begins with {begin!r}, built like no other number here: a legend? {_NO_SIGN}"
            return Judgement(RowKind.UNPLACED, (self._row_flag(row, "intake/unplaced-row", what),))
        return Judgement(RowKind.DATA)

    def _repeats(self, row: GridRow, texts: tuple[str, ...]) -> RowKind | None:
        """The kind of an earlier header or title row with the same words, or None."""
        if texts in self._seen:
            kind = self._seen[texts]
            if kind is RowKind.LEVEL:
                return None  # Judged again, since it changes the level.
            return kind
        return RowKind.HEADER if repeats_header(row, self._words) else None

    def _row_flag(self, row: GridRow, code: str, message: str, *, severity: Severity = Severity.ASK) -> Flag:
        fixes = {
            "intake/hidden-row": "Show the row in the schedule if it is live.",
            "intake/struck-row": "Remove the strike-through in the schedule if the row is live.",
        }
        return Flag(
            code=code,
            severity=severity,
            source=Source(file=self._grid.file, sheet=self._grid.sheet, row=row.number, column=self._grid.pane),
            message=message,
            given=" | ".join(plain_texts(row)),
            fix=fixes.get(code, "Say what the row is: correct it in the schedule and read it again."),
            who="architect",
        )


def header_words(header: Header) -> Mapping[int, frozenset[str]]:
    """The words of a header, by column."""
    return {
        column_index(match.column): frozenset(normalize_header(part) for part in match.header.split(" / "))
        for match in header.columns
    }


def repeats_header(row: GridRow, words: Mapping[int, frozenset[str]]) -> bool:
    """True for a row with nothing but the header's own words, each in its column."""
    texts = []
    for at, cell in row.own.items():
        if squeeze(cell.given):
            if at not in words or normalize_header(cell.given) not in words[at]:
                return False
            texts.append(cell.given)
    # "NOTES:" under a column of notes heads the notes.
    return len(texts) > 1 or (len(texts) == 1 and not starts_legend((texts[0],)))


def _is_page_mark(text: str) -> bool:
    return any(re.fullmatch(pattern, text.lower()) for pattern in load_table("rows.toml")["page"]["patterns"])


def plain_texts(row: GridRow) -> tuple[str, ...]:
    """The row's own non-empty texts on one line each."""
    return tuple([text for cell in row.cells.values() if not cell.filled and (text := squeeze(cell.given))])


def _short(text: str) -> str:
    return text if len(text) <= 50 else text[:47] + "..."


def _study(header: Header, body: tuple[GridRow, ...]) -> _Habits:
    notes = (at for at, row in enumerate(body) if row.own and starts_legend(plain_texts(row) or ("",)))
    above_notes = body[: next(notes, len(body))]
    rows = [row for row in above_notes if _has_code(row, header)]
    if not rows:
        named = [row for row in body if any(header.fields.get(at) in IDENTITY for at in row.own)]
        return _Habits(fill=median([len(row.own) for row in named]) if named else 1.0)
    shapes = frozenset(
        shape_of(cell.given)
        for row in rows
        if len(row.own) > 1
        for at, cell in row.cells.items()
        if header.fields.get(at) in _NUMBERED and not is_void(cell.given)
    )
    return _Habits(fill=median(len(row.own) for row in rows), shapes=shapes)


def _has_code(row: GridRow, header: Header, shapes: frozenset[str] | None = None) -> bool:
    """True when a door or number cell looks like a number (built like one of `shapes`, where given)."""
    found = [cell.given for at, cell in row.own.items() if header.fields.get(at) in _NUMBERED and is_code(cell.given)]
    return any(shapes is None or shape_of(text) in shapes for text in found)


def _is_struck(row: GridRow, header: Header) -> bool:
    """True when all that identifies the row is struck through, or all of it is."""
    own = [cell for cell in row.own.values() if squeeze(cell.given)]
    if own and not any(cell.struck for cell in own):
        return False
    identity = [cell for at, cell in row.own.items() if header.fields.get(at) in IDENTITY and squeeze(cell.given)]
    return all(cell.struck for cell in identity or own)


def _level_of_heading(row: GridRow, texts: tuple[str, ...], header: Header) -> str:
    """The level a heading row names, or ""."""
    if len(texts) == 1:
        at = next(at for at, cell in row.own.items() if squeeze(cell.given))
        if is_bare_level(texts[0]) and header.fields.get(at) is Field.ROOM_NAME and at > min(header.fields):
            return ""  # A heading would begin at the left edge: this is a name without a number.
        in_column = header.fields.get(at) is Field.LEVEL and is_level_value(texts[0])
        return texts[0] if in_column or is_level_heading(texts[0]) else ""
    words = load_table("rows.toml")["level"]["words"]
    if len(texts) == 2 and texts[0].lower().rstrip(":") in words and is_level_value(texts[1]):
        return f"{texts[0].rstrip(':')} {texts[1]}"
    if len(texts) > 1 and is_level_heading(texts[0]):
        # "LEVEL 2 | 12 DOORS": a count stands beside the heading, not in a column that names a room.
        first, *others = (at for at, cell in row.own.items() if squeeze(cell.given))
        beside = all(
            is_count(text) and (header.fields.get(at) not in IDENTITY or not text.isdigit())
            for at, text in zip(others, texts[1:], strict=True)
        )
        return texts[0] if beside and header.fields.get(first) is not Field.ROOM_NAME else ""
    return ""
