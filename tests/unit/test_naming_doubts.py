"""Names a person must see: slips, short forms, people, other languages. Expectations: common practice, no source."""

import pytest

from schedule2sign.model.flag import Severity
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind
from schedule2sign.model.settings import Lexicon, Settings
from schedule2sign.model.source import Source
from schedule2sign.naming.rename import name_rows
from schedule2sign.naming.vocabulary import load_vocabulary

SETTINGS = Settings()
VOCABULARY = load_vocabulary(SETTINGS)


def name_all(*names: str, settings: Settings = SETTINGS) -> tuple[NamedRow, ...]:
    vocabulary = VOCABULARY if settings is SETTINGS else load_vocabulary(settings)
    rows = [
        RawRow(
            source=Source(file="rooms.csv", sheet="", row=index),
            kind=RowKind.DATA,
            cells=(Cell(field=Field.ROOM_NAME, text=name, column="B"),),
        )
        for index, name in enumerate(names, start=2)
    ]
    return name_rows(rows, vocabulary, settings)


def found(row: NamedRow) -> dict[str, Severity]:
    return {flag.code.removeprefix("naming/"): flag.severity for flag in row.flags}


@pytest.mark.parametrize(
    ("given", "suggestion"),
    [
        ("Laundary", "LAUNDRY"),  # in a public BIM model's room schedule
        ("Caferteria", "CAFETERIA"),  # in a public BIM model's room list
        ("Female Toliet", "TOILET"),  # in a public room list
        ("CONFRENCE ROOM", "CONFERENCE"),
        ("RECPETION", "RECEPTION"),
        ("MAINTENENCE", "MAINTENANCE"),
        ("ELCTRICAL ROOM", "ELECTRICAL"),
        ("STORAGEROOM", "STORAGE ROOM"),
        ("PUBIC RESTROOM", "PUBLIC"),
        ("PRINCIPLE'S OFFICE", "PRINCIPAL"),
    ],
)
def test_a_slip_is_held_with_the_word_meant(given: str, suggestion: str) -> None:
    row = name_all(given)[0]
    flag = next(flag for flag in row.flags if flag.code == "naming/spelling")
    assert flag.severity is Severity.HOLD
    assert suggestion in flag.message


@pytest.mark.parametrize(
    "given",
    [
        "OTORHINOLARYNGOLOGY",
        "KILN ROOM",
        "BARIATRIC TRIAGE",
        "NATATORIUM",
        "LACTATION ROOM",
        "MULTIPURPOSE ROOM",
        "BREAKROOM",
        "WALK-IN COOLER",
        "DROP-OFF",
        "MULTI-USE STORAGE",
        "DEPARTMENT OF ENVIRONMENTAL HEALTH AND SAFETY",
        "AREA OF REFUGE",
        "3D PRINT LAB",
        "PRE-K",
        "HEAD OFFICE",
        "FIRST AID",
        "ON CALL ROOM",
    ],
)
def test_a_right_name_raises_no_question(given: str) -> None:
    row = name_all(given)[0]
    assert (row.name, row.flags, row.changes) == (given, (), ())


def test_an_unknown_word_is_asked_once_and_told_after() -> None:
    rows = name_all("FROBNITZ LAB", "FROBNITZ STORAGE", "LOBBY")
    assert [found(row).get("unknown-word") for row in rows] == [Severity.ASK, Severity.NOTE, None]
    assert "rooms.csv row 2" in rows[1].flags[0].message


def test_a_short_form_without_a_vowel_is_held() -> None:
    assert found(name_all("BLK ROOM")[0]) == {"unknown-abbreviation": Severity.HOLD}


def test_the_job_may_declare_words_names_and_letters() -> None:
    settings = Settings(
        lexicon=Lexicon(words=("Frobnitz",), names=("Ñandú", "Kowalski"), spelled=("BLK", "PT"), spoken=("TSVA",))
    )
    names = ("FROBNITZ LAB", "ÑANDÚ HALL", "KOWALSKI", "BLK ROOM", "PT ROOM", "TSVA")
    rows = name_all(*names, settings=settings)
    assert [(row.name, row.flags) for row in rows] == [(name, ()) for name in names]


@pytest.mark.parametrize(
    "given", ["J. SMITH", "MRS. LEE", "T. MARLOW", "DR. MARLOW", "SMITH, JOHN", "BOB'S OFFICE", "MARY"]
)
def test_a_person_is_held(given: str) -> None:
    row = name_all(given)[0]
    assert found(row) == {"person-name": Severity.HOLD}
    assert row.name


@pytest.mark.parametrize(
    ("given", "name"), [("St. Mary Chapel", "ST. MARY CHAPEL"), ("Dr. King Library", "DR. KING LIBRARY")]
)
def test_a_donor_name_is_kept_whole_and_asked(given: str, name: str) -> None:
    row = name_all(given)[0]
    assert row.name == name
    assert found(row) == {"proper-name": Severity.ASK}


@pytest.mark.parametrize("given", ["OFICINA", "Sala de Juntas", "LAGERRAUM", "SALLE DE REUNION", "\u4f1a\u8bae\u5ba4"])
def test_another_language_is_held(given: str) -> None:
    assert found(name_all(given)[0])["foreign-language"] is Severity.HOLD


def test_an_accent_is_never_dropped() -> None:
    row = name_all("Café")[0]
    assert row.name == "CAFÉ"
    assert found(row) == {"accented-letter": Severity.HOLD}


@pytest.mark.parametrize(
    "given", ["=HYPERLINK(0)", "=cmd", "+1", "@x", "-2", "STORAGE 10'", "1/2 BATH", "100% ROOM", "20°"]
)
def test_a_character_no_raised_name_carries_is_held(given: str) -> None:
    assert found(name_all(given)[0])["character"] is Severity.HOLD


def test_look_alike_letters_are_held_with_the_proposal() -> None:
    row = name_all("OFFI\u0421E")[0]
    assert row.name == "OFFICE"
    assert found(row) == {"look-alike": Severity.HOLD}


def test_invisible_characters_leave_no_trace() -> None:
    row = name_all("OFF\u200bICE\ufeff")[0]
    assert (row.name, row.flags, [change.rule for change in row.changes]) == ("OFFICE", (), ["N07"])


@pytest.mark.parametrize(
    ("given", "name", "code"),
    [
        ("Toilet, Exam Room Patient", "EXAM ROOM PATIENT TOILET", "inverted-name"),
        ("Office, Administrative Officer", "ADMINISTRATIVE OFFICER OFFICE", "inverted-name"),
        ("Exam Room, Cardio Svc", "EXAM ROOM", "department-suffix"),
        ("Janitor 20BOH.07", "JANITOR", "number-in-name"),
        ("Storage (Soft Goods)", "STORAGE - SOFT GOODS", "parentheses"),
        ("Adaptive Technology (AT) Room", "ADAPTIVE TECHNOLOGY ROOM", "parentheses"),
    ],
)
def test_what_is_set_straight_is_asked(given: str, name: str, code: str) -> None:
    row = name_all(given)[0]
    assert row.name == name
    assert found(row) == {code: Severity.ASK}


def test_a_colon_may_part_a_department_and_is_asked_once_each() -> None:
    rows = name_all("PRO: Waiting", "PRO: Appliance Storage", "STORAGE:")
    assert [row.name for row in rows] == ["PRO WAITING", "PRO APPLIANCE STORAGE", "STORAGE"]
    assert [found(row).get("colon") for row in rows] == [Severity.ASK, Severity.NOTE, None]


@pytest.mark.parametrize("given", ["TELE-RETINAL ROOM", "TELE-COMMUNICATIONS ROOM"])
def test_tele_before_a_dash_is_no_telephone(given: str) -> None:
    assert name_all(given)[0].name == given


def test_a_tail_that_repeats_is_a_department() -> None:
    rows = name_all("EXAM ROOM, PODIATRY", "CAST ROOM, PODIATRY", "FOOT CARE, PODIATRY")
    assert [row.name for row in rows] == ["EXAM ROOM", "CAST ROOM", "FOOT CARE"]
    assert [found(row)["department-suffix"] for row in rows] == [Severity.ASK, Severity.NOTE, Severity.NOTE]


def test_several_commas_or_slashes_are_held() -> None:
    assert found(name_all("COPY, MAIL, PRINT")[0])["comma"] is Severity.HOLD
    assert found(name_all("CHIEF / COACH / SUPERVISOR OFFICE")[0])["slash"] is Severity.HOLD


@pytest.mark.parametrize(
    ("given", "code", "severity"),
    [
        ("HANDICAP TOILET", "dated-term", Severity.HOLD),
        ("HC STORAGE", "dated-term", Severity.HOLD),
        ("MASTER BEDROOM", "dated-term", Severity.ASK),
        ("ISOLATION RM", "private-use", Severity.ASK),
        ("SP ED", "private-use", Severity.ASK),
        ("XXX", "placeholder", Severity.HOLD),
        ("TEST", "placeholder", Severity.HOLD),
        ("Room", "placeholder", Severity.HOLD),
        ("AT Laundry Room", "acronym-or-word", Severity.HOLD),
        ("LAB III", "roman-numeral", Severity.NOTE),
    ],
)
def test_wording_a_person_must_see(given: str, code: str, severity: Severity) -> None:
    assert found(name_all(given)[0])[code] is severity


def test_a_test_kitchen_is_no_placeholder() -> None:
    assert name_all("TEST KITCHEN")[0].flags == ()


def test_a_question_of_the_job_is_asked_at_its_first_row() -> None:
    rows = name_all("COPY/MAIL", "COPY/MAIL", "UNISEX RR", "UNISEX RR")
    assert [flag.severity for row in rows for flag in row.flags] == [
        Severity.ASK,
        Severity.NOTE,
        Severity.ASK,
        Severity.NOTE,
    ]


def test_rows_that_are_no_data_are_left_out() -> None:
    row = RawRow(source=Source(file="a", sheet="", row=1), kind=RowKind.TITLE)
    assert name_rows([row], VOCABULARY, SETTINGS) == ()


@pytest.mark.parametrize("given", ["Us Exam", "Or Waiting", "Led Wall", "It Office"])
def test_letters_written_like_a_word_are_held(given: str) -> None:
    assert found(name_all(given)[0])["acronym-or-word"] is Severity.HOLD


@pytest.mark.parametrize("given", ["US EXAM", "IT Office", "us exam"])
def test_letters_in_capitals_or_a_name_without_any_are_no_such_doubt(given: str) -> None:
    assert "acronym-or-word" not in found(name_all(given)[0])


@pytest.mark.parametrize("given", ["BOC", "TSVA ROOM", "XQZ OFFICE"])
def test_a_short_word_on_no_list_is_held_and_never_guessed(given: str) -> None:
    assert found(name_all(given)[0])["unknown-abbreviation"] is Severity.HOLD


@pytest.mark.parametrize("given", ["MAX OCC 49", "OCC LOAD: TBD", "MAXIMUM OCCUPANCY 49"])
def test_an_occupant_load_is_no_name(given: str) -> None:
    assert found(name_all(given)[0])["occupant-load"] is Severity.HOLD


@pytest.mark.parametrize(
    "given",
    [
        "OFFICE - SMITH",
        "OFFICE (SMITH)",
        "OFFICE: SMITH",
        "Office Smith",
        "MILLER/LEE",
        "R. GARCIA / T. LEE",
        "J SMITH",
        "SMITH, J.",
        "PRINCIPAL SMITH",
        "DIRECTOR JANE SMITH",
        "VICE PRINCIPAL - MS. LEE",
        "Coach Miller's Office",
        "JUDGE HARRIS CHAMBERS",
        "T. LEE (HR)",
        "MARK",
    ],
)
def test_a_person_beside_a_room_or_a_title_is_held(given: str) -> None:
    assert found(name_all(given)[0])["person-name"] is Severity.HOLD


@pytest.mark.parametrize(
    "given",
    [
        "LINCOLN ROOM",
        "DR. KING LIBRARY",
        "BILL PAY",
        "WILL CALL",
        "DEAN OFFICE",
        "GRANT OFFICE",
        "FAITH ROOM",
        "COOPER HALL",
    ],
)
def test_a_room_named_after_somebody_or_like_somebody_is_no_person(given: str) -> None:
    assert "person-name" not in found(name_all(given)[0])
    settings = Settings(lexicon=Lexicon(names=("SMITH",)))
    assert "person-name" not in found(name_all("SMITH OFFICE", settings=settings)[0])
