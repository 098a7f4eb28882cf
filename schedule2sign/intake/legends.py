"""The legend of the sign types: what A, B and C in a sign-type column stand for."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from schedule2sign.intake.grid import Grid, is_void, squeeze
from schedule2sign.intake.judge import plain_texts
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Field, RawRow, RowKind
from schedule2sign.model.source import Source

_KEY_LENGTH = 4
_SIGN = re.compile(r"\bsign(s|age)?\b", re.IGNORECASE)
_LEGEND_KINDS = (RowKind.LEGEND, RowKind.OTHER, RowKind.UNPLACED, RowKind.TITLE)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Meaning:
    text: str
    source: Source


def explain_sign_types(grids: Sequence[Grid], rows: Sequence[RawRow]) -> tuple[RawRow, ...]:
    """Records with the words of the legend in place of its letters, each told; letters it lacks stay as they are.

    A letter with two meanings stays too: which one counts is for a person.
    """
    keys = {key for row in rows if row.kind is RowKind.DATA and (key := _key(row.text(Field.SIGN_TYPE)))}
    if not keys:
        return tuple(rows)
    kinds = {(row.source.file, row.source.sheet, row.source.row): row.kind for row in rows}
    found: dict[str, _Meaning | None] = {}
    for grid in grids:
        for key, meaning in _legend_of(grid, keys, kinds):
            known = found.setdefault(key, meaning)
            if known is not None and squeeze(known.text).casefold() != squeeze(meaning.text).casefold():
                found[key] = None
    meanings = {key: meaning for key, meaning in found.items() if meaning is not None}
    return tuple(_explain(row, meanings) if row.kind is RowKind.DATA else row for row in rows)


def _key(text: str) -> str:
    plain = squeeze(text).upper().rstrip(".")
    return plain if plain and len(plain) <= _KEY_LENGTH and not is_void(plain) else ""


def _legend_of(
    grid: Grid, keys: set[str], kinds: Mapping[tuple[str, str, int], RowKind]
) -> Iterable[tuple[str, _Meaning]]:
    """Rows under a heading that speaks of signs, a letter and its words in each."""
    speaks = bool(_SIGN.search(grid.sheet))
    for row in grid.rows:
        kind = kinds.get((grid.file, grid.sheet, row.number))
        texts = plain_texts(row)
        if not texts or (kind is not None and kind not in _LEGEND_KINDS and kind is not RowKind.HEADER):
            continue
        if len(texts) >= 2 and speaks and kind is not RowKind.HEADER and (key := _key(texts[0])) in keys:
            yield key, _Meaning(text=texts[1], source=Source(file=grid.file, sheet=grid.sheet, row=row.number))
        elif len(texts) == 1 or _SIGN.search(texts[0]):
            speaks = any(map(_SIGN.search, texts)) or bool(_SIGN.search(grid.sheet))


def _explain(row: RawRow, meanings: Mapping[str, _Meaning]) -> RawRow:
    given = row.text(Field.SIGN_TYPE)
    meaning = meanings.get(_key(given))
    if meaning is None:
        return row
    cells = tuple(
        replace(cell, text=meaning.text) if cell.field is Field.SIGN_TYPE and cell.text == given else cell
        for cell in row.cells
    )
    flag = Flag(
        code="intake/sign-type-legend",
        severity=Severity.NOTE,
        source=row.source_of(Field.SIGN_TYPE),
        message=f"sign type {squeeze(given)!r} is {meaning.text!r} by the legend at {meaning.source}",
        given=given,
    )
    return replace(row, cells=cells, flags=(*row.flags, flag))
