"""Whatever stands on a sign: the cells divide as the text does, and nothing unknown is let through."""

from hypothesis import given
from hypothesis import strategies as st

from schedule2sign.braille.lexicon import load_acronyms, load_words
from schedule2sign.braille.translator import open_translator
from schedule2sign.model.flag import holds
from schedule2sign.model.settings import Lexicon

TRANSLATOR = open_translator("ueb-contracted", Lexicon())
WORDS = st.sampled_from(sorted(load_words("room_words.txt") | load_words("words.txt")))
ACRONYMS = st.sampled_from(sorted(load_acronyms()))
NUMBERS = st.from_regex(r"[0-9]{1,4}[A-Z]?|[A-Z]-?[0-9]{1,4}|[0-9]-[0-9]{1,3}", fullmatch=True)
LINES = st.lists(WORDS.map(str.upper) | ACRONYMS | NUMBERS, min_size=1, max_size=5).map(" ".join)


@given(LINES)
def test_one_blank_for_each_space(text: str) -> None:
    line = TRANSLATOR.translate(text)
    groups = line.cells.split("\u2800")
    assert len(groups) == len(text.split())
    assert all(groups)


@given(LINES)
def test_released_lines_read_back_as_the_text(text: str) -> None:
    line = TRANSLATOR.translate(text)
    assert holds(line.flags) or line.back.upper() == text


@given(LINES)
def test_the_tokens_are_the_text(text: str) -> None:
    line = TRANSLATOR.translate(text)
    assert "".join(token.text for token in line.tokens) == text.replace(" ", "")
    assert "".join(token.typed for token in line.tokens).upper() == text.replace(" ", "")


@given(st.text(alphabet=st.characters(min_codepoint=33, max_codepoint=0x2FF), min_size=1, max_size=20))
def test_any_text_is_translated_or_held_never_refused(text: str) -> None:
    line = TRANSLATOR.translate(text.upper())
    assert set(line.cells) <= {chr(0x2800 + bits) for bits in range(64)} or holds(line.flags)
