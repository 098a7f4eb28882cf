"""The list a transcriber signs."""

from schedule2sign.braille.risk import count_lines, risk_lines
from schedule2sign.braille.translator import open_translator
from schedule2sign.model.braille import RiskTerm
from schedule2sign.model.settings import Lexicon


def risks(*texts: str, job: Lexicon | None = None, code: str = "") -> dict[str, RiskTerm]:
    translator = open_translator("ueb-contracted", job or Lexicon())
    return {term.term: term for term in risk_lines(translator.translate(text, code) for text in texts)}


def test_everyday_lines_carry_no_risk() -> None:
    assert risks("STAFF RESTROOM", "101A", "IT CLOSET", "STAIR B", "MEN") == {}


def test_what_a_transcriber_should_see_is_listed_with_reasons() -> None:
    found = risks("BAKER ROOM", "ZORBLAX", "CRASHCART", "AC ROOM", "PENTHOUSE", "MCCONNELL", "SALA")
    assert "may be a name" in found["BAKER"].reasons[0]
    assert "in no word list" in found["ZORBLAX"].reasons[0]
    assert "crash and cart" in found["CRASHCART"].reasons[0]
    assert "shortform" in found["AC"].reasons[0]  # UEB 5.7.2: ac is the shortform of according
    assert "UEB 10.11.1" in found["PENTHOUSE"].reasons[0]
    assert "name" in found["MCCONNELL"].reasons[0]
    assert found["MCCONNELL"].sign_off == "names"
    assert found["ZORBLAX"].sign_off == ""
    assert found["PENTHOUSE"].cells == "\u280f\u2822\u281e\u2813\u2833\u280e\u2811"


def test_a_difference_counts_in_the_code_it_was_found_in() -> None:
    assert "PENTHOUSE" in risks("PENTHOUSE")
    assert risks("PENTHOUSE", code="ueb-uncontracted") == {}


def test_a_title_a_name_and_its_place_are_one_term() -> None:
    (term,) = risks("DR. VALE LIBRARY").values()
    assert (term.term, term.typed, term.sign_off) == ("DR. VALE LIBRARY", "Dr. Vale Library", "names")
    assert list(risks("J. ANGEL ANGEL")) == ["J. ANGEL", "ANGEL"]
    assert list(risks("MCCONNELL SUITE, VALE")) == ["MCCONNELL SUITE", "VALE"]


def test_a_question_about_a_line_is_signed_as_a_line() -> None:
    found = risks("COPY OR MAIL", "TAKE A NUMBER", "4ST FLOOR")
    assert [(term.term, term.sign_off) for term in found.values()] == [
        ("COPY OR MAIL", "line"),
        ("TAKE A NUMBER", "line"),
        ("4ST FLOOR", ""),  # the architect's to correct
    ]


def test_a_word_inside_another_says_what_it_stands_in() -> None:
    term = risks("PENTHOUSE/COPY")["PENTHOUSE"]
    assert (term.typed, term.stands_in, term.back) == ("penthouse", "penthouse/copy", "penthouse/copy")


def test_a_term_is_listed_once_with_every_line_it_stands_on() -> None:
    found = risks("BAKER ROOM", "BAKER OFFICE", "BAKER ROOM")
    assert found["BAKER"].seen_in == ("BAKER ROOM", "BAKER OFFICE")


def test_words_of_another_language_are_listed() -> None:
    assert set(risks("SALA DE ESPERA", code="spanish")) == {"SALA", "DE", "ESPERA"}


def test_a_signed_off_term_leaves_the_list() -> None:
    job = Lexicon(names=("McConnell",), words=("BAKER", "PENTHOUSE"), spelled=("AC",))
    assert risks("BAKER ROOM", "PENTHOUSE", "MCCONNELL HALL", "AC ROOM", job=job) == {}


def test_a_line_at_fault_is_listed_whole() -> None:
    assert "DISH/COPY" in risks("DISH/COPY")


def test_the_count_a_job_prints() -> None:
    translator = open_translator("ueb-contracted", Lexicon())
    lines = [translator.translate(text) for text in ("MEN", "MEN", "WOMEN", "BAKER ROOM")]
    assert count_lines(lines) == (3, 1)
