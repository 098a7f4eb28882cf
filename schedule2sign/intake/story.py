"""What was read, in plain lines: tables, why they were taken for tables, columns, the row account, first records."""

from collections import Counter
from collections.abc import Iterator

from schedule2sign.intake.grid import squeeze
from schedule2sign.model.flag import Flag
from schedule2sign.model.schedule import RawRow, RowKind, Schedule, Table

FIRST_RECORDS = 5
SET_ASIDE = 20
ALSO = 8


def describe_tables(schedule: Schedule) -> str:
    """The story of the reading as text for a screen."""
    lines: list[str] = []
    for file in schedule.inputs:
        lines.append(f"{file.name}  {file.size_bytes} bytes  SHA-256 {file.sha256}")
        for table in schedule.tables:
            if table.file == file.name:
                lines += _describe_table(schedule, table)
        lines.append("")
    lines.append(_account(schedule.rows))
    lines += _describe_set_aside(schedule)
    lines += _describe_flags(schedule)
    return "\n".join(lines)


def _describe_table(schedule: Schedule, table: Table) -> Iterator[str]:
    yield f"  Table{f' on sheet {table.sheet!r}' if table.sheet else ''}, taken for {table.shape}:"
    for reason in table.evidence.split("; "):
        yield f"    {reason}"
    for match in table.columns:
        meaning = f"is the {match.field}" if match.field else "is not used"
        evidence = f"  ({match.evidence})" if match.evidence else ""
        yield f"    {match.column or '-':>3}  {squeeze(match.header)!r:<28} {meaning}{evidence}"
    records = [
        row
        for row in schedule.rows
        if row.kind is RowKind.DATA
        and (row.source.file, row.source.sheet) == (table.file, table.sheet)
        and _is_of(table, row, schedule.tables)
    ]
    first = f"; the first{' ' + str(FIRST_RECORDS) if len(records) > FIRST_RECORDS else ''}:" if records else ""
    yield f"    {len(records)} records{first}"
    for row in records[:FIRST_RECORDS]:
        cells = "  ".join(f"{cell.field}={squeeze(cell.text)!r}" for cell in row.cells)
        yield f"    row {row.source.row:>4}  {f'[{row.level}]  ' if row.level else ''}{cells}"


def _is_of(table: Table, row: RawRow, tables: tuple[Table, ...]) -> bool:
    """True when the table is the last one of its sheet whose header stands above the row."""
    columns = {cell.column for cell in row.cells}
    above = [
        other
        for other in tables
        if (other.file, other.sheet) == (table.file, table.sheet)
        and columns <= {match.column for match in other.columns}
        and (not other.header_rows or other.header_rows[-1] < row.source.row)
    ]
    return bool(above) and above[-1] is table


def _account(rows: tuple[RawRow, ...]) -> str:
    counts = Counter(row.kind for row in rows)
    kinds = " + ".join(f"{counts[kind]} {kind}" for kind in RowKind if counts[kind])
    return f"{len(rows)} rows read = {kinds or 'none'}"


def _describe_set_aside(schedule: Schedule) -> Iterator[str]:
    """Every row that might be a record and is not taken for a live one."""
    for kind in (RowKind.HIDDEN, RowKind.STRUCK, RowKind.UNPLACED):
        rows = [row for row in schedule.rows if row.kind is kind]
        for row in rows[:SET_ASIDE]:
            cells = " | ".join(squeeze(text) for text in row.as_given)
            yield f"  {kind:<8} {row.source}: {cells}"
        if len(rows) > SET_ASIDE:
            yield f"  {kind:<8} and {len(rows) - SET_ASIDE} more rows"


def _describe_flags(schedule: Schedule) -> Iterator[str]:
    of_rows = [flag for row in schedule.rows if row.kind is RowKind.DATA for flag in row.flags]
    groups: dict[tuple[int, str], list[Flag]] = {}
    for flag in (*schedule.flags, *of_rows):
        groups.setdefault((-flag.severity.rank, flag.code), []).append(flag)
    for _, flags in sorted(groups.items()):
        first = flags[0]
        times = f" (x{len(flags)})" if len(flags) > 1 else ""
        place = f"{first.source}: " if first.source else ""
        others = [f"{flag.source.column}{flag.source.row}" for flag in flags[1:] if flag.source][:ALSO]
        also = f" Also at {', '.join(others)}{' ...' if len(flags) > ALSO + 1 else ''}." if others else ""
        message = first.message if not also or first.message.endswith(".") else f"{first.message}."
        yield f"  {first.severity:<4} {first.code}{times}  {place}{message}{also}"
