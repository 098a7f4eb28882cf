"""COBie workbooks: the Space sheet is a room schedule, doors are rows of the Component sheet."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from schedule2sign.intake.columns import Wish
from schedule2sign.intake.grid import Grid, column_letter, is_void, load_table, squeeze
from schedule2sign.intake.headers import normalize_header
from schedule2sign.intake.rows import SheetReading, read_grid
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Field, RawRow, RowKind

_SPLIT = re.compile(r"\s*[,;]\s*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Building:
    """What the Floor and Space sheets say, to check the others by."""

    floors: frozenset[str] = frozenset()
    level_of: Mapping[str, str] | None = None


def sheet_role(grid: Grid) -> str:
    """ "space", "component" or "floor" for a sheet with the columns of the standard, else ""."""
    table = load_table("cobie.toml")
    first = next((row for row in grid.rows if row.own), None)
    if first is None:
        return ""
    headers = {normalize_header(text) for text in first.texts}
    if not set(table["signature"]) <= headers:
        return ""
    for role in ("space", "component"):
        if set(table[role]["needs"]) <= headers:
            return role
    return "floor" if grid.sheet == table["floor"]["sheet"] else ""


def is_cobie(sheets: tuple[str, ...]) -> bool:
    """True when the workbook has the sheets of the standard that matter here."""
    return {"Space", "Facility", "Floor"} <= set(sheets)


def floor_names(grid: Grid) -> frozenset[str]:
    """Names on the Floor sheet."""
    first = next(row for row in grid.rows if row.own)
    at = next(at for at, cell in first.own.items() if normalize_header(cell.given) == "name")
    rows = (row for row in grid.rows if row.number > first.number and at in row.own)
    return frozenset(squeeze(row.own[at].given) for row in rows)


def read_spaces(grid: Grid, wishes: Mapping[Field, Wish], building: Building) -> SheetReading | None:
    """The Space sheet, with a question for each space on a floor the Floor sheet does not know."""
    reading = read_grid(grid, {**_wishes("space"), **wishes})
    if reading is None or not building.floors:
        return reading
    rows = tuple(
        row
        if row.kind is not RowKind.DATA or row.level in building.floors
        else replace(
            row,
            flags=(
                *row.flags,
                Flag(
                    code="intake/unknown-floor",
                    severity=Severity.ASK,
                    source=row.source_of(Field.LEVEL),
                    message=f"floor {row.level!r} is not on the Floor sheet",
                    given=row.text(Field.LEVEL),
                    fix="Ask which floor the room is on.",
                    who="architect",
                ),
            ),
        )
        for row in reading.rows
    )
    return replace(reading, rows=rows)


def levels_of(rows: tuple[RawRow, ...]) -> dict[str, str]:
    """Level by room number."""
    return {squeeze(row.text(Field.ROOM_NUMBER)): row.level for row in rows if row.text(Field.ROOM_NUMBER)}


def read_doors(grid: Grid, wishes: Mapping[Field, Wish], building: Building) -> SheetReading | None:
    """The doors among the components; every other component is a row of kind OTHER. None without doors."""
    reading = read_grid(grid, {**_wishes("component"), **wishes})
    if reading is None:
        return None
    doors, why = _door_rows(grid)
    if not doors:
        return None
    rows = tuple(_judge(row, row.source.row in doors, building) for row in reading.rows)
    tables = tuple(replace(table, evidence=f"{table.evidence}; {why}") for table in reading.tables)
    # Only doors matter for what the reader said of the sheet as a whole.
    flags = tuple(flag for flag in reading.flags if flag.code != "intake/no-level")
    return replace(reading, rows=rows, tables=tables, flags=flags)


def _judge(row: RawRow, is_door: bool, building: Building) -> RawRow:  # noqa: FBT001
    if row.kind is not RowKind.DATA:
        return row
    if not is_door:
        return replace(row, kind=RowKind.OTHER, flags=())
    spaces = [text for text in _SPLIT.split(squeeze(row.text(Field.ADJACENT))) if not is_void(text)]
    known = building.level_of or {}
    unknown = [space for space in spaces if known and space not in known]
    level = next((known[space] for space in spaces if space in known), row.level)
    flags = row.flags
    if unknown:
        flag = Flag(
            code="intake/unknown-space",
            severity=Severity.ASK,
            source=row.source_of(Field.ADJACENT),
            message=f"space {', '.join(unknown)} is not on the Space sheet",
            given=row.text(Field.ADJACENT),
            fix="Ask which room the door belongs to.",
            who="architect",
        )
        flags = (*flags, flag)
    return replace(row, level=level, flags=flags)


def _door_rows(grid: Grid) -> tuple[frozenset[int], str]:
    """Row numbers of doors, and how they were known."""
    rules = load_table("cobie.toml")["doors"]
    first = next(row for row in grid.rows if row.own)
    headers = {normalize_header(cell.given): at for at, cell in first.own.items()}
    body = [row for row in grid.rows if row.number > first.number]
    for header in rules["object_headers"]:
        at = headers.get(header)
        if at is None:
            continue
        objects = {row.number: squeeze(row.own[at].given).lower() for row in body if at in row.own}
        if any(name.startswith("ifc") for name in objects.values()):
            doors = frozenset(number for number, name in objects.items() if name in rules["objects"])
            return doors, f"{len(doors)} doors by column {column_letter(at)}, object class IfcDoor"
    columns = [headers[header] for header in rules["type_headers"] if header in headers]

    def names_door(text: str) -> bool:
        words = set(re.findall(r"[a-z]+", text.lower()))
        return bool(words & set(rules["words"])) and not words & set(rules["never"])

    doors = frozenset(
        row.number for row in body if any(at in row.own and names_door(row.own[at].given) for at in columns)
    )
    return doors, f"{len(doors)} doors by the word DOOR in type or name"


def _wishes(role: str) -> dict[Field, Wish]:
    columns = load_table("cobie.toml")[role]["columns"]
    return {
        Field(name): Wish(header=header, reason="column of the COBie standard", alone=True)
        for name, header in columns.items()
    }
