"""Which rule decides which row. Common practice of the trade, no source, except where a clause is named."""

import re
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest

from schedule2sign.errors import InputError
from schedule2sign.model.flag import Flag, Severity, holds
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind
from schedule2sign.model.settings import Lexicon, RuleTable, Settings, Wording
from schedule2sign.model.sign import RowOutcome, Side, SignList
from schedule2sign.model.source import Source
from schedule2sign.resources import demo_folder
from schedule2sign.settings import load_settings
from schedule2sign.signlist.decide import decide_signs
from schedule2sign.signlist.rulebook import load_rules

_next_row = iter(range(2, 100_000))
SETTINGS = Settings(job="J142")


def row(
    door: str = "", number: str = "", name: str = "", *, given: str = "", level: str = "LEVEL 2", **more
) -> NamedRow:
    texts = {
        "door": door,
        "number": number,
        "name": given or name,
        **{key: more[key] for key in more if key != "flags"},
    }
    cells = tuple(
        Cell(field=Field(key.replace("_", "-")), text=text, column=chr(65 + at))
        for at, (key, text) in enumerate(texts.items())
        if text
    )
    raw = RawRow(
        source=Source(file="doors.xlsx", sheet="D", row=next(_next_row)),
        kind=RowKind.DATA,
        level=level,
        cells=cells,
        as_given=tuple(cell.text for cell in cells),
    )
    return NamedRow(
        raw=raw, door=door, room_number=number, name=name, name_as_given=given or name, level=level,
        flags=more.get("flags", ()),
    )  # fmt: skip


def decide(*rows: NamedRow, settings: Settings = SETTINGS) -> SignList:
    return decide_signs(rows, settings)


def texts(sign_list: SignList) -> list[list[str]]:
    return [[message.text for message in request.messages] for request in sign_list.requests]


def codes(sign_list: SignList, at: int = 0) -> dict[str, Severity]:
    return {flag.code: flag.severity for flag in sign_list.decisions[at].flags}


CORRIDOR = row(number="200", name="CORRIDOR")

# name, remarks -> rule, outcome, template ("" none), raised texts
NAMES = [
    ("STAIR A", "L1", "stair", ["STAIR A"]),
    ("EXIT STAIR 2", "L1", "stair", ["EXIT STAIR 2"]),
    ("STAIR", "L1", "stair", ["204", "STAIR"]),
    ("STORAGE UNDER STAIR", "R0", "room", ["204", "STORAGE UNDER STAIR"]),
    ("ELEVATOR MACHINE ROOM", "E3", "elevator-equipment", ["ELEVATOR MACHINE ROOM", "204"]),
    ("MEN", "T1", "restroom", ["MEN", "204"]),
    ("WOMEN", "T2", "restroom", ["WOMEN", "204"]),
    ("RESTROOM", "T3", "all-gender", ["RESTROOM", "204"]),
    ("FEMALE NON-PATIENT TOILET", "T2", "restroom", ["FEMALE NON-PATIENT TOILET", "204"]),
    ("TOILET MULTI-USER MALE", "T1", "restroom", ["TOILET MULTI-USER MALE", "204"]),
    ("PATIENT TOILET AND SHOWER", "T3", "all-gender", ["PATIENT TOILET AND SHOWER", "204"]),
    ("SCIF OPEN OFFICE", "U2", "number", ["204"]),
    ("STAFF RESTROOM", "T3", "all-gender", ["STAFF RESTROOM", "204"]),
    ("MEN'S LOCKER ROOM", "T8", "changing", ["MEN'S LOCKER ROOM", "204"]),
    ("LOCKER ROOM", "T6", "changing", ["LOCKER ROOM", "204"]),
    ("LACTATION ROOM", "T9", "lactation", ["204", "LACTATION ROOM"]),
    ("SECURE OPEN OFFICE", "U2", "number", ["204"]),
    ("OPEN OFFICE, SCIF", "U2", "number", ["204"]),
    ("MECHANICAL ROOM", "U1", "utility", ["204", "MECHANICAL ROOM"]),
    ("ELECTRICAL CLOSET", "U1", "utility", ["204", "ELECTRICAL CLOSET"]),
    ("FIRE RISER ROOM", "U1", "utility", ["204", "FIRE RISER ROOM"]),
    ("DATA CLOSET", "U2", "number", ["204"]),
    ("SERVER ROOM", "U2", "number", ["204"]),
    ("SOCIAL SECURITY", "R1", "room", ["204", "SOCIAL SECURITY"]),
    ("JANITOR", "U3", "utility", ["204", "JANITOR"]),
    ("ROOF ACCESS", "U4", "utility", ["204", "ROOF ACCESS"]),
    ("GYMNASIUM", "A1", "room", ["204", "GYMNASIUM"]),
    ("OFFICE", "O1", "room-insert", ["204"]),
    ("DIRECTOR", "O1", "room-insert", ["204"]),
    ("POST OFFICE", "R1", "room", ["204", "POST OFFICE"]),
    ("OPEN OFFICE", "O2", "room", ["204", "OPEN OFFICE"]),
    ("CONFERENCE ROOM", "R1", "room", ["204", "CONFERENCE ROOM"]),
    ("NURSE STATION", "R1", "room", ["204", "NURSE STATION"]),
    ("CLASSROOM", "R1", "room", ["204", "CLASSROOM"]),
    ("SCIENCE CLASSROOM", "R4", "room-insert", ["204"]),
    ("SUITE 204", "S1", "suite", ["SUITE 204"]),
    ("SUITE", "S1", "suite", ["SUITE 204"]),
    ("UNIT 204", "D1", "number", ["204"]),
    ("STORAGE", "R0", "room", ["204", "STORAGE"]),
    ("CLOSET", "C2", "number", ["204"]),
    ("", "R2", "number", ["204"]),
    ("HALL OF RECORDS", "U2", "number", ["204"]),
    ("LECTURE HALL", "A1", "room", ["204", "LECTURE HALL"]),
]


@pytest.mark.parametrize(("name", "rule", "template", "raised"), NAMES)
def test_a_named_room_off_a_corridor_gets_the_sign_of_its_category(
    name: str, rule: str, template: str, raised: list[str]
) -> None:
    sign_list = decide(CORRIDOR, row("204", "204", name, **{"from": "200"}))
    decision, request = sign_list.decisions[1], sign_list.requests[0]
    assert (decision.rule, request.template, texts(sign_list)[0]) == (rule, template, raised)
    assert decision.outcome is RowOutcome.SIGNED
    assert decision.reason == request.reason != ""


NO_SIGN = [
    ("CORRIDOR", "N1"),
    ("ENTRY VESTIBULE", "N1"),
    ("HALL", "N1"),
    ("HALLWAY 2", "N1"),
    ("ELEVATOR LOBBY", "E1"),
    ("ELEVATOR", "E2"),
    ("ELEVATOR 2", "E2"),
    ("SHAFT", "C1"),
    ("PIPE CHASE", "C1"),
    ("COAT CLOSET", "C1"),
    ("TOILET VESTIBULE", "N1"),
    ("PARKING", "P1"),
    ("BEDROOM", "D2"),
    ("NOT USED", "ST1"),
    ("N.I.C.", "ST2"),
    ("EXISTING", "ST4"),
    ("DEMO", "ST5"),
    ("RELOCATED", "ST8"),
]


@pytest.mark.parametrize(("name", "rule"), NO_SIGN)
def test_what_gets_no_sign_is_listed_with_its_reason(name: str, rule: str) -> None:
    sign_list = decide(row("204", "204", name, **{"from": "CORRIDOR"}))
    decision = sign_list.decisions[0]
    assert (decision.rule, decision.outcome, decision.sign_ids) == (rule, RowOutcome.UNSIGNED, ())
    assert decision.reason
    assert sign_list.requests == ()


STATUS = [
    # name given, remarks -> rule, outcome, raised
    ("VACANT", "", "ST3", RowOutcome.HELD, [["204"]]),
    ("TBD", "", "ST3", RowOutcome.HELD, [["204"]]),
    ("FUTURE LAB", "", "ST3", RowOutcome.HELD, [["204"]]),
    ("SPARE PARTS", "", "R1", RowOutcome.SIGNED, [["204", "SPARE PARTS"]]),
    ("CAFE", "N.I.C.", "ST2", RowOutcome.UNSIGNED, []),
    ("CAFE", "HARDWARE BY OWNER", "R1", RowOutcome.SIGNED, [["204", "CAFE"]]),
    ("CAFE", "BY OWNER", "ST2", RowOutcome.UNSIGNED, []),
    ("EXIT", "N.I.C.", "ST2", RowOutcome.HELD, []),
    ("STORAGE (E)", "", "ST4", RowOutcome.UNSIGNED, []),
    ("STORAGE", "MATCH EXISTING FRAME", "R0", RowOutcome.SIGNED, [["204", "STORAGE"]]),
    ("STORAGE", "EXISTING TO REMAIN; PAINT", "ST4", RowOutcome.UNSIGNED, []),
    ("CAFE", "ADD ALT 1", "ST6", RowOutcome.HELD, [["204", "CAFE"]]),
    ("DITTO", "", "ST7", RowOutcome.HELD, [["204"]]),
    ("SIM TO 999", "", "ST7", RowOutcome.HELD, [["204"]]),
    ("CAFE", "DOOR OMITTED", "ST1", RowOutcome.UNSIGNED, []),
]


@pytest.mark.parametrize(("given", "remarks", "rule", "outcome", "raised"), STATUS)
def test_status_words_come_before_any_name_and_are_never_cut(
    given: str, remarks: str, rule: str, outcome: RowOutcome, raised: list[list[str]]
) -> None:
    name = given.replace(" (E)", "")
    sign_list = decide(row("204", "204", name, given=given, remarks=remarks, **{"from": "CORRIDOR"}))
    assert sign_list.decisions[0].rule == rule
    assert sign_list.decisions[0].outcome is outcome
    assert texts(sign_list) == raised


def test_similar_to_takes_the_name_of_the_only_row_it_can_mean() -> None:
    sign_list = decide(row("244", "244", "SUITE 244"), row("246", "246", "SIM TO 244"))
    assert texts(sign_list) == [["SUITE 244"], ["SUITE 246"]]
    assert codes(sign_list, 1)["signlist/same-as"] is Severity.ASK
    doubt = Flag(code="naming/spelling", severity=Severity.HOLD, message="a doubt")
    doubted = decide(row("244", "244", "LAUNDARY", flags=(doubt,)), row("246", "246", "SIM TO 244"))
    assert doubted.decisions[1].outcome is RowOutcome.HELD
    person = decide(row("244", "244", "T. MARLOW"), row("246", "246", "SIM TO 244"))
    assert person.decisions[1].outcome is RowOutcome.HELD
    assert texts(person)[1] == ["246"]
    two = decide(row("244", "244", "LAB"), row("244A", "244", "CLEAN ROOM"), row("246", "246", "SIM TO 244"))
    assert two.decisions[2].outcome is RowOutcome.HELD


def test_life_safety_wording_is_never_invented() -> None:
    # ADA 216.4.1; IBC 1013.4. Exit passageways, horizontal exits and refuges need wording from elsewhere.
    for name, rule, severity in (
        ("EXIT", "L4", Severity.ASK),
        ("EXIT PASSAGEWAY", "L5", Severity.HOLD),
        ("HORIZONTAL EXIT", "L5", Severity.HOLD),
        ("AREA OF REFUGE", "L6", Severity.HOLD),
    ):
        sign_list = decide(row("204", "204", name))
        assert sign_list.decisions[0].rule == rule
        assert severity in codes(sign_list).values()
        assert texts(sign_list) == [[name]]


def test_a_stair_door_makes_two_signs_and_the_level_faces_the_stair() -> None:
    # IBC 1023.9 / CBC 1023.9: a raised and brailled floor identification at each landing (C-33).
    sign_list = decide(row("S1", "S1", "STAIR A", hand="LH", **{"from": "CORRIDOR"}))
    corridor, stair = sign_list.requests
    assert (corridor.template, corridor.side, corridor.sign_id) == ("stair", Side.CORRIDOR, "J142-02-S1-C")
    assert (stair.template, stair.side, stair.sign_id) == ("stair-level", Side.STAIR, "J142-02-S1-S")
    assert texts(sign_list) == [["STAIR A"], ["LEVEL 2"]]
    # Seen from the stair the latch is on the other hand.
    assert "RIGHT" in corridor.hand
    assert "LEFT" in stair.hand
    assert (
        decide(row("S1", "S1", "STAIR A"), settings=Settings(wording=Wording(level="FLOOR")))
        .requests[1]
        .messages[0]
        .text
        == "FLOOR 2"
    )
    unknown = decide(row("S1", "S1", "STAIR A", level=""))
    assert "signlist/no-level" in {flag.code for flag in unknown.requests[1].flags}
    assert unknown.decisions[0].outcome is RowOutcome.SIGNED


def test_a_person_is_never_raised() -> None:
    # ADA 2010 216.1 exception 1: occupant names are exempt; they go into the window.
    for given in ("T. MARLOW", "MRS. LEE", "DR PATEL", "VOSS, A."):
        sign_list = decide(row("204", "204", given.replace(".", ""), given=given))
        assert texts(sign_list) == [["204"]], given
        assert sign_list.requests[0].template == "room-insert"
        assert "signlist/person-name" in codes(sign_list)
        forced = decide(row("204", "204", given.replace(".", ""), given=given, sign_type="ROOM", remarks="ADD ALT 1"))
        assert texts(forced) == [["204"]], given
        nameless = decide(row("", "", given, given=given))
        assert nameless.decisions[0].outcome is RowOutcome.HELD
        assert nameless.requests == ()
    told = Flag(code="naming/person-name", severity=Severity.ASK, message="a person")
    assert texts(decide(row("204", "204", "JO VOSS", flags=(told,)))) == [["204"]]
    assert texts(decide(row("204", "204", "DR KING LIBRARY"))) == [["204", "DR KING LIBRARY"]]


@pytest.mark.parametrize(
    ("word", "template", "severity"),
    [("NO", "", None), ("YES", "room", None), ("NUMBER ONLY", "number", Severity.ASK), ("B-3", "room", Severity.HOLD)],
)
def test_the_sign_type_column_wins(word: str, template: str, severity: Severity | None) -> None:
    sign_list = decide(row("204", "204", "LIBRARY", sign_type=word))
    assert [request.template for request in sign_list.requests] == ([template] if template else [])
    found = [flag.severity for flag in sign_list.decisions[0].flags if "sign-type" in flag.code]
    assert found == ([severity] if severity else [])
    assert texts(decide(row("204", "204", "CORRIDOR", sign_type="YES"))) == [["204", "CORRIDOR"]]
    # A life-safety sign is not dropped on the word of a column.
    exit_door = decide(row("204", "204", "EXIT", sign_type="NO"))
    assert exit_door.decisions[0].outcome is RowOutcome.HELD


def test_the_occupant_load_is_quoted_and_never_computed() -> None:
    # IBC 1004.9: posted in assembly rooms; the number is the designer's.
    for more, said in (
        ({"occupancy": "49"}, None),
        ({"occupancy": "50"}, "50"),
        ({"occupancy": "A-3"}, "A-3"),
        ({"remarks": "RATED, OCC LOAD 120, CLOSER"}, "120"),
    ):
        sign_list = decide(row("204", "204", "TRAINING ROOM", **more))
        messages = [flag.message for flag in sign_list.decisions[0].flags if flag.code == "signlist/occupant-load"]
        assert (said is None) == (not messages)
        assert all(said in message for message in messages)
    silent = decide(row("204", "204", "GYMNASIUM"))
    message = next(flag.message for flag in silent.requests[0].flags if flag.code == "signlist/occupant-load")
    assert "no number" in message
    assert not re.search(r"\d", message.replace("204", ""))


@pytest.mark.parametrize("name", ["NUMBER OF EXAM ROOMS", "QTY OF DOORS", "TOTAL NUMBER OF LABS"])
def test_a_count_of_rooms_is_no_room(name: str) -> None:
    sign_list = decide(row("", "", name))
    assert (sign_list.decisions[0].rule, sign_list.decisions[0].outcome) == ("ST9", RowOutcome.HELD)
    assert not sign_list.requests


@pytest.mark.parametrize(
    "name", ["CRASH CART ALCOVE", "STRETCHER BAY", "INFORMATION DESK", "WATER FOUNTAIN", "SUPPLY ALCOVE"]
)
def test_an_alcove_gets_a_sign_only_where_it_has_a_door(name: str) -> None:
    room, door = decide(row("", "104", name)), decide(row("104", "104", name))
    assert (room.decisions[0].rule, room.decisions[0].outcome) == ("N6", RowOutcome.UNSIGNED)
    assert room.decisions[0].reason.startswith("alcove, bay or desk without a door of its own")
    assert texts(door) == [["104", name]]
    assert codes(room)["signlist/alcove"] is codes(door)["signlist/alcove"] is Severity.ASK
    assert decide(row("", "104", "LOADING BAY")).decisions[0].rule == "R1"


def test_a_name_kept_off_the_sign_is_never_cut_because_there_is_no_number() -> None:
    for name in ("ARMORY", "PHARMACY", "SECURE STORAGE", "DRUG STORAGE ROOM"):
        sign_list = decide(row("", "", name))
        assert sign_list.decisions[0].outcome is RowOutcome.HELD
        assert codes(sign_list)["signlist/no-number"] is Severity.HOLD
    numbered = row("7", "7", "LAB")
    assert codes(decide(row("", "", "LIBRARY"), numbered))["signlist/no-number"] is Severity.ASK
    # In a file without any number it is one question, not one a row.
    numberless = decide(row("", "", "LIBRARY"), row("", "", "LAB"))
    assert codes(numberless)["signlist/no-number"] is Severity.NOTE
    assert [flag.code for flag in numberless.flags].count("signlist/no-numbers") == 1


def test_a_stair_without_number_and_letter_is_asked_about() -> None:
    # ADA 216.4.1 wants exit stairs told apart from other doors; which stair it is only the plan says.
    corridor_side, stair_side = decide(row("", "", "STAIR")).requests
    assert "signlist/stair-unnamed" in {flag.code for flag in corridor_side.flags if flag.severity is Severity.ASK}
    assert "signlist/stair-unnamed" not in {flag.code for flag in stair_side.flags}
    for named in (row("S1", "S1", "STAIR"), row("", "", "STAIR B"), row("", "", "NORTH STAIR")):
        assert "signlist/stair-unnamed" not in codes(decide(named))


def test_wording_is_no_question_where_nothing_is_raised() -> None:
    doubt = Flag(code="naming/slash", severity=Severity.ASK, message="'VEST/ENTRY': a slash")
    spelling = Flag(code="naming/spelling", severity=Severity.HOLD, message="'CORIDOR': a typo?")
    unsigned = decide(row("101", "101", "VESTIBULE", flags=(doubt,)))
    assert codes(unsigned)["naming/slash"] is Severity.NOTE
    assert codes(decide(row("102", "102", "COPY AND MAIL", flags=(doubt,))))["naming/slash"] is Severity.ASK
    # A doubt that may change the decision itself stays.
    assert decide(row("103", "103", "CORRIDOR", flags=(spelling,))).decisions[0].outcome is RowOutcome.HELD


@pytest.mark.parametrize(
    ("name", "rule"),
    [("MALE PATIENT LOCKER ROOM", "T8"), ("FEMALE STAFF SHOWER", "T8"), ("UNIVERSAL LOCKER ROOM", "T8"), ("LOCKER ROOM", "T6"),
     ("MECHANICAL STORAGE", "R0"), ("MECHANICAL ROOM", "U1"), ("MAIN ENTRANCE", "N1"), ("OUTDOOR COURTYARD", "N5"),
     ("OUTDOOR EQUIPMENT STORAGE", "R0"), ("MEDICATION ROOM", "U2")],
)  # fmt: skip
def test_names_of_real_lists_fire_the_rule_a_detailer_would_use(name: str, rule: str) -> None:
    assert decide(row("1", "1", name)).decisions[0].rule in (rule, "L4" if rule == "N1" else rule)


def job_rules(text: str) -> tuple[RuleTable, ...]:
    """[[rules]] of a job file, read as a job file is."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.toml"
        path.write_text(text, encoding="utf-8")
        return load_settings(path).rules


def ruled(text: str, *rows: NamedRow) -> SignList:
    return decide_signs(rows, replace(SETTINGS, rules=job_rules(text)))


def test_a_job_rule_stands_before_the_built_in_ones_and_its_id_beside_the_decision() -> None:
    text = '[[rules]]\nid = "K1"\nwords = ["KILN$", "STORAGE KILN"]\ntemplate = ""\n[[rules]]\nid = "K2"\nwords = ["KILN"]\ntemplate = "number"\nreason = "owner wants numbers"\n'
    sign_list = ruled(text, row("1", "1", "STORAGE KILN"), row("2", "2", "KILN OFFICE"), row("3", "3", "OFFICE"))
    assert [decision.rule for decision in sign_list.decisions] == ["K1", "K2", "O1"]
    assert [decision.reason for decision in sign_list.decisions][:2] == ["as the job file says", "owner wants numbers"]
    assert texts(sign_list)[0] == ["2"]
    told = next(flag for flag in sign_list.flags if flag.code == "signlist/job-rules")
    assert "adds K1, K2" in told.message


def test_a_job_changes_a_built_in_rule_and_what_it_does_not_say_stays() -> None:
    before = decide_signs([row("1", "1", "SERVER ROOM")], SETTINGS)
    assert texts(before) == [["1"]]
    sign_list = ruled('[[rules]]\nid = "U2"\ntemplate = "room"\n', row("1", "1", "SERVER ROOM"))
    assert sign_list.decisions[0].rule == "U2"
    assert texts(sign_list) == [["1", "SERVER ROOM"]]
    # The built-in question was about the sign that is not made any more.
    assert not any(flag.code == "signlist/security" for flag in sign_list.decisions[0].flags)
    words = ruled(
        '[[rules]]\nid = "U2"\nwords = ["=COUNTING ROOM"]\n', row("1", "1", "COUNTING ROOM"), row("2", "2", "VAULT")
    )
    assert [decision.rule for decision in words.decisions] == ["U2", "R1"]
    assert any(flag.code == "signlist/security" for flag in words.decisions[0].flags)


def test_a_rule_switched_off_leaves_the_row_to_the_next() -> None:
    sign_list = ruled('[[rules]]\nid = "U2"\noff = true\n', row("1", "1", "RECORDS STORAGE"), row("2", "2", "VAULT"))
    assert [decision.rule for decision in sign_list.decisions] == ["R0", "R1"]
    # Rules that the program itself falls back on are still known.
    person = ruled('[[rules]]\nid = "O1"\noff = true\n', row("1", "1", "J. SMITH"))
    assert texts(person) == [["1"]]


def test_a_job_rule_for_remarks_is_a_status_rule() -> None:
    text = '[[rules]]\nid = "Z9"\nremarks = ["=PHASE 2"]\ntemplate = ""\nseverity = "ASK"\nask = "phase 2 is ordered later"\n'
    sign_list = ruled(text, row("1", "1", "LAB", remarks="PHASE 2"), row("2", "2", "LAB"))
    assert [decision.rule for decision in sign_list.decisions] == ["Z9", "R1"]
    assert any(flag.code == "signlist/job-rule-z9" for flag in sign_list.decisions[0].flags)


@pytest.mark.parametrize(
    "text",
    [
        '[[rules]]\nid = "Z9"\nwords = ["STAIR A"]\ntemplate = ""\n',
        '[[rules]]\nid = "Z9"\nrow = ["STAIR A"]\ntemplate = ""\n',
        '[[rules]]\nid = "L1"\ntemplate = "room"\n',
        '[[rules]]\nid = "L1"\noff = true\n',
    ],
)
def test_a_job_rule_that_takes_a_life_safety_sign_away_is_asked_about(text: str) -> None:
    # ADA 216.4.1: doors at exit stairways have tactile signs.
    sign_list = ruled(text, row("S1", "S1", "STAIR A"))
    asked = [flag for flag in sign_list.decisions[0].flags if flag.code == "signlist/job-rule-over-life-safety"]
    assert [flag.severity for flag in asked] == [Severity.ASK]
    assert asked[0].who == "building official"


GOOD_RULE = 'id = "Z1"\nwords = ["A"]\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[rules]]\nwords = ['A']\n", "rule 1 of [[rules]] has no id"),
        ("[rules]\nid = 'Z1'\n", "rules must be tables ([[rules]])"),
        ("[[rules]]\nid = 'Z1'\nwords = [7]\n", "(Z1), words must be text in quotes, not 7"),
        ("[[rules]]\nid = 'Z1'\nkind = 'x'\ntemplate = ''\n", "rule 'Z1': 'kind' means nothing; known keys: also"),
        (f"[[rules]]\n{GOOD_RULE}", "'template' is missing"),
        (
            f"[[rules]]\n{GOOD_RULE}template = 'plaque'\n",
            "no sign template 'plaque'; known: 'number', 'room', or '' for no",
        ),
        (f"[[rules]]\n{GOOD_RULE}template = ''\nseverity = 'MAYBE'\n", "NOTE, ASK or HOLD"),
        (f"[[rules]]\n{GOOD_RULE}template = ''\nseverity = 'STOP'\n", "NOTE, ASK or HOLD"),
        (f"[[rules]]\n{GOOD_RULE}template = ''\ncategory = 'x'\n", "no category 'x'; known: assembly"),
        (f"[[rules]]\n{GOOD_RULE}template = ''\nalso = 'exit'\n", "the only second sign"),
        (f"[[rules]]\n{GOOD_RULE}template = ''\ncategory = 'named'\nrow = ['B']\n", "category 'status' only"),
        (f"[[rules]]\n{GOOD_RULE}template = ''\n[[rules]]\n{GOOD_RULE}template = ''\n", "twice"),
        ("[[rules]]\nid = 'Z1'\ntemplate = ''\n", "never fire"),
        ("[[rules]]\nid = 'z 1'\nwords = ['A']\ntemplate = ''\n", "an id is capitals and digits"),
        ("[[rules]]\nid = 'JOIN'\nwords = ['A']\ntemplate = ''\n", "belongs to a decision of the program"),
        ("[[rules]]\nid = 'ZZ'\noff = true\n", "no such rule to switch off; rules: ST1"),
        ("[[rules]]\nid = 'U2'\noff = false\n", '"off = true", and nothing else'),
        ("[[rules]]\nid = 'U2'\noff = true\nwords = ['A']\n", '"off = true", and nothing else'),
    ],
)
def test_a_mistake_in_a_job_rule_is_named(text: str, said: str) -> None:
    with pytest.raises(InputError, match=re.escape(said)):
        load_rules(job_rules=job_rules(text), templates=("room", "number"))


def test_rule_ids_and_codes_are_unique_and_every_rule_gives_a_reason() -> None:
    rules = load_rules().rules
    assert len({rule.id for rule in rules}) == len({rule.code for rule in rules}) == len(rules) > 35
    assert all(rule.reason and rule.who for rule in rules)
    assert all(rule.ask or rule.severity is Severity.NOTE for rule in rules)


def test_the_jobs_own_words_fire_their_rules() -> None:
    wording = Wording(janitor="SERVICE CLOSET", single_toilet="ANYBODY")
    sign_list = decide(row("1", "1", "SERVICE CLOSET"), row("2", "2", "ANYBODY"), settings=Settings(wording=wording))
    assert [decision.rule for decision in sign_list.decisions] == ["U3", "T3"]


def test_california_holds_a_floor_sign_until_the_level_of_exit_discharge_is_known() -> None:
    # CBC 1023.9 (second paragraph) and 11B-504.8: a raised five-point star left of the floor identification (C-33).
    federal = decide(row("S1", "S1", "STAIR A"))
    state = decide(row("S1", "S1", "STAIR A"), settings=Settings(job="J142", standard="us-california"))
    assert [flag.code for flag in federal.requests[1].flags] == []
    assert {flag.code: flag.severity for flag in state.requests[1].flags} == {"signlist/stair-star": Severity.HOLD}
    assert state.requests[0].flags == ()


DATA = Path(__file__).resolve().parents[3] / "shared" / "data"


@pytest.mark.skipif(not DATA.is_dir(), reason="open room names not at hand")
def test_no_open_room_name_gets_the_pictogram_of_the_other_sex_or_a_toilet_sign_for_nothing() -> None:
    """Every second name of a US government list of hospital room types, judged here by words alone."""
    names = (DATA / "hospital_room_names.txt").read_text(encoding="utf-8").upper().splitlines()
    rows = [row(str(at), str(at), re.sub(r"[^A-Z0-9 '-]+", " ", name)) for at, name in enumerate(names, start=1)]
    seen = {"men": 0, "women": 0, "all": 0, "toilet": 0}
    for request in decide(*rows).requests:
        words = set(re.findall(r"[A-Z']+", request.name_as_given))
        toilet = words & {"TOILET", "RESTROOM", "BATHROOM", "LAVATORY", "BATH"}
        if request.template not in ("restroom", "all-gender"):
            assert not toilet or words & {"STORAGE", "SUPPLY", "SUPPLIES"}, request.name_as_given
            continue
        seen[request.pictogram] += 1
        assert toilet, request.name_as_given
        sexes = {"women" for _ in words & {"FEMALE", "WOMEN", "WOMEN'S"}} | {
            "men" for _ in words & {"MALE", "MEN", "MEN'S"}
        }
        assert request.pictogram in (sexes if len(sexes) == 1 else {"all", "toilet"}), request.name_as_given
    assert min(count for pictogram, count in seen.items() if pictogram != "all") >= 2


def test_the_examples_in_the_demo_job_file_work() -> None:
    text = (demo_folder() / "alder-point.toml").read_text(encoding="utf-8")
    examples = re.sub(r"(?m)^# ?", "", text[text.index("# [[rules]]") :])
    book = load_rules(job_rules=job_rules(examples))
    assert (book.added, book.changed, book.switched_off) == (("AP1", "AP2"), ("U2",), ("N5",))


def test_an_occupant_load_sign_says_the_files_number_or_is_held_without_one() -> None:
    # IBC 1004.9: posted near the main exit; the number is the designer's.
    for more, text in (
        ({"occupancy": "A-3 / 120"}, "MAXIMUM OCCUPANCY\n120"),
        ({"occupancy": "1,250 PERSONS"}, "MAXIMUM OCCUPANCY\n1250"),
        ({"remarks": "OCCUPANT LOAD = 87"}, "MAXIMUM OCCUPANCY\n87"),
        ({"remarks": "OCC LOAD: TBD"}, ""),
        ({"occupancy": "120 / 80"}, ""),
        ({"occupancy": "15 SF PER PERSON"}, ""),
        ({"occupancy": "120", "remarks": "OCC LOAD 130"}, ""),
    ):
        sign_list = decide(row("204", "204", "GYMNASIUM", **more))
        room, load = sign_list.requests
        assert (load.template, load.messages, load.insert_text, load.side) == ("occupant-load", (), text, "R")
        assert load.sign_id == room.sign_id.removesuffix("-C") + "-L"
        assert holds(load.flags) is (not text)
        assert not holds(room.flags)
    for more in ({}, {"occupancy": "49"}):
        assert [one.template for one in decide(row("204", "204", "GYMNASIUM", **more)).requests] == ["room"]


def test_a_room_with_several_doors_posts_its_occupant_load_once() -> None:
    doors = [row(mark, "204", "GYMNASIUM", occupancy="300") for mark in ("204B", "204A")]
    made = decide(*doors)
    assert [(one.door, one.template) for one in made.requests] == [
        ("204B", "room"), ("204A", "room"), ("204A", "occupant-load"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "template"), [("MEN", "door-men"), ("WOMEN", "door-women"), ("RESTROOM", "door-all"), ("LIBRARY", "")]
)
def test_california_gets_a_symbol_on_the_door_beside_the_toilet_sign(name: str, template: str) -> None:
    # CBC 11B-703.7.2.6: triangle, circle, triangle on circle, on the door itself; ADA has no such symbol.
    for standard, wanted in (("us-california", True), ("us-strict", True), ("us-ada-2010", False)):
        first, *beside = decide(row("105", "105", name), settings=Settings(job="J142", standard=standard)).requests
        assert [one.template for one in beside] == ([template] if wanted and template else [])
        assert all((one.messages, one.pictogram, one.insert_text) == ((), "", "") for one in beside)
        assert [one.sign_id for one in beside] == [first.sign_id.removesuffix("-C") + "-D" for _ in beside]


def test_the_star_stands_at_the_level_of_exit_discharge_and_nowhere_else() -> None:
    # CBC 1023.9 and 11B-504.8.
    rows = (row("S1", "S1", "STAIR A", level="LEVEL 1"), row("S2", "S2", "STAIR A", level="LEVEL 2"))
    state = Settings(job="J142", standard="us-california")

    def stars(*more: NamedRow, **settings: str) -> list[str]:
        made = decide(*rows, *more, settings=replace(state, **settings)).requests
        levels = [one for one in made if one.template == "stair-level"]
        return ["held" if holds(one.flags) else one.pictogram for one in levels]

    assert stars() == ["held", "held"]
    assert stars(discharge_level="LEVEL 1") == ["star", ""]
    assert stars(discharge_level="2") == ["", "star"]
    assert stars(row("120", "120", "LOBBY", level="LEVEL 1", remarks="CLOSER, LEVEL OF EXIT DISCHARGE")) == ["star", ""]
    assert stars(discharge_level="LEVEL 1", standard="us-ada-2010") == ["", ""]
    asked = [flag for flag in decide(*rows, settings=state).flags if flag.code == "signlist/stair-star"]
    assert [flag.severity for flag in asked] == [Severity.ASK]


@pytest.mark.parametrize(
    ("word", "template"), [("RESTROOM SIGN", "all-gender"), ("ROOM SIGN", "room"), ("UTILITY SIGNS", "utility"), ("NO SIGN", "")]
)  # fmt: skip
def test_a_sign_type_may_say_sign(word: str, template: str) -> None:
    name = "RESTROOM" if "RESTROOM" in word else "LIBRARY"
    made = decide(row("204", "204", name, sign_type=word))
    assert [request.template for request in made.requests] == ([template] if template else [])
    assert not any(flag.code == "signlist/unknown-sign-type" for flag in made.decisions[0].flags)


def test_many_signs_that_say_the_same_name_and_no_number_are_asked_about_as_a_group() -> None:
    many = decide(*(row("", "", "INSTRUCTION") for _ in range(2, 302)))
    assert {decision.outcome for decision in many.decisions} == {RowOutcome.HELD}
    few = decide(*(row("", "", "INSTRUCTION") for _ in range(2, 5)))
    assert {decision.outcome for decision in few.decisions} == {RowOutcome.SIGNED}
    for made, count in ((many, 300), (few, 3)):
        (group,) = [flag for flag in made.flags if flag.code == "signlist/same-words"]
        assert group.severity is Severity.ASK
        assert f"stands on {count} rows" in group.message
    assert not any(flag.code == "signlist/same-words" for flag in decide(row("", "", "INSTRUCTION")).flags)
    tower = decide(*(row("", "", "MEN", level=f"LEVEL {at}") for at in range(1, 13)))
    assert {decision.outcome for decision in tower.decisions} == {RowOutcome.SIGNED}


@pytest.mark.parametrize("code", ["naming/proper-name", "naming/unknown-word"])
def test_a_hall_named_after_somebody_is_a_room(code: str) -> None:
    named = Flag(code=code, severity=Severity.ASK, message="a name")
    hall = replace(row("204", "204", "ORAN HALL"), flags=(named,))
    assert texts(decide(hall)) == [["204", "ORAN HALL"]]
    assert codes(decide(hall))["signlist/named-hall"] is Severity.ASK
    assert texts(decide(row("204", "204", "ST. ORAN HALL"))) == [["204", "ST. ORAN HALL"]]
    listed = Settings(job="J142", lexicon=Lexicon(names=("VALE",)))
    assert texts(decide(row("204", "204", "VALE HALL"), settings=listed)) == [["204", "VALE HALL"]]
    for corridor in ("HALL", "PATIENT HALL", "EAST HALL", "HALL 2"):
        assert texts(decide(replace(row("204", "204", corridor), flags=()))) == []


def test_an_outside_door_gets_the_exterior_sign_with_the_same_words() -> None:
    made = decide(
        row("120", "120", "MECHANICAL ROOM", **{"from": "EXTERIOR"}),
        row("121", "121", "SERVER ROOM", **{"from": "EXTERIOR"}),
    )
    assert [(one.template, one.side) for one in made.requests] == [("exterior", "X")] * 2
    assert texts(made) == [["120", "MECHANICAL ROOM"], ["121"]]
