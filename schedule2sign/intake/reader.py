"""Files to a schedule: every sheet that holds a table, every row of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType

from schedule2sign.errors import InputError
from schedule2sign.intake.cobie import Building, floor_names, is_cobie, levels_of, read_doors, read_spaces, sheet_role
from schedule2sign.intake.columns import Wish
from schedule2sign.intake.grid import Grid, load_table, squeeze
from schedule2sign.intake.ifc import read_model
from schedule2sign.intake.legends import explain_sign_types
from schedule2sign.intake.opening import open_sheets, read_bytes
from schedule2sign.intake.rows import SheetReading, read_grid
from schedule2sign.intake.stop import explain_missing_header
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Field, InputFile, RawRow, RowKind, Schedule, Table

NO_COLUMNS: Mapping[Field, str] = MappingProxyType({})


def read_schedule(
    paths: Sequence[Path], *, columns: Mapping[Field, str] = NO_COLUMNS, sheets: Sequence[str] = ()
) -> Schedule:
    """Read one or more schedule files; nothing is written to them.

    Flags of data rows stay on the rows; flags of all other rows, tables and files are in `Schedule.flags`.

    Args:
        columns: header text or column letter for a field, over what would be found.
        sheets: read only these sheets; () means every visible one that holds a table.

    Raises:
        InputError: a file cannot be read safely, or holds no table of doors, rooms or messages.
    """
    if not paths:
        raise InputError("No schedule was given. Name one or more schedule files.")
    reading = _Reading(columns, tuple(sheets))
    for path in paths:
        reading.read(path)
    return reading.finish()


_RECORDS = (RowKind.DATA, RowKind.HIDDEN, RowKind.STRUCK, RowKind.UNPLACED)


def _reason(field: Field, wanted: str) -> str:
    return f"given as --column {field}={wanted}"


def _blind_flag(reasons: tuple[str, ...]) -> Flag:
    """One question for the job: what these files could not show."""
    return Flag(
        code="intake/values-only",
        severity=Severity.ASK,
        message=f"{'; '.join(reasons)}. Hidden and filtered rows, struck-through text and notes on cells cannot be seen"
        " this way: if the architect used them to delete rows, those rows are read as live.",
        fix="Confirm that no row was deleted so, or ask for the schedule as xlsx.",
        who="architect",
    )


@dataclass(slots=True)
class _Cobie:
    """What earlier sheets of a COBie workbook told."""

    building: Building = field(default_factory=Building)


class _Reading:
    """Gathers what the files hold."""

    def __init__(self, columns: Mapping[Field, str], sheets: tuple[str, ...]) -> None:
        self._columns = columns
        self._wishes = {meaning: Wish(header=text, reason=_reason(meaning, text)) for meaning, text in columns.items()}
        self._sheets = sheets
        self._inputs: list[InputFile] = []
        self._tables: list[Table] = []
        self._rows: list[RawRow] = []
        self._flags: list[Flag] = []
        self._sheets_seen: list[str] = []
        self._grids: list[Grid] = []
        self._blind: dict[str, None] = {}

    def read(self, path: Path) -> None:
        record, data = read_bytes(path)
        for other in self._inputs:
            if other.name.casefold() == record.name.casefold():
                raise InputError(f"Two files are named {record.name}; flags could not tell them apart. Rename one.")
            if other.sha256 == record.sha256:
                raise InputError(f"{record.name} and {other.name} are the same file. Name it once.")
        self._inputs.append(record)
        if path.suffix.lower() == ".ifc":
            self._read_model(path, data)
        else:
            self._read_book(path, data)

    def finish(self) -> Schedule:
        missing = [name for name in self._sheets if name not in self._sheets_seen]
        if missing:
            raise InputError(
                f"There is no sheet {missing[0]!r}. Sheets found: {', '.join(map(repr, self._sheets_seen)) or 'none'}."
            )
        self._check_columns()
        if self._blind:
            self._flags.append(_blind_flag(tuple(self._blind)))
        return Schedule(
            inputs=tuple(self._inputs),
            tables=tuple(self._tables),
            rows=explain_sign_types([grid for grid in self._grids if grid.visible], self._rows),
            flags=tuple(self._flags),
        )

    def _read_model(self, path: Path, data: bytes) -> None:
        for reading in read_model(path, data):
            sheet = reading.tables[0].sheet
            self._sheets_seen.append(sheet)
            if not self._sheets or sheet in self._sheets:
                self._tables += reading.tables
                self._rows += reading.rows
                self._flags += reading.flags

    def _read_book(self, path: Path, data: bytes) -> None:
        book = open_sheets(path, data)
        names = tuple(name for name, _ in book.sheets if name)
        self._sheets_seen += names
        cobie = _Cobie() if is_cobie(names) else None
        before = len(self._tables)
        unread: list[Grid] = []
        refusals: list[str] = []
        for name, visible in book.sheets:
            if self._sheets and name and name not in self._sheets:
                continue
            grid = book.read(name)
            self._grids.append(grid)
            if not visible and name not in self._sheets:
                self._tell_hidden_sheet(grid)
                continue
            reading = self._read_sheet(grid, cobie=cobie)
            if reading is not None and reading.tables:
                self._take(grid, reading)
                continue
            unread.append(grid)
            refusals += reading.refusals if reading else ()
            if reading is None and name in self._sheets:
                raise InputError(explain_missing_header(grid))
        if self._sheets and not any(name in self._sheets for name, _ in book.sheets) and book.sheets != (("", True),):
            self._flags.append(
                Flag(
                    code="intake/file-not-read",
                    severity=Severity.ASK,
                    message=f"{path.name} has none of the sheets asked for; nothing of it is read",
                    fix="Check the names given with --sheet.",
                )
            )
            return
        tables = self._tables[before:]
        if not tables:
            self._stop(path.name, unread, refusals)
        if not any(row.kind in _RECORDS and row.source.file == path.name for row in self._rows):
            rows = ", ".join(str(number) for number in tables[0].header_rows)
            raise InputError(f"{path.name}: a header was found in row {rows}, but no record under it.")
        self._tell_sheets_without_table(path.name, unread, cobie=cobie is not None)

    def _read_sheet(self, grid: Grid, *, cobie: "_Cobie | None") -> SheetReading | None:
        """One sheet by the rules of its kind."""
        role = sheet_role(grid)
        if cobie is not None and not role:
            return None  # The standard says what is on its other sheets.
        building = cobie.building if cobie is not None else Building()
        if role == "space":
            reading = read_spaces(grid, self._wishes, building)
            if cobie is not None and reading is not None:
                cobie.building = replace(building, level_of=levels_of(reading.rows))
            return reading
        if role == "component":
            return read_doors(grid, self._wishes, building)
        if role == "floor":
            if cobie is not None:
                cobie.building = replace(building, floors=floor_names(grid))
            return None
        return read_grid(grid, self._wishes)

    def _take(self, grid: Grid, reading: SheetReading) -> None:
        self._tables += reading.tables
        self._rows += reading.rows
        self._flags += reading.flags
        if grid.blind:
            self._blind[grid.blind] = None
        words = load_table("rows.toml")["old-sheet"]["words"]
        plain = f" {squeeze(grid.sheet).lower().replace('_', ' ').replace('-', ' ')} "
        records = sum(row.kind is RowKind.DATA for row in reading.rows)
        if any(f" {word} " in plain for word in words):
            self._flags.append(
                Flag(
                    code="intake/old-sheet",
                    severity=Severity.ASK,
                    message=f"{grid.file}: sheet {grid.sheet!r} sounds superseded, and its {records} records are read",
                    fix="Name the sheets that count with --sheet NAME.",
                )
            )
        if not records:
            place = f"{grid.file} [{grid.sheet}]" if grid.sheet else grid.file
            self._flags.append(
                Flag(
                    code="intake/no-records",
                    severity=Severity.ASK,
                    message=f"{place}: a header was found, but no live record under it",
                    fix="Check the sheet.",
                )
            )

    def _tell_hidden_sheet(self, grid: Grid) -> None:
        filled = sum(bool(row.own) for row in grid.rows)
        if filled:
            self._flags.append(
                Flag(
                    code="intake/hidden-sheet",
                    severity=Severity.ASK,
                    message=f"{grid.file}: sheet {grid.sheet!r} is hidden; its {filled} filled rows are not read",
                    fix=f"If it counts, add --sheet {grid.sheet!r}.",
                )
            )

    def _tell_sheets_without_table(self, name: str, unread: list[Grid], *, cobie: bool) -> None:
        """Unread sheets by name with their filled rows; in a COBie workbook all at once."""
        filled = {grid.sheet: count for grid in unread if (count := sum(bool(row.own) for row in grid.rows))}
        lists = [list(filled)] if cobie else [[sheet] for sheet in filled]
        for sheets in lists:
            if not sheets:
                continue
            listed = ", ".join(f"{sheet!r} ({filled[sheet]} filled rows)" for sheet in sheets)
            why = "the standard gives them no doors or rooms" if cobie else "no table of doors or rooms was found on it"
            self._flags.append(
                Flag(
                    code="intake/sheet-not-read",
                    severity=Severity.NOTE,
                    message=f"{name}: not read: {listed}; {why}",
                    fix="" if cobie else "If it does hold one, name its columns with --column FIELD=HEADER.",
                )
            )

    def _stop(self, name: str, unread: list[Grid], refusals: list[str]) -> None:
        filled = [grid for grid in unread if any(row.own for row in grid.rows)]
        if not filled:
            raise InputError(f"{name} has no filled cell on any visible sheet. Ask for the file again.")
        if refusals:
            raise InputError(
                f"{name} is no schedule of doors or rooms: {refusals[0]}. Signs need one row for each door or room:"
                " ask for the door schedule or the room schedule itself."
            )
        largest = max(filled, key=lambda grid: sum(bool(row.own) for row in grid.rows))
        raise InputError(explain_missing_header(largest))

    def _check_columns(self) -> None:
        """A --column that matched nothing is a typing error worth a stop."""
        for meaning, wanted in self._columns.items():
            if not any(match.evidence == _reason(meaning, wanted) for table in self._tables for match in table.columns):
                found = dict.fromkeys(match.header for table in self._tables for match in table.columns if match.header)
                raise InputError(f"--column {meaning}={wanted} matches no column. Headers found: {', '.join(found)}.")
