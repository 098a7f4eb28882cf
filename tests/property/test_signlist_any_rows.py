"""Whatever the rows and their order: one decision a row, nothing lost, nothing raised that must not be, ids free of order."""

import re
from collections import Counter
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from schedule2sign.model.flag import Flag, Severity, holds
from schedule2sign.model.job import SignRecord, SignWork, Status
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind, Schedule
from schedule2sign.model.settings import Finality, Settings, SuffixMeaning
from schedule2sign.model.sign import RowOutcome, SignList
from schedule2sign.model.source import Source
from schedule2sign.signlist.account import count_rows
from schedule2sign.signlist.decide import decide_signs

NO_WORK = SignWork(key="", made_with="", flags=(), design="", braille=())

_MARKS = ["", "101", "101A", "101a", "101B", "101L", "101R", "102", "S1", "..\\x", "1E10", "T" * 300, "101/102"]
_NAMES = [
    "", "CAFE", "CORRIDOR", "STAIR A", "STAIR", "MEN", "RESTROOM", "OFFICE", "CLOSET", "STORAGE", "EXIT", "LOBBY", "TBD", "N.I.C.",
    "SIM TO 102", "T. MARLOW", "AREA OF REFUGE", "SUITE 101", "SERVER ROOM", "GYMNASIUM", "OPEN OFFICE", "ELEVATOR",
]  # fmt: skip
_DOUBT = Flag(code="naming/spelling", severity=Severity.HOLD, message="a doubt")


@st.composite
def _row(draw: st.DrawFn) -> NamedRow:
    fields = {
        Field.DOOR: draw(st.sampled_from(_MARKS)),
        Field.ROOM_NUMBER: draw(st.sampled_from(_MARKS)),
        Field.ROOM_NAME: draw(st.sampled_from(_NAMES)),
        Field.FROM_ROOM: draw(st.sampled_from(["", "", "101", "102", "EXTERIOR", "CORRIDOR"])),
        Field.TO_ROOM: draw(st.sampled_from(["", "", "", "102"])),
        Field.ADJACENT: draw(st.sampled_from(["", "", "101; 102", "101"])),
        Field.SIGN_TYPE: draw(st.sampled_from(["", "", "", "NO", "YES", "ROOM", "B"])),
        Field.LEAF: draw(st.sampled_from(["", "PR"])),
        Field.HAND: draw(st.sampled_from(["", "LH", "?"])),
        Field.INSERT: draw(st.sampled_from(["", "", "A. VOSS"])),
        Field.FINAL_NUMBER: draw(st.sampled_from(["", "", "", "901"])),
        Field.REMARKS: draw(st.sampled_from(["", "", "EXISTING", "ADD ALT 1", "OCC LOAD: TBD"])),
    }
    level = draw(st.sampled_from(["", "LEVEL 1", "LEVEL 2"]))
    cells = tuple(Cell(field=field, text=text, column="A") for field, text in fields.items() if text)
    texts = tuple(cell.text for cell in cells)
    source = Source(file="a.xlsx", sheet="S", row=1)
    return NamedRow(
        raw=RawRow(source=source, kind=RowKind.DATA, level=level, cells=cells, as_given=(*texts, level)),
        door=fields[Field.DOOR].upper(),
        room_number=fields[Field.ROOM_NUMBER].upper(),
        name=fields[Field.ROOM_NAME],
        name_as_given=fields[Field.ROOM_NAME],
        level=level,
        flags=draw(st.sampled_from([(), (), (_DOUBT,)])),
    )


def _placed(rows: list[NamedRow]) -> list[NamedRow]:
    """The same rows, standing one under the other."""
    sources = (Source(file="a.xlsx", sheet="S", row=at) for at in range(2, len(rows) + 2))
    return [replace(row, raw=replace(row.raw, source=source)) for row, source in zip(rows, sources, strict=True)]


_rows = st.lists(_row(), max_size=12)
_settings = st.builds(
    Settings,
    job=st.sampled_from(["J142", "CON", "ABCDEFGHIJKL"]),
    suffix=st.sampled_from(list(SuffixMeaning)),
    finality=st.sampled_from(list(Finality)),
    standard=st.sampled_from(["us-ada-2010", "us-california"]),
)


def _records(sign_list: SignList) -> list[SignRecord]:
    return [
        SignRecord(
            request=request, work=NO_WORK, flags=request.flags, drawn_as=(),
            status=Status.HELD if holds(request.flags) else Status.RELEASED,
        )
        for request in sign_list.requests
    ]  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(_rows, _settings)
def test_every_row_ends_in_one_decision_and_the_counts_add_up(rows: list[NamedRow], job: Settings) -> None:
    rows = _placed(rows)
    sign_list = decide_signs(rows, job)
    assert [decision.row for decision in sign_list.decisions] == rows
    assert all(decision.rule and decision.reason for decision in sign_list.decisions)
    schedule = Schedule(inputs=(), tables=(), rows=tuple(row.raw for row in rows), flags=())
    account = count_rows(schedule, sign_list, _records(sign_list))
    assert sum(dict(account.outcomes).values()) == len(rows)
    for decision in sign_list.decisions:
        made = [request for request in sign_list.requests if request.sign_id in decision.sign_ids]
        assert (decision.outcome is RowOutcome.SIGNED) == any(not holds(request.flags) for request in made)
        # A doubt about the row always holds its signs, and what is held always says why.
        assert not (holds(decision.row.flags) and decision.outcome is RowOutcome.SIGNED)
        assert holds(decision.flags) or decision.outcome is not RowOutcome.HELD


@settings(max_examples=300, deadline=None)
@given(_rows, _settings)
def test_every_sign_says_something_it_may_say_under_a_safe_id(rows: list[NamedRow], job: Settings) -> None:
    sign_list = decide_signs(_placed(rows), job)
    ids = [request.sign_id for request in sign_list.requests]
    assert len({sign_id.casefold() for sign_id in ids}) == len(ids)
    for request in sign_list.requests:
        assert len(request.sign_id) <= 40
        assert set(request.sign_id) <= set("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_")
        raised = {message.text for message in request.messages}
        # Flat text and symbols raise nothing; their words come from the file or there are none.
        assert raised or request.template in ("occupant-load", "door-men", "door-women", "door-all")
        assert request.template != "occupant-load" or not re.sub(r"MAXIMUM OCCUPANCY\n\d+", "", request.insert_text)
        assert all(text == text.upper().strip() != "" for text in raised)
        # Never cut: a person (ADA 216.1 exception 1), a status, or EXIT where the schedule does not say so.
        assert not raised & {"T. MARLOW", "A. VOSS", "N.I.C.", "TBD"}
        assert "EXIT" not in raised or request.name_as_given in ("EXIT", "SIM TO 102")


def _story(sign_list: SignList) -> Counter:
    """What was decided, without where each row stands."""
    by_id = {request.sign_id: request for request in sign_list.requests}
    return Counter(
        (
            decision.row.raw.cells,
            decision.row.level,
            decision.row.flags,
            decision.outcome,
            decision.rule,
            tuple(
                (sign_id, by_id[sign_id].messages, by_id[sign_id].template, by_id[sign_id].side, by_id[sign_id].hand)
                for sign_id in decision.sign_ids
            ),
            tuple(sorted((flag.code, flag.severity) for flag in decision.flags)),
        )
        for decision in sign_list.decisions
    )


@settings(max_examples=300, deadline=None)
@given(st.data(), _rows, _settings)
def test_another_order_of_rows_changes_no_id_and_no_decision(
    data: st.DataObject, rows: list[NamedRow], job: Settings
) -> None:
    turned = data.draw(st.permutations(rows))
    first, second = decide_signs(_placed(rows), job), decide_signs(_placed(list(turned)), job)
    assert _story(first) == _story(second)
    assert [(flag.code, flag.message) for flag in first.flags] == [(flag.code, flag.message) for flag in second.flags]
