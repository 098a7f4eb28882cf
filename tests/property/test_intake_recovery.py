"""Random tables with random mess around them: what was written is what comes back, and every row is counted."""

import csv
import io
import tempfile
from dataclasses import dataclass
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook
from openpyxl.styles import Font

from schedule2sign.intake.reader import read_schedule
from schedule2sign.model.schedule import Field, RowKind, Schedule

HEADERS = {
    Field.DOOR: ("DOOR", "DOOR NO.", "Door #", "OPENING", "Opening No", "DR. NO.", "Door\nNumber", "Door Mark"),
    Field.ROOM_NUMBER: ("ROOM NO.", "RM #", "Room Number", "SPACE NO", "ROOM\nNO."),
    Field.ROOM_NAME: ("ROOM NAME", "Name", "SPACE NAME", "LongName", "Room Description"),
    Field.REMARKS: ("REMARKS", "NOTES", "Comments"),
    Field.HAND: ("HAND", "Handing", "SWING"),
}
NAMES = (
    "LOBBY",
    "CONFERENCE",
    "Men's Toilet",
    "STOR.",
    "CAFÉ",
    "ELEC/DATA RM",
    "Library, West",
    "IT",
    "STAIR A",
    "WORK\nRM",
)
UNKNOWN = ("AREA", "STC", "KEYING", "Cost Code")


@dataclass(frozen=True)
class Plan:
    """A table to write: column order with headers, records, and the rows of mess between them."""

    fields: tuple[Field | None, ...]
    headers: tuple[str, ...]
    records: tuple[dict[Field, str], ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    levels: tuple[str, ...]


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    optional = draw(st.sets(st.sampled_from([Field.DOOR, Field.HAND, Field.REMARKS])))
    fields: list[Field | None] = [Field.ROOM_NUMBER, Field.ROOM_NAME, *sorted(optional)]
    fields += [None] * draw(st.integers(0, 2))
    fields = draw(st.permutations(fields))
    spare = iter(draw(st.permutations(UNKNOWN)))
    headers = tuple(next(spare) if field is None else draw(st.sampled_from(HEADERS[field])) for field in fields)
    count = draw(st.integers(2, 14))
    prefix = draw(st.sampled_from(["", "A", "B-"]))
    records = []
    for index in range(count):
        number = f"{prefix}{101 + index}{draw(st.sampled_from(['', '', 'A']))}"
        values = {
            Field.ROOM_NUMBER: number,
            Field.ROOM_NAME: draw(st.sampled_from(NAMES)),
            Field.DOOR: f"{number}-1",
            Field.HAND: draw(st.sampled_from(["LH", "RHR", ""])),
            Field.REMARKS: draw(st.sampled_from(["", "BY OWNER", "SEE A-501"])),
        }
        records.append({field: values[field] for field in fields if field is not None})
    rows: list[tuple[str, tuple[str, ...]]] = []
    titles = st.sampled_from([("PIER SIX ANNEX",), ("DOOR AND ROOM SCHEDULE", "", "REV B"), ()])
    rows += [("title" if title else "blank", title) for title in draw(st.lists(titles, max_size=3))]
    rows.append(("header", headers))
    levels, level = [], ""
    for record in records:
        mess = draw(st.sampled_from(["", "", "", "blank", "level", "header", "subtotal"]))
        if mess == "level":
            level = draw(st.sampled_from(["FIRST FLOOR", "LEVEL 2", "3rd Floor", "BASEMENT", "Level B1"]))
            rows.append(("level", (level,)))
        elif mess == "header":
            rows.append(("header", headers))
        elif mess == "blank":
            rows.append(("blank", ()))
        elif mess == "subtotal":
            rows.append(("subtotal", ("SUBTOTAL", str(draw(st.integers(1, 9))))))
        rows.append(("data", tuple("17" if field is None else record[field] for field in fields)))
        levels.append(level)
    if draw(st.booleans()):
        rows += [("blank", ()), ("legend", ("NOTES:",)), ("legend", ("1. VERIFY ALL NUMBERS WITH THE OWNER.",))]
    return Plan(tuple(fields), headers, tuple(records), tuple(rows), tuple(levels))


def check(schedule: Schedule, plan: Plan, *, dead: frozenset[int] = frozenset()) -> None:
    """The account balances, each row is what it was, and the live records are those written."""
    assert len(schedule.rows) == len(plan.rows)
    assert [row.source.row for row in schedule.rows] == list(range(1, len(plan.rows) + 1))
    wanted = [kind if index not in dead else "dead" for index, (kind, _) in enumerate(plan.rows)]
    got = ["dead" if row.kind in (RowKind.HIDDEN, RowKind.STRUCK) else str(row.kind) for row in schedule.rows]
    assert got == wanted
    places = [index for index, (kind, _) in enumerate(plan.rows) if kind == "data"]
    alive = [
        (record, level) for record, level, at in zip(plan.records, plan.levels, places, strict=True) if at not in dead
    ]
    live = [row for row in schedule.rows if row.kind is RowKind.DATA]
    for row, (record, level) in zip(live, alive, strict=True):
        assert {cell.field: cell.text for cell in row.cells} == {field: text for field, text in record.items() if text}
        assert row.level == level


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    plan=plans(),
    delimiter=st.sampled_from(",;\t|"),
    codec=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
    end=st.sampled_from(["\n", "\r\n"]),
)
def test_text_files_give_back_what_was_written(plan: Plan, delimiter: str, codec: str, end: str) -> None:
    buffer = io.StringIO(newline="")
    csv.writer(buffer, delimiter=delimiter, lineterminator=end).writerows(row for _, row in plan.rows)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "table.csv"
        path.write_bytes(buffer.getvalue().encode(codec))
        check(read_schedule([path]), plan)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plan=plans(), dice=st.randoms(use_true_random=False))
def test_workbooks_give_back_what_was_written(plan: Plan, dice) -> None:
    book = Workbook()
    sheet = book.active
    places = [index for index, (kind, _) in enumerate(plan.rows) if kind == "data"]
    # The first two stay live, so that there is a table.
    dead = frozenset(index for index in places[2:] if dice.random() < 0.2)
    for index, (_, row) in enumerate(plan.rows, start=1):
        for column, text in enumerate(row, start=1):
            if text:
                sheet.cell(index, column, text)
    for index in dead:
        if dice.random() < 0.5:
            sheet.row_dimensions[index + 1].hidden = True
        else:
            for cell in sheet[index + 1]:
                cell.font = Font(strike=True)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "table.xlsx"
        book.save(path)
        check(read_schedule([path]), plan, dead=dead)
