"""The message when no header can be found: what was seen, and the option that would fix it."""

from schedule2sign.intake.grid import Grid, GridRow, column_letter, squeeze
from schedule2sign.intake.headers import IDENTITY, fields_named, is_known_header
from schedule2sign.intake.patterns import is_code, is_wordy

SHOWN_ROWS = 15
_CELL = 24
_LINE = 110


def explain_missing_header(grid: Grid) -> str:
    """Several lines for the screen: the reason, the first rows, and the line to add."""
    where = f"{grid.file} [{grid.sheet}]" if grid.sheet else grid.file
    filled = [row for row in grid.rows if row.own]
    if len(filled) < 2:
        return f"{where} has {len(filled)} filled row{'s' * (len(filled) != 1)}: too little to be a schedule."
    lines = [f"{where}: no header row could be found with confidence ({len(grid.rows)} rows searched)."]
    if nearest := _nearest(filled):
        texts = ", ".join(squeeze(text) for text in nearest.texts)
        lines.append(
            f"Row {nearest.number} looks like a header ({texts[:_LINE]}), but none of it is a door, a room number or a"
            " room name: a list without them cannot become signs."
        )
    lines.append("Looked for headers such as DOOR NO, ROOM NO, ROOM NAME. The first rows are:")
    lines += [_show(row) for row in grid.rows[:SHOWN_ROWS]]
    lines.append(f"If it is a schedule, say which column is which, by header text or column letter: {_suggest(filled)}")
    return "\n".join(lines)


def _nearest(rows: list[GridRow]) -> GridRow | None:
    known = [(sum(is_known_header(text) for text in row.texts), row) for row in rows[:60]]
    count, row = max(known, key=lambda item: item[0])
    named = {field for text in row.texts for field, _ in fields_named(text)}
    return row if count >= 2 and not named & set(IDENTITY) else None


def _show(row: GridRow) -> str:
    cells = " | ".join(
        f"{column_letter(at)}: {squeeze(cell.given)[:_CELL]}" for at, cell in row.own.items() if squeeze(cell.given)
    )
    return f"  {row.number:>3}  {cells}"[:_LINE]


def _suggest(rows: list[GridRow]) -> str:
    """The options that fit best what the columns hold."""
    columns = sorted({at for row in rows for at in row.own})
    filled = {at: [row.own[at].given for row in rows if at in row.own] for at in columns}
    codes = {at: sum(map(is_code, texts)) / len(texts) for at, texts in filled.items()}
    words = {at: sum(map(is_wordy, texts)) for at, texts in filled.items()}
    parts = []
    number = next((at for at in columns if codes[at] >= 0.5), None)
    if number is not None:
        parts.append(f"--column number={column_letter(number)}")
    name = max((at for at in columns if at != number), key=lambda at: words[at], default=None)
    if name is not None:
        parts.append(f"--column name={column_letter(name)}")
    return " ".join(parts)
