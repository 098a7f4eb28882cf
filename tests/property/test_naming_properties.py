"""Whatever a cell says: one row out for each in, every change on record, nothing lost without a flag."""

import csv
from collections.abc import Iterable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedule2sign.model.flag import holds
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind
from schedule2sign.model.settings import Lexicon, Settings
from schedule2sign.model.source import Source
from schedule2sign.naming.rename import name_rows
from schedule2sign.naming.vocabulary import load_vocabulary

SETTINGS = Settings()
VOCABULARY = load_vocabulary(SETTINGS)
DATA = Path(__file__).resolve().parents[3] / "shared" / "data"

WORDS = st.sampled_from(
    [
        "MENS",
        "WOMENS",
        "RR",
        "RM",
        "CONF",
        "MECH.",
        "ELEC",
        "STOR",
        "PT",
        "ST.",
        "DR.",
        "JAN",
        "CL",
        "OFF",
        "(E)",
        "(N)",
        "TYP.",
        "120",
        "SF",
        "#2",
        "101",
        "101A",
        "/",
        "&",
        "+",
        ",",
        "-",
        ":",
        "(",
        ")",
        "[60]",
        "*",
        "Office",
        "Storage",
        "Laundary",
        "UNISEX",
        "FAMILY",
        "TLT",
        "HC",
        "STAIR",
        "LEVEL",
        "1ST",
        "FL",
        "W/",
        "A/V",
        "R&D",
        "T.V.",
        "N.I.C.",
        "J.",
        "SMITH",
        "II",
        "IT",
        "AT",
        "Café",
        "O'B",
    ]
)
NAMES = st.one_of(st.lists(WORDS, max_size=7).map(" ".join), st.text(max_size=40))
NUMBERS = st.one_of(st.from_regex(r"[A-Z]{0,2}[0-9]{1,4}[-. ]?[A-Za-z0-9]{0,3}", fullmatch=True), st.text(max_size=12))


def read(names: Iterable[tuple[str, str]]) -> list[RawRow]:
    return [
        RawRow(
            source=Source(file="rooms.csv", sheet="", row=index),
            kind=RowKind.DATA,
            cells=tuple(
                Cell(field=field, text=text, column=column)
                for field, text, column in ((Field.ROOM_NUMBER, number, "A"), (Field.ROOM_NAME, name, "B"))
                if text
            ),
        )
        for index, (number, name) in enumerate(names, start=2)
    ]


def check_record(row: NamedRow) -> None:
    """Changes lead from the cell to the result without a gap; an emptied cell is flagged."""
    for field, given_field, result in (
        ("number", Field.ROOM_NUMBER, row.room_number),
        ("name", Field.ROOM_NAME, row.name),
    ):
        if any(flag.code in ("naming/swapped-cells", "naming/split-cell") for flag in row.flags):
            return
        text = row.raw.text(given_field)
        for change in (change for change in row.changes if change.field == field):
            assert change.before == text
            assert change.before != change.after
            text = change.after
        assert text == result
    if row.name_as_given.strip() and not row.name:
        assert row.flags or not row.name_as_given.strip(" \u200b").isprintable()


@given(st.lists(st.tuples(NUMBERS, NAMES), max_size=6))
def test_one_out_for_each_in_with_a_record_without_gaps(cells: list[tuple[str, str]]) -> None:
    rows = read(cells)
    named = name_rows(rows, VOCABULARY, SETTINGS)
    assert [row.raw for row in named] == rows
    for row in named:
        check_record(row)


@given(st.lists(st.tuples(NUMBERS, NAMES), max_size=6))
def test_the_same_rows_give_the_same_answer(cells: list[tuple[str, str]]) -> None:
    assert name_rows(read(cells), VOCABULARY, SETTINGS) == name_rows(read(cells), load_vocabulary(SETTINGS), SETTINGS)


@given(NAMES)
def test_a_name_that_is_not_held_holds_only_raised_characters(name: str) -> None:
    row = name_rows(read([("", name)]), VOCABULARY, SETTINGS)[0]
    settled = row.name in VOCABULARY.status or row.name.startswith(VOCABULARY.status_starts)
    if not holds(row.flags) and not settled:
        assert set(row.name) <= VOCABULARY.characters.raised
        assert row.name == " ".join(row.name.split()).upper()


@given(NAMES)
def test_naming_a_released_name_changes_nothing(name: str) -> None:
    first = name_rows(read([("", name)]), VOCABULARY, SETTINGS)[0]
    if holds(first.flags):
        return
    again = name_rows(read([("", first.name)]), VOCABULARY, SETTINGS)[0]
    assert again.name == first.name
    assert again.changes == ()


@given(NAMES, st.sampled_from(["BLUE ROOM", "MEN'S RR #2", "R & D, LAB"]))
def test_approved_wording_is_never_changed(name: str, approved: str) -> None:
    settings = Settings(lexicon=Lexicon(approved=((name, approved),)))
    vocabulary = load_vocabulary(settings)
    for text in (name, approved):
        row = name_rows(read([("", text)]), vocabulary, settings)[0]
        if text.strip() or text == approved:
            assert row.name == approved
            assert row.flags == ()


@pytest.mark.skipif(not DATA.is_dir(), reason="the open schedules are not here")
def test_open_room_lists_keep_their_record() -> None:
    """Public room lists: a US government list of hospital room types, room tokens, an open IFC office model."""
    names = (DATA / "hospital_room_names.txt").read_text(encoding="utf-8").splitlines()
    with (DATA / "room_tokens.csv").open(encoding="utf-8", newline="") as file:
        names += [line["example"] for line in csv.DictReader(file)]
    with (DATA / "office_a_rooms.csv").open(encoding="utf-8", newline="") as file:
        office = [(line["SpaceName"], line["LongName"]) for line in csv.DictReader(file)]
    rows = read([("", name) for name in names] + office)
    named = name_rows(rows, VOCABULARY, SETTINGS)
    assert len(named) == len(rows) > 2000
    for row in named:
        check_record(row)
        assert row.name
    offices = named[-len(office) :]
    assert [row.room_number for row in offices] == [number for number, _ in office]
    held = [row for row in offices if holds(row.flags)]
    assert len(held) <= len(offices) // 8, sorted(row.name_as_given for row in held)
