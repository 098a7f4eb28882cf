"""Open schedules nobody here wrote, through the whole pipeline: the row account balances against an unrelated count.

The files are open data kept beside the checkout; without them these tests skip.
"""

import csv
from collections import Counter
from pathlib import Path

import openpyxl
import pytest

from schedule2sign.errors import InputError
from schedule2sign.intake.reader import read_schedule
from schedule2sign.model.job import Job
from schedule2sign.model.schedule import RowKind
from schedule2sign.model.settings import Settings
from schedule2sign.pipeline import build_job

DATA = Path(__file__).resolve().parents[3] / "shared" / "data"
pytestmark = pytest.mark.skipif(not DATA.is_dir(), reason="the open schedules are not here")

# What a person counts in the files: records, by a rule of each file alone.
RECORDS = {
    "bim_paracore_doors.csv": lambda row: bool(row and row[0]) and row[0] not in ("Door Schedule", "Door", "Mark"),
    "bim_paracore_rooms.csv": lambda row: bool(row) and row[0].startswith("Level "),
    "office_a_rooms.csv": lambda row: row[0] != "Storey",
    "office_a_doors.csv": lambda row: row[0] != "Storey",
    "bim_packt_1F_rooms.xlsx": lambda row: bool(row[1]) and row[1] != "Name",
    "bim_packt_2F_rooms.xlsx": lambda row: bool(row[1]) and row[1] != "Name",
    "bim_packt_3F_rooms.xlsx": lambda row: bool(row[1]) and row[1] != "Name",
}


def rows_of(name: str) -> list[list[str]]:
    """All rows, by csv or openpyxl alone."""
    if name.endswith(".csv"):
        with (DATA / name).open(newline="", encoding="utf-8-sig") as file:
            return list(csv.reader(file))
    sheet = openpyxl.load_workbook(DATA / name).worksheets[0]
    return [["" if cell is None else str(cell) for cell in row] for row in sheet.iter_rows(values_only=True)]


def check_account(job: Job) -> None:
    account = job.accounting
    assert account.rows_read == len(job.schedule.rows) == sum(dict(account.rows_by_kind).values())
    assert account.data_rows == sum(dict(account.outcomes).values()) == len(job.decisions)
    assert account.signs_listed == account.signs_released + account.signs_held == len(job.signs)
    assert sum(dict(account.unsigned_reasons).values()) == dict(account.outcomes).get("unsigned", 0)
    assert len({sign.request.sign_id.casefold() for sign in job.signs}) == len(job.signs)
    assert all(decision.reason and decision.rule for decision in job.decisions)


@pytest.mark.parametrize("name", RECORDS)
def test_records_and_rows_equal_an_unrelated_count(name: str) -> None:
    rows = rows_of(name)
    schedule = read_schedule([DATA / name])
    records = [row for row in rows if RECORDS[name](row)]
    assert sum(row.kind is RowKind.DATA for row in schedule.rows) == len(records) > 0
    # openpyxl tells of empty rows at the end that hold formats only; a reader may leave them out.
    filled = max(at for at, row in enumerate(rows, start=1) if any(cell.strip() for cell in row))
    assert filled <= len(schedule.rows) <= len(rows)


@pytest.mark.parametrize(
    "names",
    [
        ("office_a_rooms.csv", "office_a_doors.csv"),
        ("bim_paracore_rooms.csv", "bim_paracore_doors.csv"),
        ("bim_packt_1F_rooms.xlsx", "bim_packt_2F_rooms.xlsx", "bim_packt_3F_rooms.xlsx"),
        ("cobie_duplex_design.xlsx",),
    ],
    ids=lambda names: names[0],
)
def test_files_of_one_building_are_one_job(names: tuple[str, ...]) -> None:
    job = build_job([DATA / name for name in names], Settings())
    check_account(job)
    counts = Counter(decision.row.raw.source.file for decision in job.decisions)
    for name in names:
        if name in RECORDS:
            assert counts[name] == sum(bool(RECORDS[name](row)) for row in rows_of(name))


def test_every_file_is_read_or_refused_with_the_way_out() -> None:
    found = sorted(path for path in DATA.iterdir() if path.suffix in (".csv", ".xlsx", ".txt"))
    assert len(found) >= 10
    refused = []
    for path in found:
        try:
            schedule = read_schedule([path])
        except InputError as error:
            refused.append(str(error))
            continue
        assert any(row.kind is RowKind.DATA for row in schedule.rows), path.name
        assert all(table.evidence for table in schedule.tables), path.name
    assert len(refused) == 3
    for message in refused:
        assert "The first rows are:" in message
        assert "--column" in message
