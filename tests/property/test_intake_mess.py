"""Every combination of the mess a sheet may hold around and inside its records: what was written comes back."""

import tempfile
from dataclasses import dataclass
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook
from openpyxl.comments import Comment
from openpyxl.styles import Font

from schedule2sign.errors import InputError
from schedule2sign.intake.grid import squeeze
from schedule2sign.intake.reader import read_schedule
from schedule2sign.model.schedule import Field, RowKind

NAMES = (
    "LIBRARY",
    "Men's Toilet",
    "STOR.",
    "ELEC/DATA RM",
    "Library, West",
    "STAIR A",
    "WORK ROOM",
    "CAFÉ",
    "“STAFF” ROOM",
)
GROUPS = {Field.DOOR: "DOOR", Field.ROOM_NUMBER: "ROOM", Field.ROOM_NAME: "ROOM", Field.REMARKS: "", None: ""}
PLAIN = {Field.DOOR: "DOOR NO", Field.ROOM_NUMBER: "ROOM NO", Field.ROOM_NAME: "ROOM NAME", Field.REMARKS: "REMARKS"}
UNDER = {Field.DOOR: "NO.", Field.ROOM_NUMBER: "NO.", Field.ROOM_NAME: "NAME", Field.REMARKS: "REMARKS"}
SPACES = ("{}", "{}", "{}", " {} ", "{}\u00a0", "\u200b{}", "{}\ufeff")


@dataclass(frozen=True)
class Mess:
    """What is done to the sheet."""

    logo: int
    two_headers: bool
    level_column: bool
    title_level: bool
    numeric: bool
    voids: bool
    spaces: bool
    comments: bool
    merged: bool
    hidden: bool
    hidden_column: bool
    page_headers: bool
    totals: bool
    legend: bool
    revisions: bool
    old_sheet: bool


MESS = st.builds(
    Mess,
    logo=st.integers(0, 6),
    **{name: st.booleans() for name in Mess.__dataclass_fields__ if name != "logo"},
)


@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(mess=MESS, count=st.integers(3, 9), dice=st.randoms(use_true_random=False))
def test_records_come_back_under_every_mess_at_once(mess: Mess, count: int, dice) -> None:
    fields = [Field.DOOR, Field.ROOM_NUMBER, Field.ROOM_NAME, Field.REMARKS]
    book = Workbook()
    sheet = book.active
    wanted: list[str] = []

    def put(kind: str, cells: list[object]) -> int:
        wanted.append(kind)
        for column, value in enumerate(cells, start=1):
            if value not in ("", None):
                sheet.cell(len(wanted), column, value)
        return len(wanted)

    for line in range(mess.logo):
        put("blank" if line % 3 == 2 else "title", [] if line % 3 == 2 else [f"PIER SIX ANNEX {'AB'[line % 2]}{line}"])
    level = ""
    if mess.title_level:
        level = "SECOND FLOOR"
        put("title", ["DOOR SCHEDULE - SECOND FLOOR"])
    if mess.revisions:
        put("title", ["REV", "DATE", "DESCRIPTION"])
        put("title", ["B", "6 MAY", "ISSUED FOR PERMIT"])
    extra = ["LEVEL"] if mess.level_column else []
    if mess.two_headers:
        row = put("header", [GROUPS[field] for field in fields])
        sheet.cell(row, 3).value = None
        sheet.merge_cells(start_row=row, end_row=row, start_column=2, end_column=3)
        header = put("header", [UNDER[field] for field in fields] + extra)
    else:
        header = put("header", [PLAIN[field] for field in fields] + extra)
    names = [sheet.cell(header, column).value for column in range(1, 6)]
    last = len(fields) + len(extra)
    if mess.hidden_column:
        sheet.cell(header, last + 1, "ROOM NUMBER")
        sheet.column_dimensions["ABCDEFGH"[last]].hidden = True

    expected = []
    for index in range(count):
        if mess.page_headers and index == 2:
            row = put("header", names)
        if not mess.level_column and dice.random() < 0.3:
            level = dice.choice(["FIRST FLOOR", "LEVEL 3", "BASEMENT"])
            put("level", [level])
        number = str(201 + index)
        name = dice.choice(NAMES)
        remark = dice.choice(["", "BY OWNER", "-", "n/a"]) if mess.voids else ""
        here = dice.choice(["1", "Level 2", "B1"]) if mess.level_column else level
        record = {Field.DOOR: f"{number}A", Field.ROOM_NUMBER: number, Field.ROOM_NAME: name}
        shown = [
            record[Field.DOOR],
            int(number) if mess.numeric else number,
            dice.choice(SPACES).format(name) if mess.spaces else name,
            remark,
            *([here] if mess.level_column else []),
        ]
        # The first two stay live, so that there is a table.
        dead = mess.hidden and index >= 2 and dice.random() < 0.3
        row = put("dead" if dead else "data", shown)
        if mess.hidden_column:
            sheet.cell(row, last + 1, str(900 + index))
        if mess.comments and dice.random() < 0.4:
            sheet.cell(row, dice.randint(1, 3)).comment = Comment("CONFIRM WITH OWNER", "J")
        if dead and dice.random() < 0.5:
            sheet.row_dimensions[row].hidden = True
        elif dead:
            for cell in sheet[row]:
                cell.font = Font(strike=True)
        if remark == "BY OWNER":
            record[Field.REMARKS] = remark
        if mess.level_column:
            record[Field.LEVEL] = here
        if not dead:
            expected.append((row, here, record))
            if mess.merged and dice.random() < 0.3:
                lower = put("data", [f"{number}B", None, name, "", *([here] if mess.level_column else [])])
                sheet.merge_cells(start_row=row, end_row=lower, start_column=2, end_column=2)
                other = {field: text for field, text in record.items() if field is not Field.REMARKS}
                expected.append((lower, here, {**other, Field.DOOR: f"{number}B"}))
    if mess.totals:
        put("subtotal", ["TOTAL DOORS", str(wanted.count("data"))])
    if mess.legend:
        put("blank", [])
        put("legend", ["GENERAL NOTES"])
        put("legend", ["1. VERIFY ALL ROOM NUMBERS WITH THE OWNER BEFORE FABRICATION."])
        put("legend", ["2. SEE A-501."])
    if mess.old_sheet:
        old = book.create_sheet("OLD")
        old.append(["DOOR NO", "ROOM NO", "ROOM NAME"])
        old.append(["999A", "999", "ATTIC"])
        old.sheet_state = "hidden"

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "table.xlsx"
        book.save(path)
        schedule = read_schedule([path])

    got = ["dead" if row.kind in (RowKind.HIDDEN, RowKind.STRUCK) else str(row.kind) for row in schedule.rows]
    # A title that names a level may count as its heading.
    assert [kind.replace("level", "title") if at < mess.logo + 1 else kind for at, kind in enumerate(got)] == wanted
    live = [row for row in schedule.rows if row.kind is RowKind.DATA]
    assert [
        (row.source.row, row.level, {cell.field: squeeze(cell.text) for cell in row.cells}) for row in live
    ] == expected
    codes = {flag.code for flag in schedule.flags}
    assert ("intake/hidden-sheet" in codes) == mess.old_sheet
    assert ("intake/hidden-column" in codes) == mess.hidden_column
    assert "intake/total-differs" not in codes


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    left=st.lists(st.sampled_from(NAMES), min_size=2, max_size=8),
    right=st.lists(st.sampled_from(NAMES), min_size=1, max_size=8),
    gap=st.integers(0, 2),
    title=st.booleans(),
)
def test_two_tables_side_by_side_lose_no_row(left: list[str], right: list[str], gap: int, title: bool) -> None:
    book = Workbook()
    sheet = book.active
    top = 1
    if title:
        sheet.cell(1, 1, "ROOM LIST")
        top = 2
    for start, first, names in ((1, 101, left), (3 + gap, 201, right)):
        for offset, text in enumerate(("ROOM NO", "ROOM NAME")):
            sheet.cell(top, start + offset, text)
        for index, name in enumerate(names):
            sheet.cell(top + 1 + index, start, str(first + index))
            sheet.cell(top + 1 + index, start + 1, name)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "table.xlsx"
        book.save(path)
        schedule = read_schedule([path])
    live = [row for row in schedule.rows if row.kind is RowKind.DATA]
    expected = [(str(101 + at), name) for at, name in enumerate(left)] + [
        (str(201 + at), name) for at, name in enumerate(right)
    ]
    assert [(row.text(Field.ROOM_NUMBER), row.text(Field.ROOM_NAME)) for row in live] == expected
    assert len({row.source for row in schedule.rows}) == len(schedule.rows)


CELLS = st.one_of(
    st.none(),
    st.sampled_from(
        [
            *(
                "DOOR NO",
                "ROOM NO",
                "ROOM NAME",
                "LEVEL",
                "REMARKS",
                "SIGN TYPE",
                "QTY",
                "NO.",
                "NAME",
                "FROM",
                "TYPE",
                "DESCRIPTION",
            ),
            *(
                "101",
                "101A",
                "102",
                "B-12",
                "LAB",
                "OFFICE",
                "STAIR A",
                "LEVEL 2",
                "SECOND FLOOR",
                "TOTAL",
                "NOTES:",
                "n/a",
                "-",
                " ",
            ),
            *("1. SEE PLAN", "#REF!", "=A1", "A", "DO", '"', "2/5/2026", "PAGE 1 OF 2", "SIGN TYPES", "REV", "DATE"),
        ]
    ),
    st.integers(-5, 50_000),
    st.floats(0, 1e12, allow_nan=False),
    st.text(max_size=6).filter(lambda text: text.isprintable()),
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    grid=st.lists(st.lists(CELLS, max_size=7), min_size=1, max_size=12),
    merges=st.lists(st.tuples(st.integers(1, 10), st.integers(1, 6), st.integers(0, 3), st.integers(0, 3)), max_size=2),
    hidden=st.sets(st.integers(1, 12), max_size=2),
)
def test_any_grid_is_read_with_every_row_counted_or_refused_with_words(grid, merges, hidden) -> None:
    book = Workbook()
    sheet = book.active
    for number, row in enumerate(grid, start=1):
        for column, value in enumerate(row, start=1):
            sheet.cell(number, column).value = value
    for row, column, down, right in merges:
        sheet.merge_cells(start_row=row, start_column=column, end_row=row + down, end_column=column + right)
    for row in hidden:
        sheet.row_dimensions[row].hidden = True
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "table.xlsx"
        book.save(path)
        try:
            schedule = read_schedule([path])
        except InputError as stop:
            said = str(stop)
            schedule = None
        written = load_workbook(path).active
    if schedule is None:
        assert "table.xlsx" in said
        return
    filled = {row[0].row for row in written.iter_rows() if any(squeeze(str(cell.value or "")) for cell in row)}
    seen = [row.source for row in schedule.rows]
    assert len(set(seen)) == len(seen)
    assert filled <= {source.row for source in seen}
    not_blank = {row.source.row for row in schedule.rows if row.kind is not RowKind.BLANK}
    assert not_blank <= filled | {row + below for row, _, down, _ in merges for below in range(down + 1)}
    live = [row for row in schedule.rows if row.kind is RowKind.DATA]
    assert all(row.as_given or row.cells for row in live)
    assert not [row for row in live if row.source.row in hidden]
