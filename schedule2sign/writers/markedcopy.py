"""The customer's own workbook with flagged cells marked and commented; nothing else in it changes."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial
from typing import Any

from lxml import etree
from openpyxl.utils import get_column_letter

from schedule2sign.model.flag import Flag, Severity, worst_severity
from schedule2sign.writers.cellnotes import Note, NotedSheet
from schedule2sign.writers.cellstyles import CellStyles
from schedule2sign.writers.package import Package, PackageError, parse, serialize
from schedule2sign.writers.sheet import free_title
from schedule2sign.writers.sheetprint import pages_across
from schedule2sign.writers.sheetrows import MARK, LongSheet, between_marks, take_apart
from schedule2sign.writers.squeezed import Squeezed
from schedule2sign.writers.table import Sheet
from schedule2sign.writers.text import cell_text
from schedule2sign.writers.worksheet import SheetFrame, Worksheet, cell_beside, render_worksheet

COLORS = {Severity.STOP: "F4A6A0", Severity.HOLD: "F8C9A0", Severity.ASK: "FBE8A6", Severity.NOTE: "DCE6EE"}
_STRICT = "http://purl.oclc.org/ooxml/officeDocument/relationships"
_LOOSE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_WORKBOOK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
_SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
# Relationships to parts that hold programs, and to sheets that are programs.
_PROGRAMS = ("/vbaProject", "/attachedToolbars")
_PROGRAM_SHEETS = ("/xlMacrosheet", "/xlIntlMacrosheet", "/dialogsheet")
_NOTE_LENGTH = 4_000  # characters; a note is read in a small box


def has_macros(data: bytes) -> bool:
    """True where the workbook holds macros, which a marked copy does not carry over.

    Raises:
        PackageError: the workbook cannot be read.
    """
    package = Package(data)
    workbook = _find_workbook(package)[0]
    return any(relation.type.endswith(_PROGRAMS) for relation in package.relations(workbook))


def mark_workbook(data: bytes, flags: Iterable[Flag], sheets: Sequence[Sheet] = (), unit: str = "in") -> Package:
    """Mark every flagged cell and add the tables as sheets at the end.

    Args:
        data: an xlsx or xlsm file; macros are left out of the copy.
        flags: flags of this file; those that name no row of a sheet are not shown in its cells.
        unit: "in" prints the tables on US letter, "mm" on A4.

    Raises:
        PackageError: the workbook cannot be edited safely.
    """
    package = Package(data)
    workbook, kinds = _find_workbook(package)
    _drop_macros(package, workbook)
    root = package.edit(workbook)
    space = etree.QName(root).namespace
    listed = root.find(f"{{{space}}}sheets")
    if listed is None:
        raise PackageError("it lists no sheets")
    parts = {relation.id: relation.target for relation in package.relations(workbook)}
    named = {sheet.get("name"): parts.get(sheet.get(f"{{{kinds}}}id"), "") for sheet in listed}
    styles = CellStyles(package, _styles_part(package, workbook, kinds), space)
    for sheet, found in _by_sheet(flags).items():
        if sheet in named:
            _mark_sheet(package, named[sheet], found, styles, space, kinds)
    for table in sheets:
        _add_table(package, workbook, table, styles, kinds, unit)
    return package


def note_text(flag: Flag) -> str:
    """What a note says of one flag."""
    lines = [f"{flag.severity}: {flag.message}"]
    if flag.measured:
        lines.append(f"Measured {flag.measured}; required {flag.required} {flag.clause}".rstrip())
    if flag.fix:
        lines.append(f"To do: {flag.fix}")
    if flag.who:
        lines.append(f"Decides: {flag.who}")
    return "\n".join([*lines, f"({flag.code})"])


def _find_workbook(package: Package) -> tuple[str, str]:
    """Name of the workbook part, and what its relationship types start with."""
    for relation in package.relations(""):
        for kinds in (_LOOSE, _STRICT):
            if relation.type == f"{kinds}/officeDocument" and relation.target in package:
                return relation.target, kinds
    raise PackageError("it names no workbook")


def _drop_macros(package: Package, workbook: str) -> None:
    """Leave out programs, so that nothing in the copy can run when it is opened."""
    relations = tuple(package.relations(workbook))
    if any(relation.type.endswith(_PROGRAM_SHEETS) for relation in relations):
        raise PackageError("it holds macro sheets")
    programs = [relation.target for relation in relations if relation.type.endswith(_PROGRAMS)]
    for program in programs:
        for relation in tuple(package.relations(program)):
            if not relation.external:
                package.remove(relation.target)
        package.drop_relations(workbook, program)
        package.remove(program)
    package.set_content_type(workbook, _WORKBOOK_TYPE)


def _styles_part(package: Package, workbook: str, kinds: str) -> str:
    for relation in package.relations(workbook):
        if relation.type == f"{kinds}/styles":
            return relation.target
    raise PackageError("it has no styles")


def _by_sheet(flags: Iterable[Flag]) -> dict[str, list[Flag]]:
    found: dict[str, list[Flag]] = {}
    for flag in flags:
        if flag.source and flag.source.row > 0:
            found.setdefault(flag.source.sheet, []).append(flag)
    return found


_Place = tuple[str, int]  # column letter and row
_Marks = dict[_Place, list[tuple[str, Flag]]]  # at each cell its flags, and where each was meant


def _mark_sheet(package: Package, part: str, flags: Sequence[Flag], styles: CellStyles, space: str, kinds: str) -> None:
    long = take_apart(package.bytes_of(part))
    try:
        if long is None:
            cells = _mark_whole(package.edit(part), flags, styles)
        else:
            cells = _mark_blocks(package, part, long, flags, styles)
    except (TypeError, ValueError) as error:  # numbers that are none
        raise PackageError(f"its sheet {part} is not as the standard says ({error})") from error
    notes, noted = [], NotedSheet(package, part, space, kinds)
    for (column, row), of_cell in cells.items():
        ranked = sorted(of_cell, key=lambda item: -item[1].severity.rank)
        text = "\n\n".join(dict.fromkeys(where + note_text(flag) for where, flag in ranked))
        if len(text) > _NOTE_LENGTH:
            text = text[:_NOTE_LENGTH] + "\n... more in the sheet of flags"
        ref = f"{column}{row}"
        if noted.is_thread(ref):  # a conversation hides notes on its cell
            text = f"About {ref}: {text}"
        while noted.is_thread(ref):
            ref = cell_beside(ref)
        notes.append(Note(ref, cell_text(text)))
    noted.add(notes)


def _mark_whole(root: Any, flags: Sequence[Flag], styles: CellStyles) -> _Marks:
    frame = SheetFrame(root)
    page = Worksheet(root, frame)
    rows = {flag.source.row for flag in flags if flag.source and not flag.source.column}
    cells = _places(flags, frame, {row: page.first_cell(row) for row in rows})
    _restyle(page, cells, styles)
    return cells


def _mark_blocks(package: Package, part: str, long: LongSheet, flags: Sequence[Flag], styles: CellStyles) -> _Marks:
    """The same for a long sheet, twice through its rows: a cell far from its flag's row may be the one that shows it."""
    frame = SheetFrame(parse(part, long.frame))
    rows = sorted({flag.source.row for flag in flags if flag.source and not flag.source.column})
    first_cells: dict[int, str] = {}
    for of_block, block in zip(long.share_out(rows), long.blocks(), strict=True):
        if of_block:
            page = Worksheet(parse(part, block.text), frame, block.first)
            first_cells |= {row: page.first_cell(row) for row in of_block}
    cells = _places(flags, frame, first_cells)

    def marked() -> Iterator[bytes]:
        for of_block, block in zip(long.share_out([row for _, row in cells]), long.blocks(), strict=True):
            root = parse(part, block.text)
            page, here = Worksheet(root, frame, block.first), set(of_block)
            _restyle(page, {place: found for place, found in cells.items() if place[1] in here}, styles)
            page.mark_rows(MARK)
            yield between_marks(serialize(root))

    package.take_rows(part, long.frame, Squeezed(marked()))
    return cells


def _places(flags: Sequence[Flag], frame: SheetFrame, first_cells: Mapping[int, str]) -> _Marks:
    """The cells that show the flags, row by row."""
    cells: _Marks = {}
    for flag in flags:
        if flag.source is None:
            continue
        row = flag.source.row
        column = flag.source.column or first_cells[row]
        shown = frame.shown_at(column, row)
        where = "" if flag.source.column else "Whole row: "
        if shown != (column, row):  # hidden under a merged range
            where = f"Row {row}: "
        cells.setdefault(shown, []).append((where, flag))
    return dict(sorted(cells.items(), key=lambda item: (item[0][1], len(item[0][0]), item[0][0])))


def _restyle(page: Worksheet, cells: _Marks, styles: CellStyles) -> None:
    for (column, row), of_cell in cells.items():
        worst = worst_severity(tuple(flag for _, flag in of_cell)) or Severity.NOTE
        page.restyle(column, row, partial(styles.filled, color=COLORS[worst]))


def _add_table(package: Package, workbook: str, table: Sheet, styles: CellStyles, kinds: str, unit: str) -> None:
    root: Any = package.edit(workbook)
    space = etree.QName(root).namespace
    listed = root.find(f"{{{space}}}sheets")
    title = free_title(table.title, [sheet.get("name") for sheet in listed])
    data = render_worksheet(table, space, styles.table_cell, unit)
    part = package.add("xl/worksheets/sheetS", ".xml", data, _SHEET_TYPE)
    entry = etree.SubElement(listed, f"{{{space}}}sheet", name=title)
    entry.set("sheetId", str(max(int(sheet.get("sheetId", "0")) for sheet in listed) + 1))
    entry.set(f"{{{kinds}}}id", package.relate(workbook, f"{kinds}/worksheet", part))
    _repeat_header(root, space, table, title, len(listed) - 1)


def _repeat_header(root: Any, space: str, table: Sheet, title: str, place: int) -> None:
    """Print the header row of a table of ours on every page (ECMA-376 part 1, 18.2.5: the name Print_Titles)."""
    names = root.find(f"{{{space}}}definedNames")
    if names is None:
        names = etree.Element(f"{{{space}}}definedNames")
        # What may stand before it, in the order of the standard (18.2.27).
        before = ("sheets", "functionGroups", "externalReferences")
        [found for tag in before if (found := root.find(f"{{{space}}}{tag}")) is not None][-1].addnext(names)
    quoted = "'" + title.replace("'", "''") + "'"
    across = pages_across(table.widths) > 1
    columns = f"{quoted}!$A:${get_column_letter(table.repeat)}," if across else ""
    name = etree.SubElement(names, f"{{{space}}}definedName", name="_xlnm.Print_Titles", localSheetId=str(place))
    name.text = f"{columns}{quoted}!$1:$1"
