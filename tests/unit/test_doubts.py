"""One doubt of one word or cell is one question. Common practice, no source."""

import csv
from pathlib import Path

import pytest

from schedule2sign.doubts import ask_once
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.settings import Settings
from schedule2sign.model.source import Source
from schedule2sign.pipeline import build_job

CELL = Source(file="a.csv", sheet="", row=2, column="C")
TYPO = Flag(
    code="naming/spelling", severity=Severity.HOLD, source=CELL, who="architect", fix="Correct it.",
    message="'LAUNDARY' in 'Laundary' is in no word list; near it: LAUNDRY.",
)  # fmt: skip
WORD = Flag(
    code="braille/unknown-word", severity=Severity.HOLD, clause="ADA 703.3.1", fix="Add it to the lexicon.",
    message="'LAUNDARY' in 'LAUNDARY' is in no word list: a name, an acronym or a misspelling?",
)  # fmt: skip


def flag(code: str, severity: Severity, message: str = "'X' is odd.", source: Source = CELL) -> Flag:
    return Flag(code=code, severity=severity, message=message, source=source)


def test_one_word_is_asked_once_and_nothing_said_is_lost() -> None:
    (one,) = ask_once([TYPO, WORD])
    assert (one.code, one.severity, one.source, one.clause) == (TYPO.code, Severity.HOLD, CELL, "ADA 703.3.1")
    assert one.message.startswith(TYPO.message.rstrip("."))
    assert "braille/unknown-word" in one.message
    assert one.fix == "Correct it. Add it to the lexicon."


def test_another_word_stays_a_question_of_its_own() -> None:
    other = flag("braille/unknown-word", Severity.HOLD, "'ZORB' in 'LAUNDARY ZORB' is in no word list.")
    assert ask_once([TYPO, other]) == (TYPO, other)
    assert ask_once([WORD]) == (WORD,)


@pytest.mark.parametrize("first", [Severity.ASK, Severity.HOLD])
@pytest.mark.parametrize("second", [Severity.ASK, Severity.HOLD])
def test_the_stronger_severity_stays(first: Severity, second: Severity) -> None:
    pair = flag("intake/date-value", first), flag("naming/number-date", second)
    (one,) = ask_once(pair)
    assert one.severity is max(first, second, key=lambda severity: severity.rank)


def test_another_cell_is_another_doubt() -> None:
    elsewhere = Source(file="a.csv", sheet="", row=3, column="C")
    pair = flag("intake/date-value", Severity.HOLD), flag("naming/number-date", Severity.HOLD, source=elsewhere)
    assert ask_once(pair) == pair


def test_a_spelling_that_a_person_settled_does_not_say_how_the_word_is_brailled() -> None:
    note = flag("naming/spelling", Severity.NOTE, f"{TYPO.message} Settled: A. Voss accepted it.")
    assert ask_once([note, WORD]) == (note, WORD)


def test_a_row_and_its_signs_ask_once(tmp_path: Path) -> None:
    rows = [["DOOR", "ROOM NO", "ROOM NAME"], ["101", "101", "LAUNDARY"], ["102", "102", "STORAGE"]]
    with (tmp_path / "doors.csv").open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(rows)
    job = build_job([tmp_path / "doors.csv"], Settings())
    about = [flag for flag in job.flags if "'LAUNDARY' in" in flag.message]
    assert [(flag.code, flag.severity) for flag in about] == [("naming/spelling", Severity.HOLD)]
