"""What a person should look at in the columns of a table, as flags."""

from collections.abc import Mapping

from schedule2sign.intake.grid import Grid, column_letter, is_void
from schedule2sign.intake.headers import IDENTITY, Claim
from schedule2sign.intake.patterns import is_code, is_level_heading
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Field
from schedule2sign.model.source import Source


def _name(parts: Mapping[int, tuple[str, ...]], column: int) -> str:
    header = " / ".join(parts.get(column, ()))
    return f"{column_letter(column)} {header!r}" if header else column_letter(column)


def _place(grid: Grid, last: int, column: int) -> Source:
    row = grid.rows[max(last, 0)].number if grid.rows else 1
    return Source(file=grid.file, sheet=grid.sheet, row=row, column=column_letter(column))


def rival_flag(grid: Grid, last: int, parts: Mapping[int, tuple[str, ...]], first: Claim, rival: Claim) -> Flag:
    """Two columns that may both be the same thing."""
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


def hidden_column_flags(
    grid: Grid, last: int, parts: Mapping[int, tuple[str, ...]], values: Mapping[int, list[str]]
) -> list[Flag]:
    """Filled columns that are hidden."""
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


def content_flags(
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


def missing_number_flags(grid: Grid, last: int, fields: Mapping[int, Field]) -> list[Flag]:
    """A table of names alone."""
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


def gap_flag(
    grid: Grid,
    last: int,
    parts: Mapping[int, tuple[str, ...]],
    chosen: Mapping[int, Claim],
    values: Mapping[int, list[str]],
) -> list[Flag]:
    """An empty column between two columns that each identify something: perhaps two tables side by side."""
    keys = [column for column, claim in chosen.items() if claim.field in IDENTITY]
    empty = [
        column
        for column in range(min(keys, default=0), max(keys, default=0))
        if column not in parts and not values.get(column)
    ]
    if not empty or not grid.rows:
        return []
    flag = Flag(
        code="intake/empty-column",
        severity=Severity.ASK,
        source=_place(grid, last, empty[0]),
        message=f"column {column_letter(empty[0])} is empty within the table: if two tables stand side by side there,"
        " rows of the one are read together with rows of the other",
        fix="If they are two tables, put each on a sheet of its own and read it again.",
    )
    return [flag]
