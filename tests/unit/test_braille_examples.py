"""The braille of single words and numbers against the rule book.

Source: The Rules of Unified English Braille, 2nd ed., ICEB 2013; each fact has its section. Text stands as in print,
the expected braille in North American ASCII, which the rule book's examples were matched in.
"""

import pytest

from schedule2sign.braille.engine import LouisEngine
from schedule2sign.braille.translator import open_translator
from schedule2sign.geometry.brailleascii import ascii_braille, dot_numbers
from schedule2sign.model.settings import Lexicon

# Print as handed to the engine (letters between ~ stay uncontracted), ASCII braille, section.
RULE_BOOK = [
    ("northeast", "nor?1/", "10.3.1, 10.6.5"),
    ("east", "ea/", "10.6.5"),
    ("storeroom", "/oreroom", "10.11.1"),
    ("office", "(fice", "10.10.3"),
    ("self-control", "self-3trol", "7.1.1"),
    ("business", "busi;s", "10.6.8, 10.8.1"),
    ("subbasement", "subbase;t", "10.6.5, 10.11.5"),
    ("receiving", "rcvg", "10.9"),
    ("coworker", 'co"w]', "10.7.1"),
    ("beach", "b1*", "10.10.4"),
    ("happiness", "happi;s", "10.10.2"),
    ("party", '"py', "10.7.1"),
    ("chemotherapy", "*emo!rapy", "10.7.1, 10.10.9"),
    ("right-handed", '"r-h&$', "10.7.1"),
    ("it", "x", "2.6.1"),
    ("N", ";,n", "2.6.2"),
    ("3b", "#c;b", "6.5.2"),
    ("3B", "#c,b", "6.5.2"),
    ("20B", "#bj,b", "8.3.1"),
    ("b-1", ";b-#a", "5.7.1"),
    ("B-team", ";,b-t1m", "5.7.1"),
    ("N12", ",n#ab", "6.7.1"),
    ("~CH~6-1234", ",,ch#f-#abcd", "10.12.1"),
    ("3-D", "#c-;,d", "5.6.2, 6.5.4"),
    ("9-10", "#i-#aj", "6.3.1"),
    ("4.2.2", "#d4b4b", "6.2.1"),
    ("B&B", ",b@&,b", "3.1.1, 8.4.2"),
    ("he/she", "he_/%e", "7.1.1"),
    ("I/O", ",i_/,o", "8.4.2"),
    ("~IT~", ",,it", "10.1.3"),
    ("~EST~", ",,est", "10.12.1"),
    ("~OED~", ",,oed", "10.12.1, 10.12.6"),
    ("~CD~", ";,,cd", "8.7.1, 10.12.2"),
    ("~US~", ",,us", "10.12.1"),
    ("~WHO~", ",,who", "10.12.1"),
    ("ABCs", ",,abc,'s", "8.6.3"),
    ("~St~.", ",st4", "10.4.2, 10.12.2"),
    ("Stephen", ",/eph5", "10.4.2"),
]
BY_OUR_OWN_TABLE = ("BEd", ",b,$", "10.12.2")  # the engine gets this one wrong; see the tests of its faults

# Raised text, ASCII braille, the sections it is built from. Derived: not printed in the rule book as it stands.
DERIVED = [
    ("ER", ",,er", "10.12.1"),
    ("ED", ",,ed", "10.12.1 (OED)"),
    ("ROOM I", "room ,i", "5.2.1"),
    ("IT CLOSET", ",,it closet", "10.1.3 (IT)"),
    ("B-101", ";,b-#aja", "5.7.1, 5.8.1"),
    ("ROOM 101A", "room #aja,a", "6.5.2, 8.3.1"),
    ("X-RAY", ";,x-ray", "5.7.1"),
    ("MRI", ",,mri", "8.4"),
    ("MEN", "m5", "ADA 703.3.1 over 8.4"),
    ("LEVEL 2 204", "level #b #bjd", "6.6.1"),
    ("STAIR B", "/air ;,b", "5.2.1, 5.8.1"),
    ("2-B04", "#b-,b#jd", "6.5.4, 6.7.1"),
]

UEB = ["unicode.dis", "en-ueb-g2.ctb"]


def test_no_more_of_the_rule_book_than_its_licence_suggests() -> None:
    # All examples of the book that any test of this project repeats stand in this file.
    assert len({text for text, _, _ in (*RULE_BOOK, BY_OUR_OWN_TABLE)}) <= 40


@pytest.mark.parametrize(("text", "expected", "section"), RULE_BOOK, ids=[row[0] for row in RULE_BOOK])
def test_the_engine_writes_the_rule_books_examples(text: str, expected: str, section: str) -> None:
    runs = text.split("~")
    kept = [index % 2 == 1 for index, run in enumerate(runs) for _ in run]
    cells = LouisEngine(UEB).translate("".join(runs), kept)
    assert ascii_braille(cells).lower() == expected, section


# The same words as they come from an all-capitals schedule: what the rule book prints in small letters.
FROM_CAPITALS = [row for row in RULE_BOOK if row[0].isalpha() and row[0].islower() and row[0] != "it"]


@pytest.mark.parametrize(("text", "expected", "section"), FROM_CAPITALS, ids=[row[0] for row in FROM_CAPITALS])
def test_all_capitals_words_come_out_as_the_rule_book_prints_them(text: str, expected: str, section: str) -> None:
    job = Lexicon(words=(text,))
    assert ascii_braille(open_translator("ueb-contracted", job).translate(text.upper()).cells).lower() == expected


# The same facts where a sign's capitals are those of the book.
ON_SIGNS = ["3B", "20B", "B-TEAM", "9-10", "IT", "STEPHEN", "N12", "3-D", "B&B", "EST", "WHO", "US", "CD"]


@pytest.mark.parametrize("raised", ON_SIGNS)
def test_letters_and_numbers_on_a_sign_come_out_as_the_rule_book_prints_them(raised: str) -> None:
    book = {text.replace("~", "").upper(): expected for text, expected, _ in RULE_BOOK}
    job = Lexicon(names=("Stephen",), words=("TEAM",), spelled=("EST", "WHO", "CD"))
    assert ascii_braille(open_translator("ueb-contracted", job).translate(raised).cells).lower() == book[raised]


def test_the_degree_comes_from_our_own_table() -> None:
    text, expected, section = BY_OUR_OWN_TABLE
    line = open_translator("ueb-contracted", Lexicon(names=(text,))).translate(text.upper())
    assert ascii_braille(line.cells).lower() == expected, section


@pytest.mark.parametrize(("text", "expected", "section"), DERIVED, ids=[row[0] for row in DERIVED])
def test_sign_lines_built_from_the_rules(text: str, expected: str, section: str) -> None:
    line = open_translator("ueb-contracted", Lexicon()).translate(text)
    assert ascii_braille(line.cells).lower() == expected, section
    assert line.flags == ()


def test_a_word_nobody_knows_is_held_and_not_guessed() -> None:
    assert [str(flag.severity) for flag in open_translator("ueb-contracted", Lexicon()).translate("XQZV").flags] == [
        "HOLD"
    ]


def test_dot_numbers_of_a_line() -> None:
    # Dot 6 is the capital sign, dots 3456 the number sign (UEB 8.1, 6.1).
    assert dot_numbers("\u2820\u283c\u2800\u2801") == "6 3456 0 1"
