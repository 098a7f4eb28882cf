"""Room names: what the clerk at the desk would write. Every expectation here: common practice, no source."""

import pytest

from schedule2sign.model.flag import Severity
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind
from schedule2sign.model.settings import Lexicon, Settings, Wording
from schedule2sign.model.source import Source
from schedule2sign.naming.rename import name_rows
from schedule2sign.naming.vocabulary import load_vocabulary

DEFAULT = Settings()


def name_row(name: str, number: str = "", settings: Settings = DEFAULT) -> NamedRow:
    cells = tuple(
        Cell(field=field, text=text, column=column)
        for field, text, column in ((Field.ROOM_NUMBER, number, "A"), (Field.ROOM_NAME, name, "B"))
        if text
    )
    row = RawRow(source=Source(file="doors.csv", sheet="", row=7), kind=RowKind.DATA, cells=cells)
    return name_rows([row], load_vocabulary(settings), settings)[0]


def worst(row: NamedRow) -> str:
    return max((flag.severity for flag in row.flags), key=lambda severity: severity.rank, default="none")


@pytest.mark.parametrize(
    ("given", "name"),
    [
        ("CONFERENCE\nROOM ", "CONFERENCE ROOM"),
        ("DIRECTOR\u2019S \u2013 OFFICE", "DIRECTOR'S - OFFICE"),
        ("BREAK\u00a0RM ", "BREAK ROOM"),
        ("MECH. RM.", "MECHANICAL ROOM"),
        ("ELEV. EQUIP RM", "ELEVATOR EQUIPMENT ROOM"),
        ("JAN", "JANITOR"),
        ("STOR.", "STORAGE"),
        ("CONF1", "CONFERENCE 1"),
        ("TELE/COMM RM", "TELECOMMUNICATIONS ROOM"),
        ("ST-2", "STAIR 2"),
        ("STAIR #2", "STAIR 2"),
        ("T.V. ROOM", "TV ROOM"),
        ("X-RAY", "X-RAY"),
        ("R&D LAB", "R&D LAB"),
        ("LAB C", "LAB C"),
        ("IT WORKROOM", "IT WORKROOM"),
        ("MENS LOCKER RM", "MEN'S LOCKER ROOM"),
        ("EXAM RM 1", "EXAM ROOM 1"),
    ],
)
def test_a_safe_name_is_cleaned_without_a_question(given: str, name: str) -> None:
    row = name_row(given)
    assert row.name == name
    assert row.name_as_given == given
    assert worst(row) == "none"
    assert (row.changes == ()) == (given == name)


@pytest.mark.parametrize(
    ("given", "name"),
    [
        ("MENS RR 1ST FL", "MEN"),
        ("GENTS", "MEN"),
        ("M RR", "MEN"),
        ("LADIES", "WOMEN"),
        ("W RR", "WOMEN"),
        ("EMPLOYEE RR", "STAFF RESTROOM"),
        ("JANITORS CL", "JANITOR"),
        ("OFFICE (N) 120 SF", "OFFICE"),
        ("STORAGE *3", "STORAGE"),
        ("MENS RR #1 (E)", "MEN"),
        ("BOYS", "BOYS"),
        ("GIRLS", "GIRLS"),
    ],
)
def test_a_name_in_house_wording_is_told(given: str, name: str) -> None:
    row = name_row(given)
    assert (row.name, worst(row)) == (name, Severity.NOTE)


@pytest.mark.parametrize(
    ("given", "name", "code"),
    [
        ("COPY/MAIL", "COPY AND MAIL", "naming/slash"),
        ("MEN / WOMEN", "RESTROOM", "naming/restroom-wording"),
        ("UNISEX RR", "RESTROOM", "naming/restroom-wording"),
        ("UNISEX", "RESTROOM", "naming/restroom-wording"),
        ("GENDER NEUTRAL", "RESTROOM", "naming/restroom-wording"),
        ("Single User", "RESTROOM", "naming/restroom-wording"),
        ("ASSISTED USE", "FAMILY RESTROOM", "naming/restroom-wording"),
        ("FAMILY TLT", "FAMILY RESTROOM", "naming/restroom-wording"),
        ("ADA TOILET", "RESTROOM", "naming/access-symbol"),
        ("DIRECTORS OFFICE", "DIRECTOR'S OFFICE", "naming/possessive"),
    ],
)
def test_a_doubtful_name_takes_a_default_and_asks(given: str, name: str, code: str) -> None:
    row = name_row(given)
    assert row.name == name
    assert worst(row) == Severity.ASK
    assert code in {flag.code for flag in row.flags}


@pytest.mark.parametrize("given", ["PT ROOM", "SECURE DOC ROOM", "REENLST OFF", "S-1 CNTL FILES"])
def test_a_short_form_of_several_meanings_is_held_with_its_choices(given: str) -> None:
    row = name_row(given)
    flag = next(flag for flag in row.flags if flag.code == "naming/ambiguous-abbreviation")
    assert flag.severity is Severity.HOLD
    assert " or " in flag.message
    assert flag.source == Source(file="doors.csv", sheet="", row=7, column="B")
    assert flag.given == given


def test_the_job_says_what_a_short_form_means() -> None:
    settings = Settings(lexicon=Lexicon(abbreviations=(("PT", "Physical Therapy"), ("XYZ", "Exercise Yard"))))
    assert name_row("PT ROOM", settings=settings).name == "PHYSICAL THERAPY ROOM"
    assert name_row("XYZ", settings=settings).name == "EXERCISE YARD"


def test_approved_wording_beats_every_rule() -> None:
    settings = Settings(lexicon=Lexicon(approved=(("Mens RR", "Gentlemen"), ("HC TOILET", "Restroom"))))
    row = name_row("MENS  RR", settings=settings)
    assert row.name == "GENTLEMEN"
    assert [change.rule for change in row.changes] == ["N10"]
    assert name_row("GENTLEMEN", settings=settings).name == "GENTLEMEN"
    assert name_row("HC TOILET", settings=settings).flags == ()


def test_a_name_of_the_job_is_never_expanded() -> None:
    settings = Settings(lexicon=Lexicon(names=("Dr. Conf",)))
    assert name_row("DR. CONF LIB", settings=settings).name == "DR. CONF LIBRARY"


def test_the_job_chooses_its_words() -> None:
    settings = Settings(wording=Wording(men="MEN'S RESTROOM", ampersand="&", janitor="CUSTODIAN"))
    assert name_row("MENS RR", settings=settings).name == "MEN'S RESTROOM"
    assert name_row("MEN'S RESTROOM", settings=settings).changes == ()
    assert name_row("COPY & MAIL", settings=settings).name == "COPY & MAIL"
    assert name_row("JAN CL", settings=settings).name == "CUSTODIAN"


@pytest.mark.parametrize("given", ["NOT USED", "N.I.C.", "VACANT", "TBD", "SIM TO 244", "ETR", "DITTO", '"'])
def test_a_status_is_left_for_the_sign_list(given: str) -> None:
    row = name_row(given)
    assert (row.name, row.flags) == (given, ())


def test_the_number_repeated_in_the_name_goes() -> None:
    assert name_row("101 OFFICE", "101").name == "OFFICE"
    assert name_row("SUITE 244", "244").name == "SUITE 244"


@pytest.mark.parametrize("given", ["CAF\u00c3\u00a9", "CAF\ufffd"])
def test_damaged_text_is_held(given: str) -> None:
    assert worst(name_row(given)) == Severity.HOLD


@pytest.mark.parametrize(
    ("given", "name", "asked"),
    [
        ("Tele-Health", "TELE-HEALTH", "none"),  # never TELEPHONE-HEALTH
        ("TELE HEALTH", "TELEHEALTH", "none"),
        ("TELE RM", "TELEPHONE ROOM", "none"),
        ("TELE", "TELE", "HOLD"),
        ("MALE FOUR-STALL TOILET", "MEN", "ASK"),
        ("FEMALE 4-STALL RESTROOM", "WOMEN", "ASK"),
        ("TOILET MULTI-USER MALE", "MEN", "ASK"),
        ("SINGLE-USER TOILET", "RESTROOM", "ASK"),
        ("TWO-PERSON OFFICE", "TWO-PERSON OFFICE", "none"),
    ],
)
def test_tele_is_no_telephone_and_stalls_are_no_name(given: str, name: str, asked: str) -> None:
    row = name_row(given)
    assert (row.name, worst(row)) == (name, asked)


@pytest.mark.parametrize("given", ["ST. ORAN HALL", "LINCOLN HALL", "JOHN SMITH HALL"])
def test_a_name_before_hall_reads_as_a_proper_name(given: str) -> None:
    assert "naming/proper-name" in {flag.code for flag in name_row(given).flags}
    assert "naming/proper-name" not in {flag.code for flag in name_row("PATIENT HALL").flags}
