"""Sign wording against worked examples of The Rules of Unified English Braille, 2nd ed., ICEB 2013, section by section.

The examples are printed there in lower case or as shown; on a sign they stand in capitals, and ADA 2010 703.3.1 takes
the capital indicators off common words, so the cells must be those of the lower-case example.
"""

import pytest

from schedule2sign.braille.translator import Translator, open_translator
from schedule2sign.model.settings import Lexicon

WORDS = [
    ("NORTHEAST", "⠝⠕⠗⠹⠂⠌", "10.3.1"),
    ("EAST", "⠑⠁⠌", "10.6.5"),
    ("STOREROOM", "⠌⠕⠗⠑⠗⠕⠕⠍", "10.11.1"),
    ("OFFICE", "⠷⠋⠊⠉⠑", "10.10.3"),
    ("SELF-CONTROL", "⠎⠑⠇⠋⠤⠒⠞⠗⠕⠇", "7.1.1"),
    ("BUSINESS", "⠃⠥⠎⠊⠰⠎", "10.6.8"),
    ("SUBBASEMENT", "⠎⠥⠃⠃⠁⠎⠑⠰⠞", "10.6.5"),
    ("RECEIVING", "⠗⠉⠧⠛", "10.9"),
    ("COWORKER", "⠉⠕⠐⠺⠻", "10.7.1"),
    ("PARTY", "⠐⠏⠽", "10.7.1"),
    ("CHEMOTHERAPY", "⠡⠑⠍⠕⠮⠗⠁⠏⠽", "10.7.1"),
    ("BEACH", "⠃⠂⠡", "10.10.4"),
    ("RIGHT-HANDED", "⠐⠗⠤⠓⠯⠫", "10.7.1"),
    ("HAPPINESS", "⠓⠁⠏⠏⠊⠰⠎", "10.10.2"),
    ("3B", "⠼⠉⠠⠃", "6.5.2"),
    ("20B", "⠼⠃⠚⠠⠃", "8.3.1"),
    ("B-TEAM", "⠰⠠⠃⠤⠞⠂⠍", "5.7.1"),
    ("9-10", "⠼⠊⠤⠼⠁⠚", "6.3.1"),
    ("IT", "⠠⠠⠊⠞", "10.1.3"),
    ("ST. STEPHEN", "⠠⠎⠞⠲⠀⠠⠌⠑⠏⠓⠢", "10.4.2"),
]
# Built from the rules named; a transcriber should sign them off.
DERIVED = [
    ("ER", "⠠⠠⠑⠗", "10.12.1"),
    ("ROOM 101A", "⠗⠕⠕⠍⠀⠼⠁⠚⠁⠠⠁", "6.5.2, 8.3.1"),
    ("B-101", "⠰⠠⠃⠤⠼⠁⠚⠁", "5.7.1, 5.8.1"),
    ("X-RAY", "⠰⠠⠭⠤⠗⠁⠽", "5.7.1"),
    ("MRI", "⠠⠠⠍⠗⠊", "8.4"),
    ("IT CLOSET", "⠠⠠⠊⠞⠀⠉⠇⠕⠎⠑⠞", "10.1.3"),
    ("MEN", "⠍⠢", "ADA 703.3.1 over 8.4"),
    ("LEVEL 2 204", "⠇⠑⠧⠑⠇⠀⠼⠃⠀⠼⠃⠚⠙", "6.6.1"),
    ("STAIR B", "⠌⠁⠊⠗⠀⠰⠠⠃", "5.2.1, 5.8.1"),
]


@pytest.fixture(scope="module")
def translator() -> Translator:
    return open_translator("ueb-contracted", Lexicon(names=("STEPHEN",)))


@pytest.mark.parametrize(("text", "cells", "section"), WORDS + DERIVED)
def test_example(translator: Translator, text: str, cells: str, section: str) -> None:
    assert translator.translate(text).cells == cells, section


def test_a_word_nobody_knows_is_held_and_not_guessed(translator: Translator) -> None:
    assert any(flag.severity == "HOLD" for flag in translator.translate("XQZV").flags)
