"""Two issues side by side: every class of change and what to do about it.

The classes, their order and their actions are those shops use: common practice, no source.
"""

from dataclasses import replace

import pytest

from schedule2sign.errors import InputError
from schedule2sign.model.flag import Severity
from schedule2sign.model.revision import ChangeKind, Comparison, SignChange, Stage
from schedule2sign.revision.compare import compare_issues
from schedule2sign.revision.folder import read_folder, read_stages
from schedule2sign.revision.holding import hold_again
from schedule2sign.revision.issue import Issue, IssuedRow, IssuedSign

COLUMNS = {("doors.xlsx", "L1", "name"): "C", ("doors.xlsx", "L1", "number"): "B"}


def sign(number: str, name: str, *, row: int = 2, level: str = "LEVEL 1", **values: object) -> IssuedSign:
    base = IssuedSign(
        sign_id=f"JOB-01-{number}-C",
        number=number,
        names=(name,) if name else (),
        text=tuple(text for text in (number, name) if text),
        lines=tuple(text for text in (number, name) if text),
        cells=f"<{number} {name}>",
        design=f"design of {number} {name}",
        template="room",
        size_mm=(203.2, 203.2),
        quantity=1,
        released=True,
        person_held=False,
        place=(("door", number), ("level", level), ("side", "C"), ("hand", "")),
        data=(("room number", number), ("name as given", name), ("insert text", "")),
        row=("doors.xlsx", "L1", row),
    )
    return replace(base, **values)


def issue(
    *signs: IssuedSign, job: str = "JOB", revision: str = "A", rows: tuple[IssuedRow, ...] = (), **ground: str
) -> Issue:
    return Issue(
        job=job,
        revision=revision,
        label=f"{job} revision",
        ground=tuple(ground.items()),
        signs=signs,
        rows=rows,
        columns=COLUMNS,
    )


def many(count: int = 10) -> tuple[IssuedSign, ...]:
    return tuple(sign(str(300 + at), f"ROOM NUMBER {at}", row=50 + at) for at in range(count))


def changed(comparison: Comparison) -> list[SignChange]:
    return [change for change in comparison.changes if change.kind is not ChangeKind.UNCHANGED]


def only(comparison: Comparison) -> SignChange:
    (change,) = changed(comparison)
    return change


def compare(before: tuple[IssuedSign, ...], after: tuple[IssuedSign, ...], **stages: Stage) -> Comparison:
    """With ten bystanders, so that no small change looks like another building."""
    named = {key.replace("_", "-"): stage for key, stage in stages.items()}
    return compare_issues(issue(*before, *many()), issue(*after, *many(), revision="B"), named)


def test_a_re_sorted_schedule_is_no_difference() -> None:
    signs = many()
    turned = tuple(replace(one, row=("doors.xlsx", "L1", 99 - at)) for at, one in enumerate(reversed(signs)))
    comparison = compare_issues(issue(*signs), issue(*turned))
    assert not comparison.differs
    assert comparison.totals == ((ChangeKind.UNCHANGED, 10),)
    assert not comparison.remake


@pytest.mark.parametrize(
    ("before", "after", "kind", "pieces"),
    [
        ({}, {"names": ("STORE",), "text": ("204", "STORE")}, ChangeKind.TEXT, 1),
        ({}, {"cells": "<other>"}, ChangeKind.BRAILLE, 1),
        ({}, {"size_mm": (203.2, 254.0), "design": "x"}, ChangeKind.MATERIAL, 1),
        ({}, {"template": "suite", "design": "x"}, ChangeKind.MATERIAL, 1),
        ({}, {"design": "x"}, ChangeKind.LAYOUT, 1),
        ({}, {"quantity": 3}, ChangeKind.QUANTITY, 2),
        ({"quantity": 3}, {"quantity": 1}, ChangeKind.QUANTITY, 0),
        ({}, {"released": False}, ChangeKind.STATUS, 0),
        ({"released": False}, {}, ChangeKind.STATUS, 1),
        ({}, {"data": (("room number", "204"), ("name as given", "LABB"), ("insert text", ""))}, ChangeKind.LIST, 0),
        ({}, {"place": (("door", "204"), ("level", "LEVEL 1"), ("side", "C"), ("hand", "LH"))}, ChangeKind.LOCATION, 0),
        ({}, {"names": ("STORE",), "text": ("204", "STORE"), "released": False}, ChangeKind.TEXT, 0),
    ],
)
def test_each_change_has_its_class_and_its_pieces(before: dict, after: dict, kind: ChangeKind, pieces: int) -> None:
    change = only(compare((sign("204", "LAB", **before),), (sign("204", "LAB", **after),)))
    assert (change.kind, change.pieces) == (kind, pieces)
    assert change.action


def test_what_differs_names_the_cell_of_either_issue() -> None:
    change = only(compare((sign("204", "LAB", row=7),), (sign("204", "LAB", row=9, names=("STORE",), text=("204", "STORE"), data=(("room number", "204"), ("name as given", "STORE"), ("insert text", ""))),)))  # fmt: skip
    given = next(field for field in change.fields if field.field == "name as given")
    assert (given.before, given.after) == ("LAB", "STORE")
    assert (given.cell_before, given.cell_after) == ("doors.xlsx [L1] C7", "doors.xlsx [L1] C9")
    assert change.marked_before == "204 / [LAB]"
    assert change.marked_after == "204 / [STORE]"


def test_only_the_changed_letters_are_marked() -> None:
    after = sign("204", "LAB", names=("STORAGE",), text=("204", "STORAGE"))
    change = only(compare((sign("204", "LAB", names=("STORRAGE",), text=("204", "STORRAGE")),), (after,)))
    assert change.marked_before.count("[") == 1
    assert change.marked_before.replace("[", "").replace("]", "") == "204 / STORRAGE"
    assert "[R]" in change.marked_before
    assert change.marked_after == "204 / STORAGE"


def test_numbers_swapped_in_a_chain_are_read_as_new_numbers() -> None:
    """Input 39 of the trade's nasty ones: three names changed and numbers swapped in a chain."""
    before = (sign("204", "LAB"), sign("206", "STORE"), sign("208", "STUDY"), sign("210", "OFFICE"))
    after = (sign("206", "LAB"), sign("208", "STORE"), sign("204", "STUDY"), sign("210", "WORKROOM"))
    found = {(change.kind, change.old_id, change.sign_id): change for change in changed(compare(before, after))}
    assert set(found) == {
        (ChangeKind.RENUMBER, "JOB-01-204-C", "JOB-01-206-C"),
        (ChangeKind.RENUMBER, "JOB-01-206-C", "JOB-01-208-C"),
        (ChangeKind.RENUMBER, "JOB-01-208-C", "JOB-01-204-C"),
        (ChangeKind.TEXT, "JOB-01-210-C", "JOB-01-210-C"),
    }
    assert found[ChangeKind.RENUMBER, "JOB-01-206-C", "JOB-01-208-C"].chain == "204->206->208->204"


def test_an_open_chain_starts_at_the_number_nobody_takes() -> None:
    before = (sign("204", "LAB"), sign("206", "STORE"))
    after = (sign("206", "LAB"), sign("208", "STORE"))
    chains = {change.old_id: change.chain for change in changed(compare(before, after))}
    assert chains == {"JOB-01-204-C": "204->206->208", "JOB-01-206-C": "204->206->208"}


def test_two_rooms_of_one_name_are_never_guessed_apart() -> None:
    before = (sign("204", "STORAGE"), sign("206", "STORAGE"))
    after = (sign("205", "STORAGE"), sign("207", "STORAGE"))
    kinds = [change.kind for change in changed(compare(before, after))]
    assert sorted(kinds) == [ChangeKind.DELETED, ChangeKind.DELETED, ChangeKind.NEW, ChangeKind.NEW]


def test_the_same_plate_at_another_door_is_not_made_again() -> None:
    before = sign("", "RESTROOM", sign_id="JOB-01-101A-C", place=(("door", "101A"), ("level", "LEVEL 1"), ("side", "C"), ("hand", "")))  # fmt: skip
    after = replace(before, sign_id="JOB-01-101B-C", place=(("door", "101B"), *before.place[1:]))
    change = only(compare((before,), (after,), JOB_01_101A_C=Stage.INSTALLED))
    assert (change.kind, change.old_id, change.pieces) == (ChangeKind.LOCATION, "JOB-01-101A-C", 0)
    assert change.action == "do not re-make; have it moved"


@pytest.mark.parametrize(
    ("stage", "action"),
    [
        (Stage.NOT_RELEASED, "cancel"),
        (Stage.CUT, "scrap it and note the cost"),
        (Stage.SHIPPED, "call it back"),
        (Stage.INSTALLED, "have it removed"),
    ],
)
def test_a_deleted_sign_is_dealt_with_by_how_far_it_had_come(stage: Stage, action: str) -> None:
    change = only(compare((sign("204", "LAB"),), (), JOB_01_204_C=stage))
    assert (change.kind, change.stage, change.action) == (ChangeKind.DELETED, stage, action)


def test_a_deleted_sign_says_what_became_of_its_row() -> None:
    gone = IssuedRow(level="LEVEL 1", door="204", number="204", name="NOT USED", outcome="unsigned: not used", row=("doors.xlsx", "L1", 8))  # fmt: skip
    comparison = compare_issues(issue(sign("204", "LAB"), *many()), issue(*many(), rows=(gone,)))
    assert only(comparison).why == "doors.xlsx [L1] row 8: unsigned: not used"
    assert [(row.before, row.after) for row in comparison.rows] == [("", "unsigned: not used")]


def test_a_held_sign_is_not_in_the_remake_set_and_says_so() -> None:
    held = sign("204", "LAB", released=False)
    comparison = compare((), (held,))
    assert only(comparison).action.startswith("held: settle its questions first")
    assert not comparison.remake


def test_braille_that_changes_under_the_same_print_is_an_alert() -> None:
    comparison = compare((sign("204", "LAB"),), (sign("204", "LAB", cells="<other>"),))
    assert any("1 signs keep their raised text and change their braille" in alert for alert in comparison.alerts)


def test_another_standard_is_a_difference_even_where_no_sign_changes() -> None:
    comparison = compare_issues(issue(*many(), standard="a"), issue(*many(), standard="b"))
    assert comparison.differs
    assert comparison.alerts == ("standard was a and is b",)


def test_more_than_40_percent_of_other_ids_is_refused_at_the_edge() -> None:
    signs = many(20)
    compare_issues(issue(*signs), issue(*signs[8:]))  # 40 % gone: still a revision
    with pytest.raises(InputError, match="9 of 20 signs"):
        compare_issues(issue(*signs), issue(*signs[9:]))


@pytest.mark.parametrize(
    ("new", "cause"),
    [
        (issue(*(replace(one, sign_id="NEXT" + one.sign_id) for one in many()), job="NEXT"), "job id was JOB and is NEXT"),
        (issue(*many()[:3]), "holds only part"),
        (
            issue(*(replace(one, sign_id=f"{one.sign_id}2", place=(one.place[0], ("level", "2"), *one.place[2:])) for one in many())),
            "check the level column",
        ),
        (issue(*(sign(str(700 + at), f"OTHER {at}") for at in range(10))), "check the room-number column"),
        (
            issue(*(replace(one, sign_id=f"{one.sign_id}9", place=(("door", "D9"), *one.place[1:])) for one in many())),
            "check the door column",
        ),
    ],
)  # fmt: skip
def test_a_stranger_is_refused_with_the_likely_cause(new: Issue, cause: str) -> None:
    with pytest.raises(InputError, match=r"check|part|job id") as caught:
        compare_issues(issue(*many()), new)
    assert cause in str(caught.value).replace("Check", "check")


def test_a_folder_that_is_none_of_ours_is_refused(tmp_path) -> None:
    with pytest.raises(InputError, match="no output folder"):
        read_folder(tmp_path / "nothing")
    with pytest.raises(InputError, match=r"no manifest\.json"):
        read_folder(tmp_path)
    for text in ("{", "[]", '{"schema": 9}', '{"schema": 1}', '{"schema": 1, "job": 3}'):
        (tmp_path / "manifest.json").write_text(text, encoding="utf-8")
        with pytest.raises(InputError):
            read_folder(tmp_path)


def test_the_list_of_stages_is_read_and_its_mistakes_named(tmp_path) -> None:
    path = tmp_path / "made.csv"
    path.write_text("Sign ID,Stage,by\nJOB-01-204-C,Cut,x\n", encoding="utf-8-sig")
    assert read_stages(path) == {"JOB-01-204-C": Stage.CUT}
    path.write_text("sign id,stage\nA,melted\n", encoding="utf-8")
    with pytest.raises(InputError, match="line 2: stage 'melted' is none of"):
        read_stages(path)
    path.write_text("sign id,stage\nA,cut\nA,shipped\n", encoding="utf-8")
    with pytest.raises(InputError, match="twice"):
        read_stages(path)
    path.write_text("id;stage\n", encoding="utf-8")
    with pytest.raises(InputError, match="needs the columns"):
        read_stages(path)


def test_what_a_person_held_stays_held_under_its_new_number() -> None:
    """No sign is released again because its number changed: common practice, no source."""
    before = issue(sign("204", "LAB", released=False, person_held=True), sign("206", "STORE", released=False), *many())
    after = (sign("304B", "LAB"), sign("306B", "STORE"), *many())
    flags = hold_again(before, after)
    assert set(flags) == {"JOB-01-304B-C"}
    assert flags["JOB-01-304B-C"].severity is Severity.HOLD
    assert "JOB-01-204-C" in flags["JOB-01-304B-C"].message


def test_two_different_issues_of_one_revision_are_an_alert() -> None:
    comparison = compare_issues(issue(sign("204", "LAB"), *many()), issue(*many()))
    assert any("both issues are revision A" in alert for alert in comparison.alerts)
    assert not compare_issues(issue(*many()), issue(*many())).alerts
