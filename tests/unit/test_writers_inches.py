"""Whole columns of lengths are rounded and written just as one length is: Python's round() and format() are the reference."""

import math

import numpy
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from schedule2sign.writers.corners import write_corners
from schedule2sign.writers.inches import STEPS, inch, round_steps, steps_of
from schedule2sign.writers.rings import close_rings, close_solid, gather

LENGTHS = st.floats(min_value=-3000, max_value=3000)
# Half steps of a written inch, where a rounding error of the last bit decides.
TIES = st.integers(min_value=-5_000_000, max_value=5_000_000).map(lambda step: (step + 0.5) * 1e-6 * 25.4)


@given(st.lists(LENGTHS | TIES, min_size=1, max_size=60))
@example([0.0078125 * 25.4, 7.14375, -0.0, -1e-9])
def test_a_column_is_rounded_as_each_of_its_lengths(lengths: list[float]) -> None:
    found = (steps_of(numpy.array(lengths)) / STEPS).tolist()
    assert found == [inch(length) for length in lengths]
    assert all(str(value) != "-0.0" for value in found)


@given(st.lists(LENGTHS | TIES | st.floats(min_value=-9999, max_value=9999), min_size=1, max_size=60))
@example([0.0078125, -0.0078125, 2.5e-6, -5e-7, 5e-7, 9999.999999])
def test_a_column_of_inches_is_rounded_as_python_rounds(inches: list[float]) -> None:
    found = round_steps(numpy.array(inches))
    assert (found / STEPS).tolist() == [round(value, 6) + 0.0 for value in inches]


@pytest.mark.parametrize("wrong", [math.nan, math.inf, -math.inf, 1e9, 1e300])
def test_what_no_drawing_can_hold_is_refused(wrong: float) -> None:
    with pytest.raises(ValueError, match="a coordinate is"):
        steps_of(numpy.array([[0.0, 1.0], [wrong, 2.0]]))


@given(
    st.lists(
        st.lists(st.tuples(LENGTHS | TIES, LENGTHS | st.integers(min_value=-9, max_value=9)), min_size=1, max_size=9),
        max_size=9,
    )
)
@example([[(0.0, -0.0)], [(-1e-6, 9999.999999), (999.0, 1000.0)]])
def test_corners_are_written_as_each_number_is(paths: list[list[tuple[float, float]]]) -> None:
    steps = round_steps(numpy.array([corner for path in paths for corner in path], dtype=float).reshape(-1, 2))
    texts = write_corners(steps, [len(path) for path in paths], b" 10\r\n", b"\r\n 20\r\n", b"\r\n")
    wanted = [
        "".join(f" 10\r\n{round(x, 6) + 0.0:.6f}\r\n 20\r\n{round(y, 6) + 0.0:.6f}\r\n" for x, y in path)
        for path in paths
    ]
    assert texts == wanted


def test_a_point_like_the_next_is_dropped_and_an_empty_ring_stays_empty() -> None:
    ring = ((0.0, 0.0), (0.0, 0.0), (50.8, 0.0), (50.8, 25.4), (0.0, 0.0))
    first, second, third, fourth = close_rings(gather([ring, (), ring, ((1.0, 1.0),)]))
    assert sorted((first / STEPS).tolist()) == [[0.0, 0.0], [2.0, 0.0], [2.0, 1.0]]
    assert third.tolist() == first.tolist()
    assert second.tolist() == fourth.tolist() == []
    assert close_rings(gather([])) == []


RING = st.lists(
    st.tuples(st.integers(min_value=-4, max_value=4), st.integers(min_value=-4, max_value=4)), min_size=1, max_size=7
)


@given(st.lists(RING, min_size=1, max_size=4))
@example([[(0, 0), (1, 1), (3, 3)]])
@example([[(0, 0), (4, 0), (4, 4)], [(0, 0), (4, 4), (4, 0), (0, 4)]])
def test_what_encloses_nothing_is_refused_and_nothing_else(inches: list[list[tuple[int, int]]]) -> None:
    """Against the shoelace formula in whole inches."""
    rings = gather([[(x * 25.4, y * 25.4) for x, y in ring] for ring in inches])
    areas = [sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)) for ring in inches]
    if all(areas):
        closed = close_solid(steps_of(rings.corners), rings.lengths)
        assert [path.tolist() for path in closed] == [path.tolist() for path in close_rings(rings)]
    else:
        with pytest.raises(ValueError, match="encloses nothing and cannot be cut"):
            close_solid(steps_of(rings.corners), rings.lengths)
