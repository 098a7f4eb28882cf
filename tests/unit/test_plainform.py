"""Model values in plain form and back: what returns is what went in, to the last bit, and is shared as it was.

The yardstick is Python's own `json` module and `repr`, which writes a float so that it reads back exactly.
"""

import json
import math
from dataclasses import is_dataclass
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schedule2sign.model.bench import PathKind, SignCut
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import MadeSign, SignWork
from schedule2sign.model.plate import Plate
from schedule2sign.model.process import Process
from schedule2sign.model.rule import Verdict
from schedule2sign.model.shape import Box, Dot, Hole, Outline, PlacedGlyph
from schedule2sign.model.source import Source
from schedule2sign.plainform import Common, from_text, kinds, to_text

NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
TEXTS = st.text(max_size=20)
SOURCES = st.none() | st.builds(Source, file=TEXTS, sheet=TEXTS, row=st.integers(0, 10**6), column=TEXTS)
VALUES = st.one_of(
    NUMBERS,
    st.booleans(),
    st.integers(),
    st.none(),
    TEXTS,
    st.builds(Box, left_mm=NUMBERS, bottom_mm=NUMBERS, right_mm=NUMBERS, top_mm=NUMBERS),
    st.builds(Flag, code=TEXTS, severity=st.sampled_from(Severity), message=TEXTS, source=SOURCES),
    st.sampled_from(PathKind),
    st.lists(st.tuples(NUMBERS, NUMBERS), max_size=6).map(tuple),
    st.lists(
        st.builds(Dot, x_mm=NUMBERS, y_mm=NUMBERS, line=st.integers(0, 3), cell=st.integers(0, 40), number=st.integers(1, 6)),
        max_size=5,
    ).map(tuple),
    st.lists(st.builds(Hole, x_mm=NUMBERS, y_mm=NUMBERS, diameter_mm=NUMBERS | st.integers()), max_size=3).map(tuple),
)  # fmt: skip


def there_and_back(*values: object) -> list[Any]:
    """As a later run gets them: through texts alone."""
    common = Common()
    text = to_text(tuple(values), common)
    back = from_text(text, Common(json.loads(json.dumps(common.texts))))
    assert isinstance(back, tuple)
    return list(back)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.recursive(VALUES, lambda inner: st.lists(inner, max_size=4).map(tuple), max_leaves=8), max_size=6))
def test_every_value_returns_to_the_last_bit(values: list[object]) -> None:
    # repr tells 1 from 1.0 and True, 0.0 from -0.0, and a member of an enumeration from its text.
    assert list(map(repr, there_and_back(*values))) == list(map(repr, values))


def test_numbers_that_compare_equal_stay_apart() -> None:
    given = ((1, 2), (1.0, 2.0), (True, 2), (0.0, -1.0), (-0.0, -1.0))
    assert list(map(repr, there_and_back(*given))) == list(map(repr, given))


def test_what_is_equal_is_one_again() -> None:
    ring = ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
    box = Box(left_mm=0.0, bottom_mm=0.0, right_mm=1.0, top_mm=1.0)
    first, second = (Outline(char="L", height_mm=1.0, rings=(ring,), box=box) for _ in range(2))
    placed = tuple(PlacedGlyph(outline=one, x_mm=3.0, baseline_mm=0.0) for one in (first, second, first))
    common = Common()
    to_text(placed, common)
    assert [json.loads(text)[0] for text in common.texts.values()].count("Outline") == 1
    (back,) = there_and_back(placed)
    assert len({id(one.outline) for one in back}) == 1
    assert [one.rings for one in back] == [one.rings for one in placed]


@pytest.mark.parametrize(
    "value", [[1], {"a": 1}, object(), date(2027, 1, 31), Process, {1}], ids=lambda value: type(value).__name__
)
def test_a_value_of_another_kind_is_refused(value: object) -> None:
    with pytest.raises(TypeError, match="has no plain form"):
        to_text((value,), Common())


@pytest.mark.parametrize(
    "form",
    [
        ["Popen", "ls"],
        ["Box", 1.0],
        ["Box*", ["", 1.0], ["", 1.0, 2.0], ["", 1.0], ["", 1.0]],
        ["Box*", 1.0, 1.0, 1.0, 1.0],
        ["@", "00"],
        ["Severity=", "NOISE"],
        ["points", "AAAAAAAA8D8="],
        ["#", "AAAA"],
        ["bytes", "ä"],
        [],
        [3],
    ],
    ids=repr,
)
def test_forms_that_no_value_has_are_refused(form: list[Any]) -> None:
    with pytest.raises((KeyError, IndexError, TypeError, ValueError)):
        from_text(json.dumps(form), Common())


@pytest.mark.parametrize("number", [math.inf, -math.inf, math.nan])
@pytest.mark.parametrize(
    "wrap", [lambda n: n, lambda n: (n, 1.0), lambda n: ((1.0, n),)], ids=["alone", "row", "point"]
)
def test_what_is_no_number_is_refused(wrap: Any, number: float) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - json's own words for a number that stands alone
        to_text(wrap(number), Common())


def test_all_that_a_work_can_hold_has_a_plain_form() -> None:
    assert {SignWork, MadeSign, SignCut, Plate, Verdict, Flag, Severity} <= set(kinds().values())
    assert all(is_dataclass(kind) or hasattr(kind, "__members__") for kind in kinds().values())
