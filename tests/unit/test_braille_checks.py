"""The checks every translated line must stand, each with something to find."""

from schedule2sign.braille.checks import check_back, check_cells, check_joins, check_mixed_case
from schedule2sign.model.flag import Flag, Severity

CELL = "\u2801"


def codes(flags: tuple[Flag, ...]) -> list[str]:
    assert all(flag.severity is Severity.HOLD for flag in flags)
    return [flag.code for flag in flags]


def test_one_group_of_cells_for_each_word() -> None:
    assert check_cells("A B", 2, f"{CELL}\u2800{CELL}") == ()
    assert codes(check_cells("A B", 2, CELL)) == ["braille/word-count"]
    assert codes(check_cells("A", 1, f"{CELL}\u2800{CELL}")) == ["braille/word-count"]
    assert codes(check_cells("A B", 2, f"{CELL}\u2800")) == ["braille/word-count"]
    (flag,) = check_cells("A B", 2, CELL)
    assert (flag.measured, flag.required) == ("1", "2")


def test_eight_dot_cells_and_other_characters_are_found() -> None:
    assert codes(check_cells("A", 1, "\u2840")) == ["braille/unknown-character"]
    assert codes(check_cells("A", 1, "a")) == ["braille/unknown-character"]


def test_cells_must_read_back() -> None:
    assert check_back("MEN", "men", "men", capitals=True) == ()
    assert codes(check_back("MEN", "men", "man", capitals=True)) == ["braille/back-translation"]
    assert codes(check_back("VALE", "Vale", "vale", capitals=True)) == ["braille/back-translation"]
    assert check_back("VALE", "Vale", "vale", capitals=False) == ()
    assert codes(check_back("MEN", "men", "man", capitals=False)) == ["braille/back-translation"]


def test_joined_words_of_the_old_code() -> None:
    assert codes(check_joins("TO EXIT", "to exit", "us-2016-and-before")) == ["braille/old-join"]
    assert codes(check_joins("OUT OF THE WAY", "out of the way", "us-2016-and-before")) == ["braille/old-join"]
    assert check_joins("COPY AND MAIL", "copy and mail", "us-2016-and-before") == ()
    assert check_joins("TO EXIT", "to exit", "ueb-contracted") == ()


def test_mixed_capitals() -> None:
    assert codes(check_mixed_case("MED", ["MEd"], {})) == ["braille/mixed-capitals"]
    assert check_mixed_case("BED", ["BEd"], {"BEd": ""}) == ()
    # Plural letters (ABCs, UEB 8.6.3), PhD and McVale are written right.
    assert check_mixed_case("X", ["ABCs", "PhD", "McVale", "IT", "Vale"], {}) == ()
