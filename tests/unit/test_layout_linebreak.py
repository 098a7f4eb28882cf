"""Where names are broken, and where never. The joining words are common practice, no source, unless a source is named."""

import pytest

from schedule2sign.geometry.dotgrid import BLANK
from schedule2sign.layout.brailleblock import break_braille
from schedule2sign.layout.fields import Align
from schedule2sign.layout.linebreak import break_lines, load_joints, narrowest
from schedule2sign.model.braille import BrailleLine, CellSize, Token, TokenKind

SIZE = CellSize(
    name="us", dot_pitch_mm=2.413, cell_pitch_mm=6.858, line_pitch_mm=10.0965, base_mm=1.5494, height_mm=0.8
)


def broken(text: str, most_characters: int, lines: int = 3, align: Align = Align.CENTER) -> list[str] | None:
    """Break with every character one wide, so that the rules are seen apart from any font."""
    words = text.split()
    ranges = break_lines(words, lambda a, b: len(" ".join(words[a:b])), most_characters, lines, align)
    return None if ranges is None else [" ".join(words[a:b]) for a, b in ranges]


@pytest.mark.parametrize(
    ("text", "width", "expected"),
    [
        # The worked example of the trade: three lines, widest 17 characters.
        (
            "DEPARTMENT OF ENVIRONMENTAL HEALTH AND SAFETY",
            17,
            ["DEPARTMENT", "OF ENVIRONMENTAL", "HEALTH AND SAFETY"],
        ),
        ("DEPARTMENT OF ENVIRONMENTAL HEALTH AND SAFETY", 29, ["DEPARTMENT OF ENVIRONMENTAL", "HEALTH AND SAFETY"]),
        ("EXAM 3", 4, None),
        ("STAIR B LOBBY", 8, ["STAIR B", "LOBBY"]),
        ("WAITING AREA LEVEL 2", 12, ["WAITING AREA", "LEVEL 2"]),
        ("STORAGE / MECHANICAL", 12, ["STORAGE /", "MECHANICAL"]),
        ("OFFICE - ENVIRONMENTAL SERVICES", 24, ["OFFICE -", "ENVIRONMENTAL SERVICES"]),
        ("HOUSE OF THE ARTS", 11, ["HOUSE", "OF THE ARTS"]),
        ("J. SMITH LIBRARY", 9, ["J. SMITH", "LIBRARY"]),
        ("DR. KING LIBRARY", 9, ["DR. KING", "LIBRARY"]),
        ("CONFERENCE ROOM", 20, ["CONFERENCE ROOM"]),
    ],
)
def test_breaks(text: str, width: int, expected: list[str] | None) -> None:
    assert broken(text, width) == expected


def test_fewest_lines_then_smallest_widest_line() -> None:
    assert broken("AAAA BBBB CCCC DDDD", 14) == ["AAAA BBBB", "CCCC DDDD"]
    assert broken("AAAA BBBB CCCC DDDD", 9, lines=2) == ["AAAA BBBB", "CCCC DDDD"]
    assert broken("AAAA BBBB CCCC DDDD", 8, lines=3) is None


def test_of_equal_breaks_the_longer_line_is_last_when_centered_and_first_when_flush_left() -> None:
    assert broken("AAAA BB CCCC", 8, align=Align.CENTER) == ["AAAA", "BB CCCC"]
    assert broken("AAAA BB CCCC", 8, align=Align.LEFT) == ["AAAA BB", "CCCC"]


def test_no_line_ends_in_a_joining_word_and_no_word_is_divided() -> None:
    joints = load_joints()
    assert {"OF", "AND", "&", "THE", "TO", "FOR"} <= joints.never_last
    text = "CENTER FOR THE STUDY OF LAND AND WATER TO THE NORTH & EAST OF THE BAY"
    for width in range(8, 70):
        for line in broken(text, width, lines=5) or []:
            assert line.split()[-1] not in joints.never_last
    for width in range(30, 70):
        found = broken(text, width, lines=5)
        assert found is not None
        assert " ".join(found) == text


def test_the_part_that_cannot_be_narrower_is_named() -> None:
    words = ["OTORHINOLARYNGOLOGY", "CLINIC", "OFFICE"]
    width, first, end = narrowest(words, lambda a, b: len(" ".join(words[a:b])), 3)
    assert (width, words[first:end]) == (19, ["OTORHINOLARYNGOLOGY"])


def line(text: str, cells: str) -> BrailleLine:
    tokens = tuple(
        Token(text=word, kind=TokenKind.WORD, typed=word.lower(), contracted=True, reason="word")
        for word in text.split()
    )
    return BrailleLine(text=text, cells=cells, code="ueb-g2", tokens=tokens, back=text.lower())


def test_braille_breaks_at_blank_cells_and_each_part_repeats_its_own_words() -> None:
    whole = line("CONFERENCE ROOM 101", "⠒⠋⠻⠰⠑⠀⠗⠕⠕⠍⠀⠼⠁⠚⠁")
    parts = break_braille(whole, SIZE, 11 * SIZE.cell_pitch_mm, 3, Align.CENTER, frozenset())
    assert parts is not None
    # ROOM stays with 101, so the number is not welded to another word's line.
    assert [(part.text, part.cells) for part in parts] == [("CONFERENCE", "⠒⠋⠻⠰⠑"), ("ROOM 101", "⠗⠕⠕⠍⠀⠼⠁⠚⠁")]
    assert [[token.text for token in part.tokens] for part in parts] == [["CONFERENCE"], ["ROOM", "101"]]
    assert BLANK.join(part.cells for part in parts) == whole.cells


def test_braille_stays_on_one_line_where_it_fits_and_breaks_as_the_letters_do_where_it_can() -> None:
    whole = line("AAAA BBBB CCCC DDDD", BLANK.join(["⠁⠁⠁⠁"] * 4))
    assert break_braille(whole, SIZE, 1000, 3, Align.CENTER, frozenset()) == (whole,)
    wide = 15 * SIZE.cell_pitch_mm
    parts = break_braille(whole, SIZE, wide, 3, Align.CENTER, frozenset({1}))
    assert parts is not None
    assert [part.text for part in parts] == ["AAAA", "BBBB CCCC DDDD"]


def test_braille_whose_words_do_not_match_the_print_is_never_broken() -> None:
    odd = line("AAAA BBBB", "⠁⠁⠁⠁⠀⠁⠀⠁⠁")
    assert break_braille(odd, SIZE, 5 * SIZE.cell_pitch_mm, 3, Align.CENTER, frozenset()) is None
