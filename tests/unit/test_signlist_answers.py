"""Answers of a returned sign list: applied by identity, recorded, never lost. Common practice, no source."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from types import SimpleNamespace

import pytest
from openpyxl import Workbook, load_workbook

from schedule2sign.errors import InputError
from schedule2sign.model.flag import Flag, Severity, holds
from schedule2sign.model.job import SignRecord, SignWork, Status
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Cell, Field, RawRow, RowKind
from schedule2sign.model.settings import Settings
from schedule2sign.model.sign import Answer, RowOutcome, SignList, Verb
from schedule2sign.model.source import Source
from schedule2sign.signlist.answers import apply_answers
from schedule2sign.signlist.answersheet import read_answers
from schedule2sign.signlist.decide import decide_signs
from schedule2sign.writers.sheet import render_workbook
from schedule2sign.writers.sign_list import DECISIONS, carried_sheet, sign_sheet, unsigned_sheet

NO_WORK = SignWork(key="", made_with="", flags=(), design="", braille=())

SPELLING = "naming/spelling"
NAMES = {
    "101": "CAFE",
    "102": "LAUNDARY",
    "103": "OFFICE",
    "104": "VACANT",
    "105": "CORRIDOR",
    "106": "STAIR A",
    "107": "",
}


def _rows(names: dict[str, str], *, start: int = 2) -> list[NamedRow]:
    rows = []
    for at, (number, name) in enumerate(names.items(), start=start):
        texts = (("A", Field.DOOR, number), ("B", Field.ROOM_NUMBER, number), ("C", Field.ROOM_NAME, name))
        cells = tuple(Cell(field=field, text=text, column=column) for column, field, text in texts if text)
        source = Source(file="a.xlsx", sheet="S", row=at)
        raw = RawRow(source=source, kind=RowKind.DATA, cells=cells, as_given=tuple(cell.text for cell in cells))
        doubt = Flag(code=SPELLING, severity=Severity.HOLD, message="a typo?", source=raw.source_of(Field.ROOM_NAME))
        rows.append(
            NamedRow(
                raw=raw, door=number, room_number=number, name=name, name_as_given=name, level="LEVEL 1",
                flags=(doubt,) if name == "LAUNDARY" else (),
            )
        )  # fmt: skip
    return rows


def _list(names: dict[str, str] = NAMES, *, start: int = 2, turned: bool = False) -> SignList:
    rows = _rows(names, start=start)
    return decide_signs(rows[::-1] if turned else rows, Settings(job="J"))


def _write(path: Path, sign_list: SignList, answers: dict[str, tuple[str, str]]) -> Path:
    """The tool's own sheet, with a person's answers typed in: sign id, or door of a row without a sign."""
    signs = [
        SignRecord(
            request=request, work=NO_WORK, flags=request.flags, drawn_as=(),
            status=Status.HELD if holds(request.flags) else Status.RELEASED,
        )
        for request in sign_list.requests
    ]  # fmt: skip
    job = SimpleNamespace(signs=signs, decisions=sign_list.decisions, unused_answers=sign_list.unused, bench=None)
    path.write_bytes(render_workbook((sign_sheet(job), unsigned_sheet(job), carried_sheet(job)), "t"))
    book = load_workbook(path)
    book.properties.lastModifiedBy = "R. Okafor"
    for page, key in ((book.worksheets[0], "sign id"), (book.worksheets[1], "door")):
        places = {cell.value: cell.column for cell in page[1]}
        for row in range(2, page.max_row + 1):
            if (name := page.cell(row, places[key]).value) in answers:
                page.cell(row, places["decision"]).value, page.cell(row, places["answer"]).value = answers[name]
    book.save(path)
    return path


Fill = Callable[..., SignList]


@pytest.fixture
def fill(tmp_path: Path) -> Fill:
    def go(answers: dict[str, tuple[str, str]], now: SignList | None = None) -> SignList:
        before = _list()
        return apply_answers(now or before, read_answers(_write(tmp_path / "sign-list.xlsx", before, answers)))

    return go


def _sign(sign_list: SignList, sign_id: str):
    return next(request for request in sign_list.requests if request.sign_id == sign_id)


def _decision(sign_list: SignList, door: str):
    return next(decision for decision in sign_list.decisions if decision.row.door == door)


def test_the_sheet_offers_what_is_understood() -> None:
    assert set(DECISIONS) == {verb.value for verb in Verb}


def test_an_unanswered_sheet_changes_nothing(fill: Fill) -> None:
    assert fill({}) == _list()


def test_rename_settles_the_doubt_about_the_name_and_says_who(fill: Fill) -> None:
    answered = fill({"J-01-102-C": ("rename", "Laundry")})
    sign = _sign(answered, "J-01-102-C")
    assert [message.text for message in sign.messages] == ["102", "LAUNDRY"]
    assert not holds(sign.flags)
    assert _decision(answered, "102").outcome is RowOutcome.SIGNED
    note = next(flag for flag in sign.flags if flag.code == "signlist/answered")
    assert "R. Okafor" in note.message
    assert "LAUNDARY" in note.message
    assert "LAUNDRY" in note.message
    assert sign.changes[-1].rule == "ANSWER"


def test_renumber_gives_the_new_number_under_the_same_id(fill: Fill) -> None:
    sign = _sign(fill({"J-01-101-C": ("renumber", "1101")}), "J-01-101-C")
    assert [message.text for message in sign.messages] == ["1101", "CAFE"]
    assert sign.room_number == "1101"
    assert sign.door == "101"


def test_a_number_typed_as_a_number_is_text(tmp_path: Path) -> None:
    path = _write(tmp_path / "a.xlsx", _list(), {"J-01-101-C": ("renumber", 1101)})
    assert read_answers(path)[0].text == "1101"


def test_accept_releases_a_doubt_but_not_what_needs_words(fill: Fill) -> None:
    answered = fill({"J-01-102-C": ("accept", ""), "J-01-104-C": ("accept", "")})
    assert not holds(_sign(answered, "J-01-102-C").flags)
    assert "Settled" in next(flag.message for flag in _sign(answered, "J-01-102-C").flags if flag.code == SPELLING)
    # VACANT is never cut: accepted is what stands there, the number alone.
    assert not holds(_sign(answered, "J-01-104-C").flags)
    assert [message.text for message in _sign(answered, "J-01-104-C").messages] == ["104"]
    # "LEVEL" without its number is nothing anybody meant.
    nowhere = replace(_rows({"201": "STAIR B"})[0], level="")
    stairs = decide_signs([nowhere], Settings(job="J"))
    said = answer(Verb.ACCEPT, "J-X-201-S", questions=tuple(flag.code for flag in stairs.requests[1].flags))
    assert holds(_sign(apply_answers(stairs, [said]), "J-X-201-S").flags)
    named = fill({"J-01-104-C": ("rename", "Archive")})
    assert [message.text for message in _sign(named, "J-01-104-C").messages] == ["104", "ARCHIVE"]
    assert _sign(named, "J-01-104-C").template == "room"
    assert not holds(_sign(named, "J-01-104-C").flags)


def test_hold_and_omit(fill: Fill) -> None:
    answered = fill({"J-01-101-C": ("hold", "ask Ana"), "J-01-103-C": ("omit", ""), "J-01-106-S": ("omit", "")})
    assert holds(_sign(answered, "J-01-101-C").flags)
    assert _decision(answered, "101").outcome is RowOutcome.HELD
    office, stair = _decision(answered, "103"), _decision(answered, "106")
    assert (office.outcome, office.reason, office.sign_ids) == (RowOutcome.UNSIGNED, "omitted by answer", ())
    assert "R. Okafor" in office.flags[-1].message
    assert (stair.outcome, stair.sign_ids) == (RowOutcome.SIGNED, ("J-01-106-C",))
    assert "J-01-103-C" not in {request.sign_id for request in answered.requests}


def test_an_office_keeps_its_number_raised_and_gets_the_words_in_its_window(fill: Fill) -> None:
    sign = _sign(fill({"J-01-103-C": ("rename", "Program Office")}), "J-01-103-C")
    assert [message.text for message in sign.messages] == ["103"]
    assert sign.insert_text == "PROGRAM OFFICE"


def test_rows_without_a_sign_are_found_by_what_they_say(fill: Fill) -> None:
    accepted = fill({"105": ("accept", "")})
    assert _decision(accepted, "105").outcome is RowOutcome.UNSIGNED
    held = fill({"105": ("hold", "owner wants one")})
    assert _decision(held, "105").outcome is RowOutcome.HELD
    asked = fill({"105": ("rename", "GALLERY")})
    assert [flag.code for flag in _decision(asked, "105").flags] == ["signlist/answer-without-sign"]


def test_answers_survive_a_sorted_and_revised_schedule(fill: Fill) -> None:
    answers = {"J-01-102-C": ("rename", "LAUNDRY"), "J-01-101-C": ("renumber", "1101"), "J-01-103-C": ("omit", "")}
    revised = {"99": "LIBRARY", **NAMES}
    answered = fill(answers, _list(revised, start=40, turned=True))
    assert [message.text for message in _sign(answered, "J-01-102-C").messages] == ["102", "LAUNDRY"]
    assert [message.text for message in _sign(answered, "J-01-101-C").messages] == ["1101", "CAFE"]
    assert _decision(answered, "103").outcome is RowOutcome.UNSIGNED
    assert [message.text for message in _sign(answered, "J-01-99-C").messages] == ["99", "LIBRARY"]


def test_an_answer_to_a_sign_that_is_gone_is_told(fill: Fill) -> None:
    fewer = {number: name for number, name in NAMES.items() if number not in ("101", "105")}
    answered = fill({"J-01-101-C": ("renumber", "1101"), "105": ("hold", "")}, _list(fewer))
    lost = [flag.message for flag in answered.flags if flag.code == "signlist/answer-unknown"]
    assert len(lost) == 2
    assert "J-01-101-C" in lost[0]
    assert "1101" in lost[0]
    assert "CORRIDOR" in lost[1]


def test_an_answer_to_words_that_changed_since_is_not_applied(fill: Fill) -> None:
    now = _list({**NAMES, "101": "BISTRO", "102": "LAUNDRY"})
    answered = fill({"J-01-101-C": ("accept", ""), "J-01-102-C": ("rename", "WASH ROOM")}, now)
    stale = {request.sign_id: flag for request in answered.requests for flag in request.flags if "stale" in flag.code}
    assert stale["J-01-101-C"].severity is Severity.ASK
    assert stale["J-01-102-C"].severity is Severity.HOLD
    assert [message.text for message in _sign(answered, "J-01-102-C").messages] == ["102", "LAUNDRY"]


def answer(verb: Verb, sign_id: str, text: str = "", row: int = 2, **more: object) -> Answer:
    source = Source(file="b.xlsx", sheet="Sign list", row=row)
    fields = {"row": ("", "", "", ""), "seen": None, "who": "", **more}
    return Answer(verb=verb, sign_ids=(sign_id,), text=text, source=source, **fields)


def test_answers_that_contradict_each_other_hold_the_sign() -> None:
    def say(verb: Verb, text: str, row: int) -> Answer:
        return answer(verb, "J-01-101-C", text, row)

    both = apply_answers(_list(), [say(Verb.RENAME, "BISTRO", 2), say(Verb.RENUMBER, "9", 3)])
    assert [message.text for message in _sign(both, "J-01-101-C").messages] == ["9", "BISTRO"]
    for other in (say(Verb.RENAME, "BAR", 3), say(Verb.OMIT, "", 3)):
        odd = apply_answers(_list(), [say(Verb.RENAME, "BISTRO", 2), other])
        assert "signlist/answers-disagree" in {flag.code for flag in _sign(odd, "J-01-101-C").flags}
        assert _decision(odd, "101").outcome is RowOutcome.HELD
    same = apply_answers(_list(), [say(Verb.RENAME, "BISTRO", 2), replace(say(Verb.RENAME, "BISTRO", 3))])
    assert [message.text for message in _sign(same, "J-01-101-C").messages] == ["101", "BISTRO"]


@pytest.mark.parametrize(
    ("decision", "answer", "said"),
    [
        ("ok", "", "'ok' is none of accept, hold"),
        ("rename", "", "rename needs the new text"),
        ("", "LAUNDRY", "no decision"),
    ],
)
def test_an_answer_that_makes_no_sense_is_named_with_its_row(
    tmp_path: Path, decision: str, answer: str, said: str
) -> None:
    path = _write(tmp_path / "a.xlsx", _list(), {"J-01-101-C": (decision, answer)})
    with pytest.raises(InputError, match=said) as caught:
        read_answers(path)
    assert "row 2" in str(caught.value)


def test_a_file_that_is_no_sign_list_is_refused(tmp_path: Path) -> None:
    (tmp_path / "bad.xlsx").write_bytes(b"PK\x03\x04 no workbook")
    Workbook().save(tmp_path / "empty.xlsx")
    for name, said in (
        ("bad.xlsx", "cannot be read"),
        ("empty.xlsx", "'sign id' and 'decision'"),
        ("none.xlsx", "cannot be read"),
    ):
        with pytest.raises(InputError, match=said):
            read_answers(tmp_path / name)


def test_a_date_made_of_an_answer_and_a_text_beside_accept_are_refused(tmp_path: Path) -> None:
    path = _write(tmp_path / "a.xlsx", _list(), {"J-01-101-C": ("renumber", datetime(2026, 1, 2))})  # noqa: DTZ001
    with pytest.raises(InputError, match="made a date of the answer"):
        read_answers(path)
    path = _write(tmp_path / "b.xlsx", _list(), {"J-01-101-C": ("accept", "BISTRO")})
    with pytest.raises(InputError, match="Choose rename or renumber"):
        read_answers(path)


def test_accept_settles_only_the_questions_that_were_seen() -> None:
    before = _list()
    seen = answer(Verb.ACCEPT, "J-01-102-C", questions=("signlist/security",))
    assert holds(_sign(apply_answers(before, [seen]), "J-01-102-C").flags)
    right = replace(seen, questions=(SPELLING,))
    assert not holds(_sign(apply_answers(before, [right]), "J-01-102-C").flags)
    # A list whose column of question ids was taken out: everything that is open now.
    blind = apply_answers(before, [replace(seen, questions=None)])
    assert not holds(_sign(blind, "J-01-102-C").flags)
    assert _sign(blind, "J-01-102-C").answers[0].questions == (SPELLING,)


def test_a_newer_answer_takes_the_place_of_one_carried_along() -> None:
    old = answer(Verb.RENAME, "J-01-101-C", "BAR", earlier=True)
    for newer, lines in ((answer(Verb.RENAME, "J-01-101-C", "BISTRO"), ["101", "BISTRO"]),
                         (answer(Verb.RENUMBER, "J-01-101-C", "9"), ["9", "BAR"]),
                         (answer(Verb.ACCEPT, "J-01-101-C"), ["101", "BAR"])):  # fmt: skip
        sign = _sign(apply_answers(_list(), [old, newer]), "J-01-101-C")
        assert [message.text for message in sign.messages] == lines
        assert not holds(sign.flags)
    gone = apply_answers(_list(), [old, answer(Verb.OMIT, "J-01-101-C")])
    assert _decision(gone, "101").reason == "omitted by answer"


def test_a_number_that_another_room_has_is_held_and_a_swap_is_not() -> None:
    twins = apply_answers(_list(), [answer(Verb.RENUMBER, "J-01-101-C", "102")])
    for sign_id in ("J-01-101-C", "J-01-102-C"):
        flag = next(flag for flag in _sign(twins, sign_id).flags if flag.code == "signlist/answer-number-taken")
        assert flag.severity is Severity.HOLD
    swapped = apply_answers(
        _list(), [answer(Verb.RENUMBER, "J-01-101-C", "103"), answer(Verb.RENUMBER, "J-01-103-C", "101")]
    )
    codes = {flag.code for request in swapped.requests for flag in request.flags}
    assert "signlist/answer-number-taken" not in codes


def test_every_answer_stands_exactly_once_in_the_next_list(tmp_path: Path) -> None:
    answers = {
        "J-01-101-C": ("renumber", "1101"), "J-01-102-C": ("rename", "LAUNDRY"), "J-01-103-C": ("omit", ""),
        "J-01-104-C": ("hold", "ask Ana"), "105": ("accept", ""), "J-01-106-S": ("omit", ""),
    }  # fmt: skip
    first = read_answers(_write(tmp_path / "1.xlsx", _list(), answers))
    after = apply_answers(_list(), first)
    second = read_answers(_write(tmp_path / "2.xlsx", after, {}))
    assert sorted((a.verb, a.text, a.who) for a in second) == sorted((a.verb, a.text, a.who) for a in first)
    again = apply_answers(_list(), second)
    assert [[m.text for m in request.messages] for request in again.requests] == [
        [m.text for m in request.messages] for request in after.requests
    ]
    assert [decision.outcome for decision in again.decisions] == [decision.outcome for decision in after.decisions]
    # Lost and stale answers are carried along too, and come back into force with their row.
    fewer = {number: name for number, name in NAMES.items() if number != "101"} | {"102": "LAUNDERETTE"}
    lost = apply_answers(_list(fewer), second)
    assert {a.fate.partition(" ")[0] for a in lost.unused} == {"not", "the"}
    third = read_answers(_write(tmp_path / "3.xlsx", lost, {}))
    assert len(third) == len(first)
    back = apply_answers(_list(), third)
    assert [[m.text for m in request.messages] for request in back.requests] == [
        [m.text for m in request.messages] for request in after.requests
    ]


def test_an_answer_to_one_of_several_rows_that_say_the_same_stays_with_its_sign(tmp_path: Path) -> None:
    rows = [replace(row, door="", room_number="", raw=replace(row.raw, cells=row.raw.cells[2:], as_given=(str(at),)))
            for at, row in enumerate(_rows({"1": "LAB", "2": "LAB", "3": "LAB"}))]  # fmt: skip
    before = decide_signs(rows, Settings(job="J"))
    chosen = before.requests[1].sign_id
    after = apply_answers(before, [answer(Verb.OMIT, chosen)])
    again = apply_answers(before, read_answers(_write(tmp_path / "2.xlsx", after, {})))
    assert [request.sign_id for request in again.requests] == [
        r.sign_id for r in before.requests if r.sign_id != chosen
    ]


def test_a_number_given_to_a_name_kept_off_the_sign_stands_alone() -> None:
    rows = [replace(row, door="", room_number="", raw=replace(row.raw, cells=row.raw.cells[2:]))
            for row in _rows({"1": "ARMORY", "2": "LIBRARY"})]  # fmt: skip
    before = decide_signs(rows, Settings(job="J"))
    ids = [request.sign_id for request in before.requests]
    after = apply_answers(before, [answer(Verb.RENUMBER, ids[0], "B12"), answer(Verb.RENUMBER, ids[1], "14")])
    assert [[m.text for m in request.messages] for request in after.requests] == [["B12"], ["14", "LIBRARY"]]
    assert [request.template for request in after.requests] == ["number", "room"]
    assert not holds(after.requests[0].flags)


@pytest.mark.parametrize(
    "code",
    [
        "naming/character",
        "naming/number-character",
        "naming/damaged-text",
        "naming/foreign-language",
        "intake/date-value",
    ],
)
def test_what_is_no_text_for_a_sign_is_never_accepted_as_it_is(code: str) -> None:
    # A formula, mojibake, a date made of a number, or a language the job's braille is not for.
    (row,) = _rows({"1": "LAUNDARY"})
    doubt = replace(row.flags[0], code=code)
    sign_list = decide_signs([replace(row, flags=(doubt,))], Settings(job="J"))
    said = answer(Verb.ACCEPT, "J-01-1-C", questions=(code,))
    held = _sign(apply_answers(sign_list, [said]), "J-01-1-C").flags
    assert holds(held)
    assert ["accepted it, which does not release it" in flag.message for flag in held if flag.code == code] == [True]
    named = answer(Verb.RENAME, "J-01-1-C", "LAUNDRY")
    assert not holds(_sign(apply_answers(sign_list, [named]), "J-01-1-C").flags)


def test_a_new_name_of_an_occupant_load_sign_is_its_flat_text(tmp_path: Path) -> None:
    rows = [
        replace(
            row,
            raw=replace(row.raw, cells=(*row.raw.cells, Cell(field=Field.REMARKS, text="OCC LOAD TBD", column="Z"))),
        )
        for row in _rows({"104": "GYMNASIUM"})
    ]
    before = decide_signs(rows, Settings(job="J"))
    (sign_id,) = (one.sign_id for one in before.requests if one.template == "occupant-load")
    path = _write(tmp_path / "sign-list.xlsx", before, {sign_id: ("rename", "300")})
    (load,) = (one for one in apply_answers(before, read_answers(path)).requests if one.template == "occupant-load")
    assert (load.insert_text, load.messages) == ("MAXIMUM OCCUPANCY\n300", ())
    assert not holds(load.flags)
    accepted = _write(tmp_path / "sign-list.xlsx", before, {sign_id: ("accept", "")})
    (load,) = (one for one in apply_answers(before, read_answers(accepted)).requests if one.template == "occupant-load")
    assert holds(load.flags)  # there is no text to accept


@pytest.mark.parametrize(
    "text",
    [
        "Laundry",
        "007",
        "1-2",
        "=1+1",
        " two  words\n",
        "_x0041_",
        "<b>&amp;</b>",
        "Caf\u00e9 \U0001f6aa",
        "1e3",
        "TRUE",
        "'5",
    ],
    ids=ascii,
)
def test_a_list_as_it_was_written_says_the_same_to_both_readers(tmp_path: Path, text: str) -> None:
    """The quick reader serves lists nobody touched; the yardstick is openpyxl."""
    carried = Answer(
        verb=Verb.RENAME, sign_ids=("J-01-102-C",), row=("LEVEL 1", text, text, text), seen=(text, text), text=text,
        who=text, questions=(SPELLING,), earlier=True, fate="no such sign", source=Source(file="a", sheet="b", row=1),
    )  # fmt: skip
    job = SimpleNamespace(signs=[], decisions=(), unused_answers=(carried, carried), bench=None)
    path = tmp_path / "sign-list.xlsx"
    path.write_bytes(render_workbook((sign_sheet(job), unsigned_sheet(job), carried_sheet(job)), "t"))
    answers = read_answers(path)
    assert [answer.text for answer in answers] == [" ".join(text.split())] * 2
    assert read_answers(path, as_written=True) == answers
