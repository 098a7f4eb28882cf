"""The explanation of a line: contractions from the cells, reasons for capitals."""

from schedule2sign.braille.explain import explain, explanation_lines
from schedule2sign.braille.translator import open_translator
from schedule2sign.model.settings import Lexicon


def contractions(text: str) -> list[tuple[str, str]]:
    explanation = explain(text, open_translator("ueb-contracted", Lexicon()))
    return [(part.letters, part.cells) for word in explanation.words for part in word.contractions]


def test_contractions_are_read_off_the_cells() -> None:
    # Groupsigns con, er, ence (UEB 10.6.1, 10.4.1, 10.8.1; sections from memory); wordsign people (10.1.1, from memory).
    assert contractions("CONFERENCE") == [("con", "\u2812"), ("er", "\u283b"), ("ence", "\u2830\u2811")]
    assert contractions("PEOPLE") == [("people", "\u280f")]
    assert contractions("IT CLOSET") == []
    assert contractions("101A") == []


def test_an_explanation_in_words() -> None:
    explanation = explain("IT RESTROOM", open_translator("ueb-contracted", Lexicon()))
    assert list(explanation_lines(explanation)) == [
        "raised            IT RESTROOM",
        "braille           \u2820\u2820\u280a\u281e\u2800\u2817\u2811\u280c\u2817\u2815\u2815\u280d",
        "ASCII braille     ,,IT RE/ROOM",
        "back-translation  IT restroom",
        "code              ueb-contracted (Unified English Braille, contracted)",
        "",
        "IT  \u2820\u2820\u280a\u281e  ,,IT",
        "  dots          6 6 24 2345",
        "  IT            acronym said by letters: information technology, said letter by letter; "
        "capital kept: acronym (ADA 703.3.1); not contracted",
        "",
        "restroom  \u2817\u2811\u280c\u2817\u2815\u2815\u280d  RE/ROOM",
        "  dots          1235 15 34 1235 135 135 134",
        "  restroom      common word: common word; no capital (ADA 703.3.1)",
        "  contractions  st \u280c",
    ]


def test_flags_stand_at_the_end() -> None:
    lines = list(explanation_lines(explain("ZORBLAX", open_translator("ueb-contracted", Lexicon()))))
    assert lines[-1].startswith("HOLD braille/unknown-word: 'ZORBLAX' in 'ZORBLAX' is in no word list")


def test_a_line_without_braille_is_still_explained() -> None:
    explanation = explain("ROOM \u4e2d", open_translator("ueb-contracted", Lexicon()))
    assert explanation.words == ()
    assert any("unknown-character" in line for line in explanation_lines(explanation))
