"""What a sheet is as cells: texts compared, the extent of rows, one object for cells that are alike."""

import re
from pathlib import Path

import pytest

from schedule2sign.intake.grid import Grid, GridCell, GridRow, squeeze
from schedule2sign.intake.reader import read_schedule

TEXTS = (
    "",
    " ",
    "ROOM",
    " ROOM \n NO. ",
    "A\u00a0B",
    "A\u200bB\u200b C",
    "\u2003A\u3000B\x85",
    "A\x1fB\x1c",
    "\ufeff",
    "É  é",
)


@pytest.mark.parametrize("text", TEXTS)
def test_texts_are_compared_on_one_line_without_what_has_no_width(text: str) -> None:
    unseen = re.sub("[\u00ad\u180e\u200b-\u200f\u202a-\u202e\u2060-\u2064\ufeff]+", "", text)
    assert squeeze(text) == re.sub(r"[\s\u00a0]+", " ", unseen).strip()


@pytest.mark.parametrize("filled", [[], [()], [(0,), (), (3, 5), (2,), ()], [(7,), (1,)]])
def test_last_column_is_that_of_the_rows_below(filled: list[tuple[int, ...]]) -> None:
    cell = GridCell(text="x", given="x")
    rows = tuple(
        GridRow(number=number, cells=dict.fromkeys(columns, cell)) for number, columns in enumerate(filled, start=1)
    )
    grid = Grid(file="f.csv", sheet="", rows=rows)
    for start in range(len(rows) + 1):
        assert grid.last_column(start) == max((at for columns in filled[start:] for at in columns), default=-1)


def test_rows_that_say_the_same_share_their_cells(tmp_path: Path) -> None:
    path = tmp_path / "doors.csv"
    path.write_text(
        "DOOR NO,ROOM NO,ROOM NAME,LEVEL\n101,101,OFFICE,LEVEL 1\n102,102,OFFICE,LEVEL 1\n103,103,LOBBY,LEVEL 1\n",
        encoding="utf-8",
    )
    first, second, third = read_schedule([path]).rows[1:]
    assert [cell.text for cell in third.cells] == ["103", "103", "LOBBY", "LEVEL 1"]
    assert first.cells[2] is second.cells[2]
    assert first.cells[3] is third.cells[3]
    assert first.level is third.level
    assert first.as_given[2] is second.cells[2].text
