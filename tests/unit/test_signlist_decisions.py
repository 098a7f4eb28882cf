"""Which row gets which sign. Decisions are common practice, no source, except where a clause stands beside them."""

import pytest

from schedule2sign.errors import AccountingError
from schedule2sign.model.flag import Severity
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind, Schedule
from schedule2sign.model.settings import Finality, Settings, SuffixMeaning
from schedule2sign.model.sign import RowOutcome, Side, SignList
from schedule2sign.model.source import Source
from schedule2sign.signlist.account import count_rows
from schedule2sign.signlist.decide import decide_signs
from schedule2sign.signlist.identity import MOST_CHARACTERS, sign_id


def row(
    name: str,
    *,
    number: str = "101",
    door: str = "101",
    at: int = 2,
    level: str = "LEVEL 1",
    given: str = "",
    **more: str,
) -> NamedRow:
    texts = {Field.DOOR: door, Field.ROOM_NUMBER: number, Field.ROOM_NAME: given or name}
    texts |= {Field(key.replace("_", "-")): text for key, text in more.items()}
    cells = tuple(Cell(field=field, text=text, column="A") for field, text in texts.items() if text)
    raw = RawRow(source=Source(file="doors.csv", sheet="", row=at), kind=RowKind.DATA, level=level, cells=cells)
    return NamedRow(raw=raw, door=door, room_number=number, name=name, name_as_given=given or name, level=level)


def decide(*rows: NamedRow, **settings: object) -> SignList:
    return decide_signs(rows, Settings(**settings))


@pytest.mark.parametrize(
    ("name", "rule", "template"),
    [
        ("CONFERENCE ROOM", "R1", "room"),
        ("CLASSROOM", "R1", "room"),
        ("OFFICE", "O1", "room-insert"),  # occupant names are exempt: ADA 2010 216.1 exception 1
        ("MEN", "T1", "restroom"),
        ("WOMEN", "T2", "restroom"),
        ("WOMEN'S LOCKER ROOM", "T8", "changing"),
        ("STAFF RESTROOM", "T3", "all-gender"),
        ("STAIR A", "L1", "stair"),  # exit stairway doors: ADA 2010 216.4.1
        ("EXIT", "L4", "exit"),
        ("MECHANICAL ROOM", "U1", "utility"),
        ("ELEVATOR MACHINE ROOM", "E3", "elevator-equipment"),
        ("SERVER ROOM", "U2", "number"),
        ("JANITOR", "U3", "utility"),
        ("SUITE 210", "S1", "suite"),
        ("GYMNASIUM", "A1", "room"),
        ("GYMNASIUM STORAGE", "R0", "room"),
        ("MENTOR ROOM", "R1", "room"),  # MEN inside a word is no men's room
        ("EXITING STUDIES", "R1", "room"),
    ],
)
def test_a_name_gets_its_rule_and_template(name: str, rule: str, template: str) -> None:
    made = decide(row(name))
    assert made.decisions[0].rule == rule
    assert made.requests[0].template == template


@pytest.mark.parametrize(
    ("name", "rule", "severity"),
    [
        ("CORRIDOR", "N1", None),
        ("ENTRY VESTIBULE", "N1", None),
        ("SHAFT", "C1", None),
        ("ELEVATOR", "E2", None),
        ("NOT USED", "ST1", None),
        ("ELEVATOR LOBBY", "E1", Severity.ASK),
    ],
)
def test_a_row_without_a_sign_says_why(name: str, rule: str, severity: Severity | None) -> None:
    (decision,) = decide(row(name)).decisions
    assert (decision.outcome, decision.rule, decision.sign_ids) == (RowOutcome.UNSIGNED, rule, ())
    assert decision.reason
    assert [flag.severity for flag in decision.flags] == ([severity] if severity else [])


@pytest.mark.parametrize("name", ["VACANT", "TBD", "AREA OF REFUGE", "SIM TO 204"])
def test_what_only_a_person_can_decide_is_listed_and_held(name: str) -> None:
    made = decide(row(name))
    assert made.decisions[0].outcome is RowOutcome.HELD
    assert any(flag.severity is Severity.HOLD for flag in made.requests[0].flags)


def test_a_persons_name_and_a_placeholder_are_never_raised() -> None:
    for name in ("T. MARLOW", "VACANT", "TBD"):
        (request,) = decide(row(name)).requests
        assert [message.text for message in request.messages] == ["101"]


def test_an_exit_by_others_is_held_since_it_blocks_the_inspection() -> None:
    (decision,) = decide(row("STAIR A", remarks="N.I.C.")).decisions
    assert decision.outcome is RowOutcome.HELD
    (plain,) = decide(row("STORAGE", remarks="N.I.C.")).decisions
    assert plain.outcome is RowOutcome.UNSIGNED


def test_one_stair_door_makes_two_signs() -> None:
    made = decide(row("STAIR B"))
    assert [(request.template, request.side) for request in made.requests] == [("stair", "C"), ("stair-level", "S")]
    assert [message.text for message in made.requests[1].messages] == ["LEVEL 1"]
    assert made.decisions[0].sign_ids == tuple(request.sign_id for request in made.requests)


def test_a_stair_without_a_level_holds_the_level_sign_alone() -> None:
    corridor, stair = decide(row("STAIR B", level="")).requests
    assert not any(flag.severity is Severity.HOLD for flag in corridor.flags)
    assert any(flag.code == "signlist/no-level" for flag in stair.flags)


def test_the_same_door_twice_is_one_sign_or_a_conflict() -> None:
    merged = decide(row("STORAGE"), row("STORAGE", at=3))
    assert [decision.outcome for decision in merged.decisions] == [RowOutcome.SIGNED, RowOutcome.MERGED]
    assert len(merged.requests) == 1
    conflict = decide(row("STORAGE"), row("LIBRARY", at=3))
    assert len({request.sign_id for request in conflict.requests}) == 2
    for request in conflict.requests:
        assert any(flag.code == "signlist/conflict" and flag.severity is Severity.HOLD for flag in request.flags)


def test_one_room_number_with_two_names_is_held_on_every_door() -> None:
    made = decide(row("STORAGE", door="101A"), row("LIBRARY", door="101B", at=3))
    assert all(any(flag.code == "signlist/conflict" for flag in request.flags) for request in made.requests)


@pytest.mark.parametrize("number", ["1O8", "239/240", "101-105 & 7", "2026-02-05", "101;DROP"])
def test_what_is_not_one_room_number_is_held(number: str) -> None:
    (request,) = decide(row("STORAGE", number=number)).requests
    assert any(flag.code == "signlist/odd-number" for flag in request.flags)


@pytest.mark.parametrize("number", ["101", "007", "101A", "B-014", "2-104", "01-101", "101.10", "P1.07", "S102"])
def test_what_is_one_room_number_passes(number: str) -> None:
    (request,) = decide(row("STORAGE", number=number), suffix=SuffixMeaning.INNER_ROOM).requests
    assert not any(flag.severity is Severity.HOLD for flag in request.flags)
    assert request.messages[0].text == number


def test_a_door_mark_stands_in_for_a_number_only_with_a_question() -> None:
    (request,) = decide(row("STORAGE", number="")).requests
    assert [flag.code for flag in request.flags] == ["signlist/door-mark-as-number"]
    doors = (row("STORAGE", number="", door="101A"), row("LIBRARY", number="", door="101B", at=3))
    for request in decide(*doors).requests:
        assert any(flag.severity is Severity.HOLD for flag in request.flags)
    same = (row("STORAGE", number="", door="101A"), row("STORAGE", number="", door="101B", at=3))
    assert {request.messages[0].text for request in decide(*same, suffix=SuffixMeaning.DOOR).requests} == {"101"}


def test_a_pair_is_one_sign_and_a_question() -> None:
    # ADA 2010 703.4.2: on the inactive leaf, or right of the right-hand door.
    (request,) = decide(row("LIBRARY", leaf="PR 3-0x7-0")).requests
    (flag,) = request.flags
    assert (flag.code, flag.severity, flag.clause) == ("signlist/pair", Severity.ASK, "ADA 703.4.2")


def test_the_file_says_when_it_names_no_exit_and_whether_numbers_are_final() -> None:
    codes = {flag.code for flag in decide(row("STORAGE")).flags}
    assert "signlist/numbers-provisional" in codes
    assert any("egress" in code or "exit" in code for code in codes), codes
    final = {flag.code for flag in decide(row("STORAGE"), finality=Finality.FINAL).flags}
    assert "signlist/numbers-provisional" not in final


def test_ids_come_from_the_source_identity_not_the_row() -> None:
    rows = [row("STORAGE", door=str(n), number=str(n), at=n) for n in range(101, 110)]
    forward = {request.door: request.sign_id for request in decide(*rows).requests}
    moved = [row("STORAGE", door=str(n), number=str(n), at=300 - n) for n in reversed(range(101, 110))]
    assert {request.door: request.sign_id for request in decide(*moved).requests} == forward


@pytest.mark.parametrize("place", ["../../x", "CON", "a/b", "9" * 300, "101a", "ÉTÉ", "..", "A:B", "-"])
def test_an_id_is_always_a_safe_file_name(place: str) -> None:
    made = sign_id("J1", "LEVEL 2", place, Side.CORRIDOR)
    assert set(made) <= set("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_")
    assert len(made) <= MOST_CHARACTERS
    assert made.startswith("J1-02-")


def test_a_lost_or_invented_row_breaks_the_account() -> None:
    rows = (row("STORAGE"), row("CORRIDOR", door="102", number="102", at=3))
    made = decide(*rows)
    schedule = Schedule(inputs=(), tables=(), rows=tuple(item.raw for item in rows), flags=())
    records = [_record(request) for request in made.requests]
    account = count_rows(schedule, made, records)
    assert dict(account.outcomes) == {"signed": 1, "unsigned": 1, "held": 0, "merged": 0}
    for broken in (
        (schedule, SignList(decisions=made.decisions[:1], requests=made.requests, flags=()), records),
        (Schedule(inputs=(), tables=(), rows=schedule.rows[:1], flags=()), made, records),
        (Schedule(inputs=(), tables=(), rows=(*schedule.rows, schedule.rows[0]), flags=()), made, records),
        (schedule, made, []),
        (schedule, made, records * 2),
    ):
        with pytest.raises(AccountingError):
            count_rows(*broken)


def _record(request):
    from schedule2sign.model.job import SignRecord, SignWork, Status

    work = SignWork(key="", made_with="", flags=(), design="", braille=())
    return SignRecord(request=request, work=work, flags=(), status=Status.HELD, drawn_as=())
