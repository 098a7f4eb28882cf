"""The shipped pictograms are different drawings: a wrong figure on a toilet door is a wrong sign."""

from itertools import combinations

from schedule2sign.resources import templates_folder


def test_no_two_pictograms_are_the_same_drawing() -> None:
    drawings = {path.stem: path.read_bytes() for path in (templates_folder() / "pictograms").glob("*.svg")}
    assert {"men", "women", "all"} <= set(drawings)
    for (one, first), (other, second) in combinations(sorted(drawings.items()), 2):
        assert first != second, f"{one} and {other}"
