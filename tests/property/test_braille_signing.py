"""Whatever is on the list a transcriber signs: once signed it is not asked again, and its braille stays as signed."""

from hypothesis import given
from hypothesis import strategies as st

from schedule2sign.braille.lexicon import load_acronyms, load_names, load_words
from schedule2sign.braille.risk import load_differences, risk_lines
from schedule2sign.braille.translator import Translator, open_translator
from schedule2sign.geometry.brailleascii import ascii_braille
from schedule2sign.model.braille import RiskTerm
from schedule2sign.model.flag import Severity
from schedule2sign.model.settings import CheckedTerm, Lexicon

PLAIN = open_translator("ueb-contracted", Lexicon())
ROOM = st.sampled_from(sorted(load_words("room_words.txt")))
RISKY = st.sampled_from(sorted({*load_differences(), *load_names().values(), *load_acronyms()}))
UNKNOWN = st.sampled_from(["zorblax", "vale", "oran", "toliet", "qxzv", "mcvale"])
WORDS = (ROOM | RISKY | UNKNOWN).map(str.upper).filter(str.isalpha)
LEADS = st.sampled_from(["", "", "DR. ", "ST. ", "J. "])
LINES = st.tuples(LEADS, st.lists(WORDS, min_size=1, max_size=4).map(" ".join)).map("".join)


def sign(term: RiskTerm) -> CheckedTerm:
    """The row as a transcriber would send it back; an unknown word is said to be a name."""
    if term.sign_off:
        return CheckedTerm(
            term=term.term,
            take_as=term.sign_off,
            braille=ascii_braille(term.cells),
            by="M. O.",
            on="2026-03-04",
            written=term.typed,
            stands_in=term.stands_in,
            code=term.code,
        )
    named = open_translator("ueb-contracted", Lexicon(names=(term.term,))).translate(term.term)
    return CheckedTerm(term=term.term, take_as="names", braille=ascii_braille(named.cells), by="M. O.", on="2026-03-04")


def sign_all(lines: list[str], translator: Translator) -> Lexicon:
    terms = risk_lines(translator.translate(line) for line in lines)
    return Lexicon(checked=tuple(sign(term) for term in terms))


@given(st.lists(LINES, min_size=1, max_size=3))
def test_a_signed_line_is_not_asked_again(lines: list[str]) -> None:
    translator = open_translator("ueb-contracted", sign_all(lines, PLAIN))
    again = [translator.translate(line) for line in lines]
    assert risk_lines(again) == ()
    assert [flag for line in again for flag in line.flags if flag.severity is not Severity.NOTE] == []


@given(LINES)
def test_every_question_about_a_line_is_on_the_list(line: str) -> None:
    translated = PLAIN.translate(line)
    asked = any(flag.severity is not Severity.NOTE for flag in translated.flags)
    assert bool(risk_lines([translated])) >= asked
