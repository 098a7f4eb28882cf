"""Which rule decides which row. Common practice of the trade, no source, except where a clause is named."""

import re
from pathlib import Path

import pytest

from schedule2sign.errors import InputError
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind
from schedule2sign.model.settings import Settings, Wording
from schedule2sign.model.sign import RowOutcome, Side, SignList
from schedule2sign.model.source import Source
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
    ("ELEVATOR MACHINE ROOM", "E3", "utility", ["204", "ELEVATOR MACHINE ROOM"]),
    ("MEN", "T1", "restroom", ["MEN", "204"]),
    ("WOMEN", "T2", "restroom", ["WOMEN", "204"]),
    ("RESTROOM", "T3", "restroom", ["RESTROOM", "204"]),
    ("STAFF RESTROOM", "T3", "restroom", ["STAFF RESTROOM", "204"]),
    ("MEN'S LOCKER ROOM", "T8", "room", ["204", "MEN'S LOCKER ROOM"]),
    ("LOCKER ROOM", "T6", "room", ["204", "LOCKER ROOM"]),
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
        ({"remarks": "OCC LOAD: TBD"}, "OCC LOAD: TBD"),
    ):
        sign_list = decide(row("204", "204", "TRAINING ROOM", **more))
        messages = [flag.message for flag in sign_list.decisions[0].flags if flag.code == "signlist/occupant-load"]
        assert (said is None) == (not messages)
        assert all(said in message for message in messages)
    silent = decide(row("204", "204", "GYMNASIUM"))
    message = next(flag.message for flag in silent.requests[0].flags if flag.code == "signlist/occupant-load")
    assert "no number" in message
    assert not re.search(r"\d", message.replace("204", ""))


def test_a_job_may_override_and_add_rules(tmp_path: Path) -> None:
    extra = tmp_path / "rules.toml"
    extra.write_text(
        '[[rule]]\nid = "U2"\ncode = "security"\ncategory = "utility"\nwords = ["SERVER"]\ntemplate = "room"\n'
        'severity = "NOTE"\nwho = "owner"\nreason = "the owner wants the name"\n'
        '[[rule]]\nid = "K1"\ncode = "kiln"\ncategory = "named"\nwords = ["KILN$"]\ntemplate = ""\nseverity = "NOTE"\n'
        'who = "owner"\nreason = "no sign on kilns"\n',
        encoding="utf-8",
    )
    book = load_rules(extra=extra)
    rows = (row("1", "1", "SERVER ROOM"), row("2", "2", "KILN"), row("3", "3", "KILN ROOM"))
    sign_list = decide_signs(rows, SETTINGS, book)
    assert [decision.rule for decision in sign_list.decisions] == ["U2", "K1", "R1"]
    assert texts(sign_list) == [["1", "SERVER ROOM"], ["3", "KILN ROOM"]]
    assert [rule.id for rule in book.rules].index("K1") < [rule.id for rule in book.rules].index("L5")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[rule]]\nid = 'Z1'\n", "'code' is missing"),
        ("[[rule]]\nid = 'Z1'\nkind = 'x'\n", "'kind' means nothing"),
        ("[other]\n", "[[rule]] tables and nothing else"),
        ("[[rule", "not valid TOML"),
        (
            "[[rule]]\nid='Z1'\ncode='z'\ncategory='c'\ntemplate=''\nseverity='MAYBE'\nwho='x'\nreason='r'\nwords=['A']\n",
            "NOTE, ASK or HOLD",
        ),
        (
            "[[rule]]\nid='Z1'\ncode='z'\ncategory='c'\ntemplate=''\nseverity='NOTE'\nwho='x'\nreason='r'\n",
            "never fire",
        ),
    ],
)
def test_a_mistake_in_a_rule_file_is_named(tmp_path: Path, text: str, said: str) -> None:
    extra = tmp_path / "mine.toml"
    extra.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=re.escape(said)):
        load_rules(extra=extra)


def test_rule_ids_and_codes_are_unique_and_every_rule_gives_a_reason() -> None:
    rules = load_rules().rules
    assert len({rule.id for rule in rules}) == len({rule.code for rule in rules}) == len(rules) > 35
    assert all(rule.reason and rule.who for rule in rules)
    assert all(rule.ask or rule.severity is Severity.NOTE for rule in rules)


def test_the_jobs_own_words_fire_their_rules() -> None:
    wording = Wording(janitor="SERVICE CLOSET", single_toilet="ANYBODY")
    sign_list = decide(row("1", "1", "SERVICE CLOSET"), row("2", "2", "ANYBODY"), settings=Settings(wording=wording))
    assert [decision.rule for decision in sign_list.decisions] == ["U3", "T3"]
