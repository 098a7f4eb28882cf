"""`produce` draws a sign as it is made: the folder is that of building first and writing afterwards, to the byte."""

import hashlib
from pathlib import Path

import pytest

from schedule2sign import pipeline
from schedule2sign.errors import InputError
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.settings import Settings
from schedule2sign.pipeline import build_job, produce, write_job
from schedule2sign.revision.folder import read_folder

ROOMS = "ROOM NO,ROOM NAME,LEVEL\n101,ARCHIVE,LEVEL 1\n102,KITCHEN,LEVEL 1\n103,READNG ROOM,LEVEL 1\n"


@pytest.fixture
def schedule(tmp_path: Path) -> Path:
    path = tmp_path / "rooms.csv"
    path.write_text(ROOMS, encoding="utf-8")
    return path


def tree(folder: Path) -> dict[str, str]:
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_one_pass_writes_what_two_write(schedule: Path, tmp_path: Path) -> None:
    job, note = produce([schedule], Settings(), tmp_path / "one")
    write_job(build_job([schedule], Settings()), tmp_path / "two")
    assert note == ""
    assert [sign.status.value for sign in job.signs] == ["released", "released", "held"]
    assert tree(tmp_path / "one") == tree(tmp_path / "two")


def test_a_sign_that_is_held_after_it_was_drawn_leaves_no_file(
    schedule: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    produce([schedule], Settings(), tmp_path / "before")
    since, held = read_folder(tmp_path / "before"), "JOB-01-102-C"
    again = Flag(code="revision/held-again", severity=Severity.HOLD, message="Held by a person.", sign_id=held)
    monkeypatch.setattr(pipeline, "hold_again", lambda _since, _signs: {held: again})
    produce([schedule], Settings(revision="B"), tmp_path / "one", since=since)
    write_job(build_job([schedule], Settings(revision="B"), since=since), tmp_path / "two")
    assert tree(tmp_path / "one") == tree(tmp_path / "two")
    assert [path.name for path in sorted((tmp_path / "one" / "signs").iterdir())] == [
        "JOB-01-101-C.dxf",
        "JOB-01-101-C.svg",
    ]


def test_a_schedule_that_cannot_be_read_makes_no_folder(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"missing\.csv"):
        produce([tmp_path / "missing.csv"], Settings(), tmp_path / "a" / "b")
    assert list(tmp_path.iterdir()) == []
