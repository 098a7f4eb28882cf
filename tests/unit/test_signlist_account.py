"""The row account finds a row that is off by one (trade practice: the first thing a shop checks; common practice, no source)."""

from dataclasses import replace

import pytest

from schedule2sign.errors import AccountingError
from schedule2sign.model.job import SignRecord, SignWork, Status
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind, Schedule
from schedule2sign.model.settings import Settings
from schedule2sign.model.sign import RowOutcome, SignList
from schedule2sign.model.source import Source
from schedule2sign.signlist.account import count_rows
from schedule2sign.signlist.decide import decide_signs

NAMES = ("CAFE", "CORRIDOR", "STAIR A", "VACANT", "NOT USED", "CAFE")


def _raw(at: int, kind: RowKind, *texts: str) -> RawRow:
    fields = (Field.DOOR, Field.ROOM_NUMBER, Field.ROOM_NAME)
    cells = tuple(Cell(field=field, text=text, column="A") for field, text in zip(fields, texts, strict=False))
    return RawRow(source=Source(file="a.xlsx", sheet="S", row=at), kind=kind, cells=cells, as_given=texts)


def build() -> tuple[Schedule, SignList, list[SignRecord]]:
    raws = [_raw(1, RowKind.HEADER, "DOOR"), _raw(2, RowKind.BLANK)]
    raws += [_raw(3 + at, RowKind.DATA, str(at), str(at), name) for at, name in enumerate(NAMES)]
    raws += [_raw(9, RowKind.DATA, "0", "0", "CAFE"), _raw(10, RowKind.STRUCK, "7")]
    rows = [
        NamedRow(
            raw=raw, door=raw.text(Field.DOOR), room_number=raw.text(Field.ROOM_NUMBER), name=raw.text(Field.ROOM_NAME),
            name_as_given=raw.text(Field.ROOM_NAME), level="LEVEL 1",
        )
        for raw in raws
        if raw.kind is RowKind.DATA
    ]  # fmt: skip
    schedule = Schedule(inputs=(), tables=(), rows=tuple(raws), flags=())
    sign_list = decide_signs(rows, Settings(job="J"))
    return schedule, sign_list, [_record(request) for request in sign_list.requests]


def _record(request) -> SignRecord:
    held = any(flag.severity == "HOLD" for flag in request.flags)
    status = Status.HELD if held else Status.RELEASED
    design = " ".join(message.text for message in request.messages)
    return SignRecord(
        request=request,
        work=SignWork(key="", made_with="", flags=(), design=design, braille=()),
        flags=request.flags,
        status=status,
        drawn_as=(),
    )


def test_both_sides_of_every_equation_are_equal() -> None:
    account = count_rows(*build())
    assert account.rows_read == 10
    assert dict(account.rows_by_kind) == {
        **dict.fromkeys((kind.value for kind in RowKind), 0),
        "data": 7,
        "header": 1,
        "blank": 1,
        "struck": 1,
    }
    assert dict(account.outcomes) == {"signed": 3, "unsigned": 2, "held": 1, "merged": 1}
    assert sum(count for _, count in account.unsigned_reasons) == 2
    # CAFE twice (doors 0 and 5), a stair with two signs, one held number.
    assert (account.signs_listed, account.signs_released, account.signs_held) == (5, 4, 1)
    assert account.pieces_released == 4


def _drop_decision(schedule, sign_list, signs):
    return schedule, replace(sign_list, decisions=sign_list.decisions[1:]), signs


def _invent_decision(schedule, sign_list, signs):
    return schedule, replace(sign_list, decisions=(*sign_list.decisions, sign_list.decisions[1])), signs


def _drop_row(schedule, sign_list, signs):
    return replace(schedule, rows=schedule.rows[:-2]), sign_list, signs


def _read_twice(schedule, sign_list, signs):
    return replace(schedule, rows=(*schedule.rows, schedule.rows[0])), sign_list, signs


def _drop_sign(schedule, sign_list, signs):
    return schedule, sign_list, signs[1:]


def _repeat_sign(schedule, sign_list, signs):
    return schedule, sign_list, [*signs, signs[0]]


def _drop_request(schedule, sign_list, signs):
    return schedule, replace(sign_list, requests=sign_list.requests[1:]), signs[1:]


def _orphan_request(schedule, sign_list, signs):
    orphan = replace(sign_list.requests[0], sign_id="J-01-9-C")
    return schedule, replace(sign_list, requests=(*sign_list.requests, orphan)), [*signs, _record(orphan)]


def _sign_the_unsigned(schedule, sign_list, signs):
    first, second, *rest = sign_list.decisions
    moved = (replace(first, sign_ids=()), replace(second, sign_ids=first.sign_ids))
    return schedule, replace(sign_list, decisions=(*moved, *rest)), signs


def _steal_a_sign(schedule, sign_list, signs):
    first, second, third, *rest = sign_list.decisions
    swapped = (replace(first, sign_ids=third.sign_ids), second, replace(third, sign_ids=first.sign_ids))
    return schedule, replace(sign_list, decisions=(*swapped, *rest)), signs


def _sign_nothing(schedule, sign_list, signs):
    first, second, *rest = sign_list.decisions
    return schedule, replace(sign_list, decisions=(first, replace(second, outcome=RowOutcome.SIGNED), *rest)), signs


@pytest.mark.parametrize(
    "damage",
    [
        _drop_decision,
        _invent_decision,
        _drop_row,
        _read_twice,
        _drop_sign,
        _repeat_sign,
        _drop_request,
        _orphan_request,
        _sign_the_unsigned,
        _steal_a_sign,
        _sign_nothing,
    ],
)
def test_anything_off_by_one_is_found(damage) -> None:
    with pytest.raises(AccountingError, match="does not balance") as caught:
        count_rows(*damage(*build()))
    assert len([char for char in str(caught.value) if char.isdigit()]) >= 2
