"""Known faults of the braille engine: each is worked around, and each test says when the workaround can go.

The first half of each pair fails when the workaround is removed; the second fails when the engine is cured, so that
the workaround can be dropped. Faults were measured on liblouis 3.24.0; the right cells are in The Rules of Unified
English Braille, 2nd ed.
"""

import pytest

from schedule2sign.braille.engine import LouisEngine
from schedule2sign.braille.translator import open_translator
from schedule2sign.geometry.brailleascii import ascii_braille
from schedule2sign.model.settings import Lexicon

UEB = ["unicode.dis", "en-ueb-g2.ctb"]
CURED = "the engine no longer has this fault: drop the workaround"


def sign(text: str, **job: tuple[str, ...]) -> str:
    return ascii_braille(open_translator("ueb-contracted", Lexicon(**job)).translate(text).cells).lower()


def raw(text: str) -> str:
    return ascii_braille(LouisEngine(UEB).translate(text)).lower()


def test_two_numbers_are_not_welded() -> None:
    assert sign("LEVEL 2 204") == "level #b #bjd"  # UEB 6.6.1: unclear spaces are ordinary spaces


def test_two_numbers_are_still_welded_by_the_engine() -> None:
    assert raw("level 2 204") == 'level #b"bjd', CURED


@pytest.mark.parametrize(
    ("acronym", "right", "wrong"),
    [
        ("IT", ",,it", ",,x"),
        ("US", ",,us", ",,u"),
        ("ER", ",,er", ",,]"),
        ("ED", ",,ed", ",,$"),
        ("WHO", ",,who", ",,:o"),
    ],
)
def test_acronyms_said_letter_by_letter_are_not_contracted(acronym: str, right: str, wrong: str) -> None:
    assert sign(acronym) == right  # UEB 10.12.1
    assert raw(acronym) == wrong, CURED


def test_print_capitals_do_not_reach_the_braille() -> None:
    assert sign("MEN") == "m5"  # ADA 703.3.1
    assert raw("MEN") == ",,m5"


def test_capitals_are_chosen_word_by_word() -> None:
    # Print handed over as it stands, or made small as a whole, is wrong either way.
    assert sign("IT CLOSET") == ",,it closet"  # UEB 10.1.3, ADA 703.3.1
    assert raw("IT CLOSET") == ",,x ,,closet"
    assert raw("it closet") == "x closet"


def test_capitals_inside_a_degree() -> None:
    assert sign("BED", names=("BEd",)) == ",b,$"  # UEB 10.12.2


def test_capitals_inside_a_degree_are_still_wrong_in_the_engine() -> None:
    assert raw("BEd") == ",,be,'d", CURED


def test_other_mixed_capitals_are_held() -> None:
    line = open_translator("ueb-contracted", Lexicon(names=("MEd",))).translate("MED")
    assert "braille/mixed-capitals" in [flag.code for flag in line.flags]


def test_other_mixed_capitals_are_still_wrong_in_the_engine() -> None:
    # As printed for BEd (UEB 10.12.2), each capital has its own indicator and the capitals do not end inside.
    assert raw("MEd") != ",m,$", CURED


def test_initials_read_back_as_letters() -> None:
    line = open_translator("ueb-contracted", Lexicon()).translate("T.V. ROOM")
    assert (line.back, line.flags) == ("T.V. room", ())


def test_initials_are_still_read_back_as_words_by_the_engine() -> None:
    engine = LouisEngine(UEB)
    assert engine.translate_back(engine.translate("T.V.")) != "T.V.", CURED


def test_a_capitals_passage_reads_back_in_capitals() -> None:
    line = open_translator("ueb-contracted", Lexicon()).translate("MRI CT PET")
    assert (line.back, line.flags) == ("MRI CT PET", ())


def test_a_capitals_passage_is_still_read_back_in_small_letters_by_the_engine() -> None:
    engine = LouisEngine(UEB)
    assert engine.translate_back(engine.translate("MRI CT PET")) != "MRI CT PET", CURED


@pytest.mark.parametrize(("text", "wrong"), [("DISH/COPY", "4h_/copy"), ("STOREROOM/COPY", "/or]oom_/copy")])
def test_words_that_touch_a_slash_are_held(text: str, wrong: str) -> None:
    line = open_translator("ueb-contracted", Lexicon()).translate(text)
    assert [flag.code for flag in line.flags] == ["braille/word-beside-sign"]
    assert raw(text.lower()) == wrong, CURED


def test_words_that_touch_a_slash_and_come_out_right_pass() -> None:
    for text, right in (("COPY/MAIL", "copy_/mail"), ("COPY/CONFERENCE", "copy_/conf];e")):
        line = open_translator("ueb-contracted", Lexicon()).translate(text)
        assert (ascii_braille(line.cells).lower(), line.flags) == (right, ())
