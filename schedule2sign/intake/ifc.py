"""IFC models to rows: one row a space, one row a door. Needs ifcopenshell, an optional extra."""

import importlib
from pathlib import Path
from typing import Any

from schedule2sign.errors import InputError
from schedule2sign.intake.grid import is_void, squeeze
from schedule2sign.intake.patterns import is_code
from schedule2sign.intake.rows import SheetReading
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Cell, ColumnMatch, Field, RawRow, RowKind, Table, TableShape
from schedule2sign.model.source import Source

# Property that carries the number at the door in models made for construction drawings (common practice, no source).
_MARK = "Mark"
_ROOM_HEADERS = ((Field.ROOM_NUMBER, "IfcSpace.Name"), (Field.ROOM_NAME, "IfcSpace.LongName"))
_DOOR_HEADERS = ((Field.DOOR, f"property {_MARK!r}, else IfcDoor.Name"), (Field.ADJACENT, "IfcRelSpaceBoundary"))


def read_model(path: Path, data: bytes) -> tuple[SheetReading, ...]:
    """Spaces and doors of a model. A row number is the entity's number in the file (#123).

    Raises:
        InputError: ifcopenshell is not installed, or the file is no model, or has neither spaces nor doors.
    """
    name = path.name
    if not data.lstrip()[:12] == b"ISO-10303-21":
        raise InputError(f"{name} is no IFC file: it does not begin with ISO-10303-21.")
    if b"END-ISO-10303-21" not in data[-1000:]:
        raise InputError(f"{name} is cut off: it does not end with END-ISO-10303-21. Ask for the file again.")
    try:
        library = importlib.import_module("ifcopenshell")
        element = importlib.import_module("ifcopenshell.util.element")
    except ImportError as error:
        raise InputError(
            f"{name} is an IFC model; reading it needs ifcopenshell. Install schedule2sign with its extra 'ifc',"
            " or export the room and door schedules to a spreadsheet."
        ) from error
    try:
        model = library.open(str(path))
    except (OSError, RuntimeError, ValueError) as error:
        raise InputError(f"{name} is damaged and cannot be opened as an IFC model ({error}).") from error
    spaces = sorted(model.by_type("IfcSpace"), key=lambda entity: entity.id())
    doors = sorted(model.by_type("IfcDoor"), key=lambda entity: entity.id())
    if not spaces and not doors:
        raise InputError(f"{name} holds no IfcSpace and no IfcDoor: signs need rooms or doors.")
    schema = f"{model.schema} model"
    readings = []
    if spaces:
        rows = tuple(_read_space(name, space) for space in spaces)
        evidence = f"{len(spaces)} spaces of an {schema}; number is Name, name is LongName"
        readings.append(_reading(name, "IfcSpace", TableShape.ROOMS, _ROOM_HEADERS, rows, evidence))
    if doors:
        beside = _rooms_beside(spaces)
        rows = tuple(_read_door(name, door, beside.get(door.id(), ()), element) for door in doors)
        evidence = f"{len(doors)} doors of an {schema}; adjacent rooms by space boundaries"
        readings.append(_reading(name, "IfcDoor", TableShape.DOORS, _DOOR_HEADERS, rows, evidence))
    return tuple(readings)


def _read_space(file: str, space: Any) -> RawRow:
    storey = next((relation.RelatingObject for relation in space.Decomposes or ()), None)
    number, name = space.Name or "", space.LongName or ""
    if not name and not is_code(number):
        number, name = "", number  # Some models name a space in its one text.
    return _row(
        Source(file=file, sheet="IfcSpace", row=space.id()),
        _storey_name(storey),
        ((Field.ROOM_NUMBER, number), (Field.ROOM_NAME, name)),
        (space.Name, space.LongName),
    )


def _read_door(file: str, door: Any, beside: tuple[str, ...], element: Any) -> RawRow:
    marks = [values[_MARK] for _, values in sorted(element.get_psets(door).items()) if values.get(_MARK)]
    mark = str(marks[0]) if marks else (door.Name or "") if is_code(door.Name or "") else ""
    return _row(
        Source(file=file, sheet="IfcDoor", row=door.id()),
        _storey_name(element.get_container(door)),
        ((Field.DOOR, mark), (Field.ADJACENT, "; ".join(beside))),
        (mark, door.Name, door.Tag, *beside),
    )


def _storey_name(storey: Any) -> str:
    return (storey.Name or "") if storey is not None and storey.is_a("IfcBuildingStorey") else ""


def _rooms_beside(spaces: list[Any]) -> dict[int, tuple[str, ...]]:
    """Names of the spaces that share a boundary with a door, sorted, by the door's entity number."""
    found: dict[int, set[str]] = {}
    for space in spaces:
        for boundary in space.BoundedBy or ():
            other = boundary.RelatedBuildingElement
            if other is not None and other.is_a("IfcDoor") and space.Name:
                found.setdefault(other.id(), set()).add(space.Name)
    return {door: tuple(sorted(names)) for door, names in found.items()}


def _row(source: Source, level: str, values: tuple[tuple[Field, str], ...], given: tuple[str | None, ...]) -> RawRow:
    cells = tuple(Cell(field=field, text=text, column="") for field, text in values if not is_void(text))
    known = any(cell.field is not Field.ADJACENT for cell in cells)
    flags: tuple[Flag, ...] = ()
    if not known:
        flag = Flag(
            code="intake/no-identity",
            severity=Severity.HOLD,
            source=source,
            message=f"entity #{source.row} has no number and no name. It is counted and listed, and makes no sign",
            given=" | ".join(text for text in given if text),
            fix=f"Give it a {_MARK} or a Name in the model and export it again.",
            who="architect",
        )
        flags = (flag,)
    return RawRow(
        source=source,
        kind=RowKind.DATA if known else RowKind.UNPLACED,
        level=squeeze(level),
        cells=cells,
        as_given=tuple(text for text in given if text and squeeze(text)),
        flags=flags,
    )


def _reading(
    file: str,
    sheet: str,
    shape: TableShape,
    headers: tuple[tuple[Field, str], ...],
    rows: tuple[RawRow, ...],
    evidence: str,
) -> SheetReading:
    columns = tuple(
        ColumnMatch(column="", header=header, field=field, evidence="attribute of the model")
        for field, header in headers
    )
    table = Table(file=file, sheet=sheet, header_rows=(), shape=shape, columns=columns, evidence=evidence)
    flags = tuple(flag for row in rows if row.kind is not RowKind.DATA for flag in row.flags)
    return SheetReading(tables=(table,), rows=rows, flags=flags)
