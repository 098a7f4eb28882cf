"""Whatever a person answers, the counts add up, and the list of the next run says the same again. No outside source."""

import io
from types import SimpleNamespace

from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from schedule2sign.model.flag import Flag, Severity, holds
from schedule2sign.model.job import SignRecord, SignWork, Status
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind, Schedule
from schedule2sign.model.settings import Settings
from schedule2sign.model.sign import SignList, Verb
from schedule2sign.model.source import Source
from schedule2sign.signlist.account import count_rows
from schedule2sign.signlist.answers import apply_answers
from schedule2sign.signlist.answersheet import read_answers
from schedule2sign.signlist.decide import decide_signs
from schedule2sign.writers.sheet import render_workbook
from schedule2sign.writers.sign_list import carried_sheet, sign_sheet, unsigned_sheet

NO_WORK = SignWork(key="", made_with="", flags=(), design="", braille=())

_DOUBT = Flag(code="naming/spelling", severity=Severity.HOLD, message="a doubt")
_NAMES = [
    "",
    "CAFE BAR",
    "CORRIDOR",
    "STAIR A",
    "STAIR",
    "MEN",
    "OFFICE",
    "STORAGE",
    "ARMORY",
    "TBD",
    "T. MARLOW",
    "SUITE 1",
]


@st.composite
def _rows(draw: st.DrawFn) -> list[NamedRow]:
    rows = []
    for at in range(2, 2 + draw(st.integers(1, 6))):
        texts = {
            Field.DOOR: draw(st.sampled_from(["", "101", "102", "103A"])),
            Field.ROOM_NUMBER: draw(st.sampled_from(["", "101", "102", "103"])),
            Field.ROOM_NAME: draw(st.sampled_from(_NAMES)),
        }
        cells = tuple(
            Cell(field=field, text=text, column=chr(65 + i)) for i, (field, text) in enumerate(texts.items()) if text
        )
        raw = RawRow(
            source=Source(file="a.csv", sheet="", row=at), kind=RowKind.DATA, cells=cells,
            as_given=tuple(cell.text for cell in cells),
        )  # fmt: skip
        doubts = (Flag(**{**_fields(_DOUBT), "source": raw.source_of(Field.ROOM_NAME)}),)
        rows.append(
            NamedRow(
                raw=raw, door=texts[Field.DOOR], room_number=texts[Field.ROOM_NUMBER], name=texts[Field.ROOM_NAME],
                name_as_given=texts[Field.ROOM_NAME], level=draw(st.sampled_from(["", "LEVEL 1"])),
                flags=draw(st.sampled_from([(), doubts])),
            )
        )  # fmt: skip
    return rows


def _fields(flag: Flag) -> dict[str, object]:
    return {name: getattr(flag, name) for name in Flag.__dataclass_fields__}


def _records(sign_list: SignList) -> list[SignRecord]:
    return [
        SignRecord(
            request=request, work=NO_WORK, flags=request.flags, drawn_as=(),
            status=Status.HELD if holds(request.flags) else Status.RELEASED,
        )
        for request in sign_list.requests
    ]  # fmt: skip


def _sheets(sign_list: SignList) -> bytes:
    job = SimpleNamespace(
        signs=_records(sign_list), decisions=sign_list.decisions, unused_answers=sign_list.unused, bench=None
    )
    return render_workbook((sign_sheet(job), unsigned_sheet(job), carried_sheet(job)), "t")


def _story(sign_list: SignList) -> list[object]:
    signs = [
        (request.sign_id, request.messages, request.insert_text, request.room_number, holds(request.flags))
        for request in sign_list.requests
    ]
    return [signs, [(decision.outcome, decision.reason, decision.sign_ids) for decision in sign_list.decisions]]


_ANSWER = st.one_of(
    st.none(),
    st.sampled_from([(Verb.ACCEPT, None), (Verb.HOLD, "wait"), (Verb.OMIT, None)]),
    st.tuples(st.just(Verb.RENAME), st.sampled_from(["Library", "LAB"])),
    st.tuples(st.just(Verb.RENUMBER), st.sampled_from(["102", "7"])),
)


# Workbooks are too slow to shrink with; a failing example is small as it is.
@settings(max_examples=10, deadline=None, phases=(Phase.explicit, Phase.reuse, Phase.generate))
@given(_rows(), st.data())
def test_answers_balance_and_come_back_the_same(tmp_path_factory, rows: list[NamedRow], data: st.DataObject) -> None:
    before = decide_signs(rows, Settings(job="J"))
    book = load_workbook(io.BytesIO(_sheets(before)))
    typed = set()
    for page in book.worksheets[:2]:
        places = {cell.value: cell.column for cell in page[1]}
        for line in range(2, page.max_row + 1):
            if chosen := data.draw(_ANSWER):
                verb, text = chosen
                page.cell(line, places["decision"]).value, page.cell(line, places["answer"]).value = verb.value, text
                page.cell(line, places["answered by"]).value = "P. Reyes"
                typed.add((verb, text or ""))
    path = tmp_path_factory.mktemp("list") / "sign-list.xlsx"
    book.save(path)
    first = read_answers(path)
    assert {(answer.verb, answer.text) for answer in first} == typed

    after = apply_answers(before, first)
    schedule = Schedule(inputs=(), tables=(), rows=tuple(row.raw for row in rows), flags=())
    count_rows(schedule, after, _records(after))  # raises where a row or a sign was lost
    path.write_bytes(_sheets(after))
    second = read_answers(path)
    assert {(answer.verb, answer.text) for answer in second} <= typed
    again = apply_answers(before, second)
    assert _story(again) == _story(after)
    # From then on nothing moves, not even where an answer stands: the list is its own answer.
    path.write_bytes(_sheets(again))
    assert _sheets(apply_answers(before, read_answers(path))) == _sheets(again)
    for answer in first:
        carried = {(one.verb, one.text) for one in second}
        told = any("answer" in flag.code for decision in after.decisions for flag in decision.flags)
        assert (answer.verb, answer.text) in carried or told
