"""What a large job holds of each sign: as many bytes as there is room for, and no geometry."""

import csv
import gc
import sys
from pathlib import Path
from types import BuiltinFunctionType, FunctionType, MethodType, ModuleType

import pytest

from schedule2sign import desk
from schedule2sign.model.job import Job
from schedule2sign.model.settings import Settings
from schedule2sign.pipeline import build_job
from schedule2sign.shelf import Shelf

FIRST = ("EXAM", "CONSULT", "RADIOLOGY", "OUTPATIENT REGISTRATION", "KITCHEN", "RECORDS", "STAFF")
SECOND = ("ROOM", "OFFICE", "WORKROOM", "STORAGE", "LOUNGE")
FEW, MANY = 150, 450
MOST_BYTES = 3300  # a sign, rows and plan included: 50,000 signs then take 165 MB beside the program


@pytest.fixture(autouse=True)
def _few_are_many(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(desk, "MOST_IN_HAND", 0)
    monkeypatch.setattr("schedule2sign.pipeline.MOST_IN_HAND", 0)


def job_of(doors: int, folder: Path) -> Job:
    """Doors of a hospital, a hundred a level."""
    path = folder / "doors.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file)
        rows.writerow(("DOOR", "ROOM NO", "ROOM NAME", "LEVEL"))
        for at in range(doors):
            number = f"{at // 100 + 1}{at % 100 + 1:02d}"
            name = f"{FIRST[at % len(FIRST)]} {SECOND[at % len(SECOND)]}"
            rows.writerow((f"{number}A", number, name, f"LEVEL {at // 100 + 1}"))
    return build_job([path], Settings())


def bytes_of(job: Job) -> int:
    """All that the job alone keeps in memory: neither code, nor what lies on the shelf."""
    seen, total, left = set[int](), 0, [job]
    while left:
        one: object = left.pop()
        if id(one) in seen or isinstance(one, (type, ModuleType, FunctionType, BuiltinFunctionType, MethodType, Shelf)):
            continue
        seen.add(id(one))
        total += sys.getsizeof(one)
        left += gc.get_referents(one)
    return total


def test_a_sign_of_a_large_job_takes_little_memory(tmp_path: Path) -> None:
    few, many = job_of(FEW, tmp_path), job_of(MANY, tmp_path)
    assert (len(few.signs), len(many.signs)) == (FEW, MANY)
    assert {type(sign.work.holder).__name__ for sign in many.signs} == {"Shelved"}
    # What both keep alike is left out; what they share with each other and with the program is in both.
    assert (bytes_of(many) - bytes_of(few)) / (MANY - FEW) < MOST_BYTES


def test_signs_that_lie_on_the_shelf_are_not_kept_open(tmp_path: Path) -> None:
    job = job_of(FEW, tmp_path)
    before = bytes_of(job)
    for sign in job.signs:
        assert sign.layout is not None
        assert len(sign.layout.dots) == sign.plate.braille_dots > 0
        assert sum(1 for _ in sign.drilled.points()) == sum(sign.drilled.rows) == sign.plate.braille_dots
    assert bytes_of(job) == before
