"""A sign's mark is another one whenever anything that a document may say of the sign is."""

import importlib.util
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import ModuleType

import pytest

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.settings import Finality
from schedule2sign.writers.marks import Marks


@cache
def sample() -> ModuleType:
    path = Path(__file__).resolve().parents[1] / "golden" / "sample_job.py"
    spec = importlib.util.spec_from_file_location("sample_job", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def job() -> Job:
    """The sample with works on record: those made by hand have no key."""
    made = sample().sample_job()
    return replace(
        made,
        signs=tuple(
            replace(sign, work=replace(sign.work, key=f"key of {sign.request.sign_id}", made_with="one program"))
            for sign in made.signs
        ),
    )


def mark(of: Job, place: int = 0) -> str:
    return Marks(of).of(of.signs[place])


def with_first(change: Callable[[SignRecord], SignRecord]) -> Job:
    plain = job()
    return replace(plain, signs=(change(plain.signs[0]), *plain.signs[1:]))


def with_row(text: str) -> Job:
    plain = job()
    rows = tuple(
        replace(row, as_given=(*row.as_given, text)) if row.source == plain.signs[0].request.source else row
        for row in plain.schedule.rows
    )
    assert rows != plain.schedule.rows
    return replace(plain, schedule=replace(plain.schedule, rows=rows))


FLAG = Flag(code="naming/spelling", severity=Severity.ASK, message="A doubt.")
OTHERS: dict[str, Callable[[], Job]] = {
    "flags": lambda: with_first(lambda sign: replace(sign, flags=(*sign.flags, FLAG))),
    "status": lambda: with_first(lambda sign: replace(sign, status=Status.HELD)),
    "request": lambda: with_first(lambda sign: replace(sign, request=replace(sign.request, hand="LH"))),
    "work": lambda: with_first(lambda sign: replace(sign, work=replace(sign.work, key="another"))),
    "program": lambda: with_first(lambda sign: replace(sign, work=replace(sign.work, made_with="another"))),
    "row": lambda: with_row("120 SF"),
    "numbers": lambda: replace(job(), settings=replace(job().settings, finality=Finality.NOT_FINAL)),
    "tolerance": lambda: replace(job(), settings=replace(job().settings, tolerance_mm=0.1)),
    "standard": lambda: replace(job(), standard=replace(job().standard, table_date="2031-01-01")),
}


@pytest.mark.parametrize("other", OTHERS)
def test_another_value_is_another_mark(other: str) -> None:
    assert mark(job()) == mark(job())
    assert mark(OTHERS[other]()) != mark(job())


@pytest.mark.parametrize("same", ["title", "revision", "font", "templates", "process", "waivers"])
def test_what_is_of_the_whole_job_alone_and_paths_leave_the_marks(same: str) -> None:
    other = replace(job(), settings=replace(job().settings, **{same: "another"}))
    assert mark(other) == mark(job())


def test_a_sign_whose_work_is_not_on_record_has_no_mark() -> None:
    assert mark(sample().sample_job()) == ""


def test_no_two_signs_have_one_mark() -> None:
    marks = Marks(job())
    assert len({marks.of(sign) for sign in job().signs}) == len(job().signs)
