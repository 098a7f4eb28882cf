"""Lengths as printed in a standard, against exact arithmetic."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedule2sign.model.measure import Length, inches, parse_length


# Inches printed in the 2010 ADA Standards (703) and their exact millimeters, worked out by hand from 1 in = 25.4 mm.
@pytest.mark.parametrize(
    ("printed", "mm"),
    [
        ("1/32", 0.79375),
        ("1/16", 1.5875),
        ("1/8", 3.175),
        ("3/8", 9.525),
        ("5/8", 15.875),
        ("2", 50.8),
        ("0.025", 0.635),
        ("0.037", 0.9398),
        ("0.059", 1.4986),
        ("0.063", 1.6002),
        ("0.090", 2.286),
        ("0.100", 2.54),
        ("0.241", 6.1214),
        ("0.300", 7.62),
        ("0.395", 10.033),
        ("0.400", 10.16),
        ("48", 1219.2),
        ("60", 1524),
        ("1 1/2", 38.1),
    ],
)
def test_inches_are_exact(printed: str, mm: float) -> None:
    assert Length(printed, "in").mm == mm


@pytest.mark.parametrize(
    ("text", "printed", "unit", "mm"),
    [
        ("0.090 in", "0.090", "in", 2.286),
        (".5 in", "0.5", "in", 12.7),
        ("5/8 in", "5/8", "in", 15.875),
        ('1 1/2"', "1 1/2", "in", 38.1),
        ('5/8"', "5/8", "in", 15.875),
        ("5 / 8 IN", "5/8", "in", 15.875),
        ("  16 mm ", "16", "mm", 16.0),
        ("16mm", "16", "mm", 16.0),
    ],
)
def test_lengths_are_read_as_people_write_them(text: str, printed: str, unit: str, mm: float) -> None:
    length = parse_length(text)
    assert (length.printed, length.unit, length.mm) == (printed, unit, mm)


def test_a_length_without_unit_takes_the_default() -> None:
    assert parse_length("0.625", "in") == Length("0.625", "in")


@pytest.mark.parametrize("text", ["", "in", "five inches", "1/2/3 in", "-1 in", "1,5 mm", "1e3 mm", "nan mm", "1 2 in"])
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is not a length"):
        parse_length(text)


@pytest.mark.parametrize("text", ["5", "5 ft", "5 cm", "5 inch"])
def test_an_unknown_unit_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="has no unit the tool knows"):
        parse_length(text)


def test_division_by_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="divides by zero"):
        parse_length("1/0 in")


@given(st.integers(min_value=0, max_value=10**6), st.integers(min_value=0, max_value=5))
def test_printed_and_read_again_is_the_same(number: int, decimals: int) -> None:
    text = f"{number / 10**decimals:.{decimals}f}"
    length = parse_length(f"{text} in")
    assert length.printed == text
    assert parse_length(str(length)) == length
    assert inches(length.mm) == pytest.approx(float(text), rel=1e-12)
