"""Doors, rooms and sides: joining, duplicates, pairs, ways in. Common practice, no source, where no clause is named."""

from pathlib import Path

import pytest

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind
from schedule2sign.model.settings import Finality, Settings, SuffixMeaning
from schedule2sign.model.sign import RowOutcome, Side, SignList
from schedule2sign.model.source import Source
from schedule2sign.signlist.decide import decide_signs

DATA = Path(__file__).resolve().parents[3] / "shared" / "data"
_next_row = iter(range(2, 100_000))


def row(door: str = "", number: str = "", name: str = "", *, level: str = "LEVEL 2", flags=(), **more) -> NamedRow:
    fields = {"door": door, "number": number, "name": name, **more}
    cells = tuple(
        Cell(field=Field(key.replace("_", "-")), text=text, column=chr(65 + at))
        for at, (key, text) in enumerate(fields.items())
        if text
    )
    source = Source(file="doors.xlsx", sheet="D", row=next(_next_row))
    given = tuple(cell.text for cell in cells)
    raw = RawRow(source=source, kind=RowKind.DATA, level=level, cells=cells, as_given=given)
    return NamedRow(
        raw=raw, door=door.upper(), room_number=number.upper(), name=name, name_as_given=name, level=level, flags=flags
    )


def decide(*rows: NamedRow, **settings) -> SignList:
    return decide_signs(rows, Settings(job="J142", **settings))


def texts(sign_list: SignList) -> dict[str, list[str]]:
    return {request.door or request.room_number: [m.text for m in request.messages] for request in sign_list.requests}


def codes(sign_list: SignList, at: int) -> dict[str, Severity]:
    return {flag.code: flag.severity for flag in sign_list.decisions[at].flags}


def outcomes(sign_list: SignList) -> list[RowOutcome]:
    return [decision.outcome for decision in sign_list.decisions]


CORRIDOR = row(number="200", name="CORRIDOR")
SIGNED, UNSIGNED, HELD, MERGED = RowOutcome.SIGNED, RowOutcome.UNSIGNED, RowOutcome.HELD, RowOutcome.MERGED


def test_a_door_joins_the_longest_room_number_that_begins_its_mark() -> None:
    rooms = (row(number="143", name="LIBRARY"), row(number="143A", name="MAP ROOM"), row(number="14", name="CAFE"))
    sign_list = decide(*rooms, row("143AA"), row("143-1"), row("14"))
    assert texts(sign_list) == {"143AA": ["143A", "MAP ROOM"], "143-1": ["143", "LIBRARY"], "14": ["14", "CAFE"]}
    assert outcomes(sign_list) == [MERGED] * 3 + [SIGNED] * 3
    # 101 is no door of room 10.
    apart = decide(row(number="10", name="CAFE"), row("101"))
    assert codes(apart, 1)["signlist/door-mark-as-number"] is Severity.HOLD


def test_a_doubt_about_the_rooms_name_holds_the_sign_of_its_door() -> None:
    doubt = Flag(code="naming/unknown-abbreviation", severity=Severity.HOLD, message="XQZ is on no list")
    sign_list = decide(row(number="204", name="XQZ ROOM", flags=(doubt,)), row("204"), row("204B"))
    assert outcomes(sign_list) == [MERGED, HELD, HELD]
    assert all(doubt in request.flags for request in sign_list.requests)
    assert [request.name_as_given for request in sign_list.requests] == ["XQZ ROOM", "XQZ ROOM"]


def test_what_the_room_schedule_says_of_a_room_holds_at_its_doors() -> None:
    rooms = (
        row(number="204", name="CAFE", remarks="N.I.C."),
        row(number="205", name="LIBRARY", final_number="1205"),
        row(number="206", name="LAB", sign_type="NO"),
    )
    sign_list = decide(*rooms, row("204"), row("205"), row("206"))
    assert outcomes(sign_list)[3:] == [UNSIGNED, SIGNED, UNSIGNED]
    assert texts(sign_list) == {"205": ["1205", "LIBRARY"]}


def test_sources_that_disagree_are_both_shown_and_held() -> None:
    rooms = (row(number="204", name="CAFE"), row(number="205", name="LIBRARY"))
    beside = decide(*rooms, row("204", adjacent="205; 200"))
    led = decide(*rooms, row("204", to="205"))
    for sign_list in (beside, led):
        flag = next(flag for flag in sign_list.decisions[2].flags if flag.code == "signlist/sources-disagree")
        assert flag.severity is Severity.HOLD
        assert "204 CAFE" in flag.message
        assert "205" in flag.message
        assert sign_list.decisions[2].outcome is HELD
    elsewhere = decide(row(number="204", name="CAFE", level=""), row("204", "204", "BISTRO"))
    assert outcomes(elsewhere) == [HELD, HELD]
    assert texts(elsewhere) == {"204": ["204", "BISTRO"]}
    assert outcomes(decide(*rooms, row("204", adjacent="204; 200"))) == [MERGED, SIGNED, SIGNED]


def test_the_same_data_twice_is_one_sign_and_different_data_holds_both() -> None:
    same = decide(row("204", "204", "CAFE"), row("204", "204", "CAFE"))
    assert sorted(outcomes(same)) == [MERGED, SIGNED]
    assert len(same.requests) == 1
    names = decide(row("204", "204", "CAFE"), row("204", "204", "BISTRO"))
    assert outcomes(names) == [HELD, HELD]
    message = next(flag.message for flag in names.decisions[0].flags if flag.code == "signlist/conflict")
    assert "CAFE" in message
    assert "BISTRO" in message
    assert len({request.sign_id for request in names.requests}) == 2
    hands = decide(row("204", "204", "CAFE", hand="LH"), row("204", "204", "CAFE", hand="RH"))
    assert outcomes(hands) == [HELD, HELD]
    # One room number with two names on two doors.
    doors = decide(row("204A", "204", "CAFE"), row("204B", "204", "BISTRO"))
    assert outcomes(doors) == [HELD, HELD]
    # The same name with different numbers is normal.
    assert outcomes(decide(row("1", "1", "CAFE"), row("2", "2", "CAFE"))) == [SIGNED, SIGNED]


def test_two_rooms_that_would_be_posted_under_one_number_are_held() -> None:
    sign_list = decide(row("1", "1", "CAFE", final_number="900"), row("2", "2", "LAB", final_number="900"))
    assert outcomes(sign_list) == [HELD, HELD]


def test_several_doors_to_one_room_get_the_same_sign_each_and_are_asked_about() -> None:
    sign_list = decide(
        CORRIDOR, row("204A", "204", "CAFE", **{"from": "200"}), row("204B", "204", "CAFE", **{"from": "200"})
    )
    first, second = sign_list.requests
    assert first.messages == second.messages
    assert first.sign_id != second.sign_id
    assert (
        codes(sign_list, 1)["signlist/several-doors"] is codes(sign_list, 2)["signlist/several-doors"] is Severity.ASK
    )


def test_a_pair_is_one_sign_and_the_active_leaf_is_asked() -> None:
    # ADA 2010 703.4.2: one active leaf, on the inactive leaf; two, to the right of the right-hand door.
    sign_list = decide(row("204", "204", "CAFE", leaf="PR 3-0x7-0", hand="RH"))
    flag = next(flag for flag in sign_list.requests[0].flags if flag.code == "signlist/pair")
    assert (flag.severity, flag.clause) == (Severity.ASK, "ADA 703.4.2")
    assert len(sign_list.requests) == 1
    assert "inactive leaf" in sign_list.requests[0].hand
    assert "signlist/pair" not in codes(decide(row("204", "204", "CAFE", leaf="3-0x7-0")), 0)
    rows = decide(row("104L", "104", "CAFE"), row("104R", "104", "CAFE"))
    assert outcomes(rows) == [MERGED, SIGNED]
    assert codes(rows, 0)["signlist/pair-rows"] is Severity.ASK
    more = decide(row("104K", "104", "CAFE"), row("104L", "104", "CAFE"), row("104R", "104", "CAFE"))
    assert outcomes(more) == [SIGNED] * 3


@pytest.mark.parametrize(
    ("hand", "word"),
    [("LH", "RIGHT"), ("LHR", "RIGHT"), ("RH", "LEFT"), ("rhr", "LEFT"), ("LHRB", ""), ("?", ""), ("LH/RH", "")],
)
def test_the_latch_side_is_told_as_you_face_the_door_or_asked(hand: str, word: str) -> None:
    # ADA 2010 703.4.2: alongside the door at the latch side. Hinges left, latch right: common practice, no source.
    sign_list = decide(row("204", "204", "CAFE", hand=hand))
    assert (f"to the {word} of the door as you face it" in sign_list.requests[0].hand) == bool(word)
    assert ("signlist/hand" in codes(sign_list, 0)) == (not word)
    blank = decide(row("204", "204", "CAFE", hand="LH"), row("205", "205", "LAB"))
    assert "signlist/hand" in codes(blank, 1)


def test_glass_and_quantity_are_asked() -> None:
    sign_list = decide(
        row("204", "204", "CAFE", glass="SIDELITE", quantity="3"), row("205", "205", "LAB", glass="HG", quantity="1")
    )
    assert {"signlist/glass", "signlist/quantity"} <= set(codes(sign_list, 0))
    assert not {"signlist/glass", "signlist/quantity"} & set(codes(sign_list, 1))
    assert [request.quantity for request in sign_list.requests] == [1, 1]


def test_a_door_between_two_rooms_is_a_way_in_or_it_is_not() -> None:
    library, story = row("128", "128", "LIBRARY", **{"from": "200"}), row("129", "129", "STORY ROOM", **{"from": "128"})
    only = decide(CORRIDOR, library, story)
    assert codes(only, 2)["signlist/inner-room"] is Severity.ASK
    assert outcomes(only)[2] is SIGNED
    second = decide(CORRIDOR, library, story, row("129A", "129", "STORY ROOM", **{"from": "200"}))
    assert outcomes(second)[2:] == [UNSIGNED, SIGNED]
    assert second.decisions[2].rule == "N2"
    for name in ("STORAGE", "RESTROOM", "CLOSET"):
        inner = decide(CORRIDOR, library, row("128A", "128A", name, **{"from": "128"}))
        assert outcomes(inner)[2] is UNSIGNED, name


def test_a_door_named_after_the_corridor_signs_the_room_behind_it() -> None:
    vestibule, lab = row(number="153", name="VESTIBULE"), row(number="158", name="LAB")
    sign_list = decide(CORRIDOR, vestibule, lab, row("153A", adjacent="153; 200"), row("153B", adjacent="153; 158"))
    assert texts(sign_list) == {"153B": ["158", "LAB"]}
    assert codes(sign_list, 4)["signlist/read-from-circulation"] is Severity.ASK
    assert outcomes(sign_list) == [UNSIGNED, MERGED, MERGED, UNSIGNED, SIGNED]


def test_outside_doors_are_never_given_an_invented_exit() -> None:
    # ADA 2010 216.4.1 names exit doors; a door schedule does not say which doors those are.
    sign_list = decide(
        row("100", "100", "ENTRY VESTIBULE", **{"from": "EXTERIOR"}),
        row("120", "120", "MECHANICAL", **{"from": "EXTERIOR"}),
        row("121", "121", "CAFE", adjacent="121"),
    )
    assert sign_list.decisions[0].rule == "L4"
    assert codes(sign_list, 0)["signlist/exit-candidate"] is Severity.ASK
    assert outcomes(sign_list) == [UNSIGNED, SIGNED, SIGNED]
    assert sign_list.requests[0].side is Side.EXTERIOR
    assert codes(sign_list, 1)["signlist/exterior"] is Severity.ASK
    assert codes(sign_list, 2)["signlist/other-side-unknown"] is Severity.ASK
    assert all("EXIT" not in message.text for request in sign_list.requests for message in request.messages)


def test_what_a_suffix_letter_means_is_asked_once() -> None:
    doors = (row("121"), row("121A"), row("122"))
    asked = decide(*doors)
    assert outcomes(asked) == [SIGNED, HELD, SIGNED]
    assert [flag.code for flag in asked.flags].count("signlist/suffix-meaning") == 1
    assert texts(decide(*doors, suffix=SuffixMeaning.DOOR))["121A"] == ["121"]
    assert texts(decide(*doors, suffix=SuffixMeaning.INNER_ROOM))["121A"] == ["121A"]
    # A room column that says 121A leaves nothing to ask.
    named = decide(row("121", "121", "LAB"), row("121A", "121A", "PREP ROOM"))
    assert "signlist/suffix-meaning" not in {flag.code for flag in named.flags}


def test_numbers_that_are_not_final_are_provisional_or_held() -> None:
    rows = (row("1", "1", "CAFE"),)
    assert "signlist/numbers-provisional" in {flag.code for flag in decide(*rows).flags}
    assert "signlist/numbers-provisional" not in {flag.code for flag in decide(*rows, finality=Finality.FINAL).flags}
    assert outcomes(decide(*rows, finality=Finality.NOT_FINAL)) == [HELD]
    posted = row("1", "1", "CAFE", final_number="501")
    assert texts(decide(posted, finality=Finality.NOT_FINAL)) == {"1": ["501", "CAFE"]}
    assert outcomes(decide(posted, finality=Finality.NOT_FINAL)) == [SIGNED]
    assert codes(decide(posted, row("2", "2", "LAB")), 1)["signlist/no-final-number"] is Severity.ASK


@pytest.mark.parametrize("number", ["101/102", "101-105/6", "TBD?", "2026-02-05", "1.5E10", "ROOM", "½"])
def test_a_number_that_cannot_be_one_is_held(number: str) -> None:
    assert codes(decide(row("7", number, "CAFE")), 0)["signlist/odd-number"] is Severity.HOLD


@pytest.mark.parametrize(
    "number", ["7", "007", "101", "101A", "B-014", "2-104", "P1.07", "101.10", "S101A", "1A-220B", "143AA"]
)
def test_the_forms_of_real_room_numbers_pass(number: str) -> None:
    assert "signlist/odd-number" not in codes(decide(row(number, number, "CAFE")), 0)


def test_a_row_without_anything_to_go_by_is_held_not_lost() -> None:
    sign_list = decide(row("", "", "", remarks="SEE PLAN"))
    assert outcomes(sign_list) == [HELD]
    assert codes(sign_list, 0)["signlist/no-identity"] is Severity.HOLD


def test_what_the_file_does_not_contain_is_said() -> None:
    def missing(*rows: NamedRow) -> str:
        return next((flag.message for flag in decide(*rows).flags if flag.code == "signlist/no-egress-rows"), "")

    assert "no EXIT and no stair-level and no area-of-refuge sign" in missing(row("1", "1", "CAFE"))
    assert "no EXIT" not in missing(row("1", "1", "EXIT"))
    every = (row("1", "1", "EXIT"), row("2", "2", "STAIR A"), row("3", "3", "AREA OF REFUGE"))
    assert missing(*every) == ""


def test_a_lobby_people_walk_through_is_circulation() -> None:
    sign_list = decide(
        row("100", "100", "LOBBY"), row("102", "102", "CAFE", **{"from": "100"}), row("300", "300", "LOBBY")
    )
    assert [(d.rule, d.outcome) for d in sign_list.decisions] == [("N1", UNSIGNED), ("R1", SIGNED), ("N4", SIGNED)]


def test_partitions_and_shutters_get_no_room_sign() -> None:
    sign_list = decide(row("T-1", remarks="Toilet_Partition"), row("C1", "110", "DOCK", leaf="OVERHEAD DOOR 10x10"))
    assert outcomes(sign_list)[1] is UNSIGNED
    assert sign_list.decisions[1].rule == "N3"


@pytest.mark.skipif(not DATA.is_dir(), reason="open schedules not at hand")
def test_doors_of_an_open_model_join_rooms_as_its_spaces_say() -> None:
    """Door mark against adjacent space in a public BIM sample: all doors but its toilet partitions agree."""
    import csv
    import io

    from schedule2sign.intake.reader import read_schedule
    from schedule2sign.naming.rename import name_rows
    from schedule2sign.naming.vocabulary import load_vocabulary

    files = [DATA / "office_a_rooms.csv", DATA / "office_a_doors.csv"]
    schedule = read_schedule(files, columns={}, sheets=())
    settings = Settings(job="OA")
    rows = name_rows(schedule.rows, load_vocabulary(settings), settings)
    sign_list = decide_signs(rows, settings)
    doors = list(csv.DictReader(io.StringIO(files[1].read_text(encoding="utf-8"))))
    rooms = {record["SpaceName"] for record in csv.DictReader(io.StringIO(files[0].read_text(encoding="utf-8")))}
    assert len(sign_list.decisions) == len(doors) + 99
    agreeing = 0
    for record in doors:
        longest = max((number for number in rooms if record["Mark"].startswith(number)), key=len, default=None)
        agreeing += longest is not None and longest in record["Spaces"].split("; ")
    partitions = [decision for decision in sign_list.decisions if decision.rule == "N3"]
    assert agreeing == len(doors) - len(partitions) == 93
    by_door = {request.door: request for request in sign_list.requests}
    spaces = {record["Mark"]: record["Spaces"].split("; ") for record in doors}
    assert all(request.room_number in spaces[door] for door, request in by_door.items() if door)
    # Every door with two spaces whose own room is no circulation space has a sign or a reason.
    assert all(decision.reason for decision in sign_list.decisions)
    assert {decision.rule for decision in sign_list.decisions if decision.row.door.startswith("T-")} == {"N3"}


def test_a_name_of_its_own_that_the_room_schedule_contradicts_holds_the_door() -> None:
    sign_list = decide(row(number="101", name="TBD"), row("101", "", "CAFE"))
    assert codes(sign_list, 1)["signlist/sources-disagree"] is Severity.HOLD
    assert texts(sign_list) == {"101": ["101", "CAFE"]}
    agreed = decide(row(number="101", name="CAFE"), row("101", "", "CAFE"))
    assert outcomes(agreed) == [MERGED, SIGNED]


def test_what_one_door_says_is_not_said_of_its_neighbor() -> None:
    sign_list = decide(
        row("103", "103", "HALL OF FAME", remarks="ADD ALT 1", insert="X"), row("103A", "103", "HALL OF FAME")
    )
    assert outcomes(sign_list) == [HELD, SIGNED]
    assert sign_list.requests[1].insert_text == ""
    # A door that only its neighbor names inherits the doubt about that name.
    doubt = Flag(code="naming/spelling", severity=Severity.HOLD, message="a doubt")
    named = decide(row("103", "103", "LAUNDARY", flags=(doubt,)), row("103A", "103"))
    assert outcomes(named) == [HELD, HELD]
