"""Sign ids: made of what the source says, safe as file names. Form by trade practice, common practice, no source."""

import re

import pytest

from schedule2sign.model.sign import Side
from schedule2sign.signlist.identity import MOST_CHARACTERS, Place, is_marked, level_code, make_ids, sign_id

SAFE = re.compile(r"[A-Z0-9_-]+")
# Names a Windows file may not have, whatever its suffix (Microsoft, "Naming Files, Paths, and Namespaces").
RESERVED = {"CON", "PRN", "AUX", "NUL", *(f"{port}{n}" for port in ("COM", "LPT") for n in range(10))}
POISON = ["..\\x", "A/V", "CON", "ROOM:1", "101A" * 75, "a\x00b", "éàü", "...", "-", "🚪", "  ", "LPT1", "=1+1", "<b>"]


def place(mark: str, *, given: str = "", content: tuple[str, ...] = (), level: str = "LEVEL 2") -> Place:
    return Place(level=level, mark=mark, given=given or mark, content=content, side=Side.CORRIDOR)


def test_an_id_says_job_level_door_and_side() -> None:
    assert sign_id("J142", "LEVEL 2", "0204B", Side.CORRIDOR) == "J142-02-0204B-C"
    assert sign_id("J142", "LEVEL 2", "S1", Side.STAIR) == "J142-02-S1-S"
    assert sign_id("J142", "", "B-014", Side.ROOM) == "J142-X-B-014-R"


@pytest.mark.parametrize(
    ("level", "code"),
    [("LEVEL 2", "02"), ("LEVEL 12", "12"), ("LEVEL 0", "00"), ("BASEMENT", "B"), ("BASEMENT 2", "B2"), ("LEVEL P1", "P1"),
     ("MEZZANINE", "M"), ("UPPER MEZZANINE", "UM"), ("", "X"), ("../..", "X")],
)  # fmt: skip
def test_levels_have_short_codes(level: str, code: str) -> None:
    assert level_code(level) == code


@pytest.mark.parametrize("mark", POISON)
def test_what_a_file_name_cannot_carry_gets_a_hash_and_a_flag(mark: str) -> None:
    name = sign_id("JOB", "LEVEL 2", mark, Side.CORRIDOR)
    assert SAFE.fullmatch(name)
    assert len(name) <= MOST_CHARACTERS
    assert not RESERVED & {name, *name.split("-")[2:3]}
    assert is_marked(mark)
    assert name == sign_id("JOB", "LEVEL 2", mark, Side.CORRIDOR)


def test_different_poison_makes_different_ids() -> None:
    ids = {sign_id("JOB", "LEVEL 2", mark, Side.CORRIDOR) for mark in POISON}
    assert len(ids) == len(POISON)


def test_the_longest_parts_still_fit() -> None:
    ids, _ = make_ids("ABCDEFGHIJKL", [place("1234567890ABCDE", level="A B C D E F", given=g) for g in "abcdefghijkl"])
    assert len(set(ids)) == 12
    assert max(map(len, ids)) <= MOST_CHARACTERS


def test_twins_that_differ_in_case_only_are_told_apart_in_any_order() -> None:
    twins = [place("101A", given="101a", content=("LAB",)), place("101A", given="101A", content=("CAFE",))]
    ids, shared = make_ids("J", twins)
    turned, _ = make_ids("J", twins[::-1])
    assert ids == turned[::-1]
    assert ids[0].casefold() != ids[1].casefold()
    assert shared == {0, 1}
    # A neighbor more or less changes nothing for the others.
    more, _ = make_ids("J", [*twins, place("102")])
    assert more == (*ids, "J-02-102-C")


def test_rows_that_are_the_same_to_the_letter_are_counted() -> None:
    ids, shared = make_ids("J", [place("STORAGE")] * 3)
    assert len(set(ids)) == 3
    assert shared == {0, 1, 2}


def test_leading_zeros_make_different_doors() -> None:
    ids, shared = make_ids("J", [place("7"), place("07"), place("007")])
    assert ids == ("J-02-7-C", "J-02-07-C", "J-02-007-C")
    assert not shared
