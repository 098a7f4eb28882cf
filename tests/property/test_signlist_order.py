"""Any rows in any order: one decision a row, ids unique, safe and independent of the order."""

from hypothesis import given
from hypothesis import strategies as st

from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind
from schedule2sign.model.settings import Settings
from schedule2sign.model.sign import RowOutcome
from schedule2sign.model.source import Source
from schedule2sign.signlist.decide import decide_signs

NAMES = st.sampled_from(
    ["", "STORAGE", "OFFICE", "CORRIDOR", "STAIR A", "MEN", "VACANT", "TBD", "EXIT", "CLOSET", "NOT USED", "T. MARLOW"]
) | st.text(alphabet="ABC/&. ", max_size=12)
NUMBERS = st.sampled_from(["", "101", "101A", "101a", "102", "B-014", "CON", "../x", "1E10", "7" * 60])


@st.composite
def schedules(draw: st.DrawFn) -> list[NamedRow]:
    rows = []
    for index in range(draw(st.integers(0, 12))):
        name, number, door = draw(NAMES), draw(NUMBERS), draw(NUMBERS)
        texts = {Field.DOOR: door, Field.ROOM_NUMBER: number, Field.ROOM_NAME: name}
        cells = tuple(Cell(field=field, text=text, column="A") for field, text in texts.items() if text)
        source = Source(file="s.csv", sheet="", row=index + 2)
        raw = RawRow(source=source, kind=RowKind.DATA, level="", cells=cells)
        level = draw(st.sampled_from(["", "LEVEL 1", "LEVEL 2", "BASEMENT"]))
        rows.append(
            NamedRow(raw=raw, door=door, room_number=number, name=name.strip(), name_as_given=name, level=level)
        )
    return rows


@given(schedules(), st.randoms(use_true_random=False))
def test_one_decision_a_row_and_ids_that_do_not_depend_on_order(rows: list[NamedRow], shuffler) -> None:
    made = decide_signs(rows, Settings())
    assert [decision.row for decision in made.decisions] == rows
    promised = [sign_id for decision in made.decisions for sign_id in decision.sign_ids]
    assert promised == [request.sign_id for request in made.requests]
    assert len({sign_id.casefold() for sign_id in promised}) == len(promised)
    for decision in made.decisions:
        if decision.sign_ids:
            assert decision.outcome in (RowOutcome.SIGNED, RowOutcome.HELD)
        else:
            assert decision.outcome is not RowOutcome.SIGNED
        assert decision.reason

    shuffled = list(rows)
    shuffler.shuffle(shuffled)
    again = decide_signs(shuffled, Settings())
    assert sorted(request.sign_id for request in again.requests) == sorted(promised)


@given(schedules())
def test_what_is_raised_stood_in_the_schedule(rows: list[NamedRow]) -> None:
    made = decide_signs(rows, Settings())
    given = {text for row in rows for text in (row.name, row.room_number, row.door)}
    for request in made.requests:
        for message in request.messages:
            if message.role != "level":
                assert message.text in given
