"""Whole columns of lengths are rounded just as one length is: Python's round() is the reference."""

import numpy
from hypothesis import example, given
from hypothesis import strategies as st

from schedule2sign.writers.inches import columns_of, drop_repeats, inch, inches_of

LENGTHS = st.floats(min_value=-3000, max_value=3000)
# Half steps of a written inch, where a rounding error of the last bit decides.
TIES = st.integers(min_value=-5_000_000, max_value=5_000_000).map(lambda step: (step + 0.5) * 1e-6 * 25.4)


@given(st.lists(LENGTHS | TIES, min_size=1, max_size=60))
@example([0.0078125 * 25.4, 7.14375, -0.0, -1e-9])
def test_a_column_is_rounded_as_each_of_its_lengths(lengths: list[float]) -> None:
    found = inches_of(numpy.array(lengths)).tolist()
    assert found == [inch(length) for length in lengths]
    assert all(str(value) != "-0.0" for value in found)


def test_a_point_like_the_next_is_dropped_and_an_empty_ring_stays_empty() -> None:
    xs, ys = columns_of(((0.0, 0.0), (0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 0.0)))
    assert sorted(zip(*drop_repeats(xs, ys), strict=True)) == [(0.0, 0.0), (2.0, 0.0), (2.0, 1.0)]
    assert drop_repeats(*columns_of(())) == ([], [])
