"""Which words of an all-capitals line take capitals and contractions (ADA 703.3.1, UEB 10.12), and what is asked."""

import pytest

from schedule2sign.braille.translator import Translator, open_translator
from schedule2sign.errors import InputError
from schedule2sign.geometry.brailleascii import ascii_braille
from schedule2sign.model.braille import BrailleLine, TokenKind
from schedule2sign.model.flag import Severity
from schedule2sign.model.settings import Lexicon


@pytest.fixture(scope="module")
def plain() -> Translator:
    return open_translator("ueb-contracted", Lexicon())


def codes(line: BrailleLine) -> list[str]:
    return [flag.code for flag in line.flags]


def typed(line: BrailleLine) -> str:
    return "".join(token.typed for token in line.tokens)


# Raised text, text with the capitals the ADA allows, ASCII braille, flags. The clause for capitals is ADA 703.3.1
# throughout; the sections are those of The Rules of Unified English Braille, 2nd ed.
TRAPS = [
    ("IT CLOSET", "IT closet", ",,it closet", [], "10.12.1"),
    ("US ARMY RECRUITING", "US Army recruiting", ",,us ,>my recruit+", [], "10.12.1"),
    ("ER TRIAGE", "ER triage", ",,er triage", [], "10.12.1"),
    ("ED TRIAGE", "ED triage", ",,ed triage", [], "10.12.1"),
    ("DR. VALE LIBRARY", "Dr. Vale Library", ",dr4 ,vale ,libr>y", ["braille/name-extent"], "8.4"),
    ("ST. ORAN HALL", "St. Oran Hall", ",st4 ,oran ,hall", ["braille/name-extent"], "10.4.2"),
    ("STAIR B", "stair B", "/air ;,b", [], "5.7.1"),
    ("STAIR A", "stair A", "/air ,a", [], "5.7.1"),
    ("ROOM I", "room I", "room ,i", [], "5.2.1"),
    ("101A", "101A", "#aja,a", [], "6.5.2"),
    ("101K", "101K", "#aja,k", [], "6.5.2"),
    ("101-B", "101-B", "#aja-;,b", [], "5.7.1, 6.5.4"),
    ("B-101", "B-101", ";,b-#aja", [], "5.7.1"),
    ("2-104", "2-104", "#b-#ajd", [], "6.3.1"),
    ("LEVEL 2 204", "level 2 204", "level #b #bjd", [], "6.6.1"),
    ("R&D LAB", "R&D lab", ",r@&,d lab", [], "8.4.2"),
    ("CO-WORKING", "co-working", 'co-"w+', [], "10.7.1"),
    ("X-RAY", "X-ray", ";,x-ray", [], "5.7.1"),
    ("MOTHER'S ROOM", "mother's room", "\"m's room", [], "10.7"),
    ("1ST FLOOR", "1st floor", "#ast floor", [], "6.5.1"),
    ("4TH FLOOR", "4th floor", "#dth floor", [], "6.5.1"),
    ("WOMEN", "women", "wom5", [], "10.6"),
    ("MEN", "men", "m5", [], "10.6"),
    ("T.V. ROOM", "T.V. room", ",t4,v4 room", [], "10.12"),
    ("PRE-K", "pre-K", "pre-;,k", [], "5.7.1"),
    ("POST-OP", "post-op", "po/-op", [], "10.4"),
    ("ED-101", "ED-101", ",,ed-#aja", [], "10.12.1"),
    ("E101", "E101", ",e#aja", [], "6.7.1"),
    ("IT/AV", "IT/AV", ",,it_/,,av", [], "10.12.1"),
    ("OR 3", "OR 3", ",,or #c", [], "10.12.1"),
    ("MRI CT PET", "MRI CT PET", ",,,mri ct pet,'", [], "8.5.2"),
    ("PHASE II", "phase II", "phase ,,ii", [], "8.4"),
    ("COPY OR MAIL", "copy or mail", "copy or mail", ["braille/acronym-or-word"], "-"),
    ("BAKER ROOM", "baker room", "bak] room", ["braille/name-or-word"], "-"),
    ("TAKE A NUMBER", "take A number", "take ,a numb]", ["braille/letter-or-word"], "-"),
    ("DO NOT ENTER", "Do not enter", ",d n 5t]", ["braille/sentence"], "8.1.1"),
    ("CRASHCART", "crashcart", "cra%c>t", ["braille/compound"], "10.11.1"),
]


@pytest.mark.parametrize(("text", "capitals", "expected", "flags", "section"), TRAPS, ids=[row[0] for row in TRAPS])
def test_traps_come_out_right_or_asked(
    plain: Translator, text: str, capitals: str, expected: str, flags: list[str], section: str
) -> None:
    line = plain.translate(text)
    assert typed(line) == capitals.replace(" ", ""), section
    assert ascii_braille(line.cells).lower() == expected, section
    assert codes(line) == flags
    assert line.back == capitals
    assert all(flag.severity is Severity.ASK for flag in line.flags)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("ZORBLAX ROOM", "braille/unknown-word"),
        ("TOLIET", "braille/unknown-word"),  # a misspelling met in real room lists
        ("STOR", "braille/unknown-word"),
        ("SCI ROOM", "braille/unknown-word"),
        ("DR. LOUNGE", "braille/unknown-word"),
        ("4ST FLOOR", "braille/ordinal"),
        ("DISH/COPY", "braille/word-beside-sign"),
        ("ROOM \u4e2d", "braille/unknown-character"),
    ],
)
def test_what_nobody_can_know_is_held(plain: Translator, text: str, code: str) -> None:
    line = plain.translate(text)
    assert code in codes(line)
    assert any(flag.severity is Severity.HOLD for flag in line.flags)
    assert all(flag.message and flag.fix and flag.given == text for flag in line.flags)


def test_an_unknown_word_says_what_where_and_what_to_do(plain: Translator) -> None:
    (flag,) = plain.translate("ZORBLAX ROOM").flags
    assert flag.message == "'ZORBLAX' in 'ZORBLAX ROOM' is in no word list: a name, an acronym or a misspelling?"
    assert flag.fix == (
        "Correct the schedule, or add ZORBLAX to the job's lexicon under names, spelled, spoken or words."
    )
    assert flag.clause == "ADA 703.3.1"


# A term signed off into the job's lexicon is not asked again.
SIGN_OFFS = [
    ("ZORBLAX ROOM", Lexicon(names=("Zorblax",)), "Zorblax room"),
    ("ZORBLAX ROOM", Lexicon(names=("ZORBLAX ROOM",)), "Zorblax Room"),
    ("ZORBLAX ROOM", Lexicon(spelled=("ZORBLAX",)), "ZORBLAX room"),
    ("ZORBLAX ROOM", Lexicon(spoken=("ZORBLAX",)), "ZORBLAX room"),
    ("ZORBLAX ROOM", Lexicon(words=("zorblax",)), "zorblax room"),
    ("DR. VALE LIBRARY", Lexicon(names=("VALE LIBRARY",)), "Dr. Vale Library"),
    ("DR. VALE LIBRARY", Lexicon(names=("VALE",)), "Dr. Vale library"),
    ("DR. VALE LIBRARY", Lexicon(names=("Dr. Vale Library",)), "Dr. Vale Library"),
    ("BAKER ROOM", Lexicon(words=("BAKER",)), "baker room"),
    ("BAKER'S ROOM", Lexicon(names=("BAKER",)), "Baker's room"),
    ("MCVALE HALL", Lexicon(names=("McVale",)), "McVale hall"),
    ("COPY OR MAIL", Lexicon(words=("OR",)), "copy or mail"),
    ("CLEAN OR SOILED", Lexicon(spelled=("OR",)), "clean OR soiled"),
    ("TAKE A NUMBER", Lexicon(words=("A",)), "take a number"),
    ("DO NOT ENTER", Lexicon(names=("Do not enter",)), "Do not enter"),
    ("DO NOT ENTER", Lexicon(names=("do not enter",)), "do not enter"),
    ("CRASHCART", Lexicon(words=("CRASHCART",)), "crashcart"),
    ("4ST", Lexicon(spelled=("4ST",)), "4ST"),
    ("12ABC", Lexicon(spelled=("12ABC",)), "12ABC"),
    ("PHD STUDENTS", Lexicon(spelled=("PhD",)), "PhD students"),
]


@pytest.mark.parametrize(("text", "job", "capitals"), SIGN_OFFS)
def test_a_signed_off_term_is_not_asked_again(plain: Translator, text: str, job: Lexicon, capitals: str) -> None:
    line = open_translator("ueb-contracted", job).translate(text)
    assert (line.back, line.flags) == (capitals, ())
    assert plain.translate(text).flags or text == "ED"


def test_the_jobs_word_beats_ours(plain: Translator) -> None:
    job = open_translator("ueb-contracted", Lexicon(words=("IT",), names=("HALL",)))
    assert plain.translate("IT HALL").back == "IT hall"
    assert job.translate("IT HALL").back == "it Hall"


@pytest.mark.parametrize(
    ("text", "kind", "contracted"),
    [
        ("ROOM", TokenKind.WORD, True),
        ("MCCONNELL", TokenKind.NAME, True),
        ("IT", TokenKind.SPELLED, False),
        ("NICU", TokenKind.SPOKEN, True),
        ("B", TokenKind.LETTER, False),
        ("T.V.", TokenKind.INITIALS, False),
        ("204", TokenKind.NUMBER, True),
        ("101A", TokenKind.ROOM_CODE, False),
        ("1ST", TokenKind.ORDINAL, True),
        ("&", TokenKind.SYMBOL, True),
        ("QXZV", TokenKind.UNKNOWN, True),
    ],
)
def test_every_class_of_token_is_met(plain: Translator, text: str, kind: TokenKind, contracted: bool) -> None:
    (token,) = plain.translate(text).tokens
    assert (token.text, token.kind, token.contracted) == (text, kind, contracted)
    assert token.reason


def test_cells_break_into_words_where_the_text_does(plain: Translator) -> None:
    for text in ("STAFF RESTROOM", "LEVEL 2 204", "AREA OF RESCUE ASSISTANCE", "MRI CT PET", "MEN"):
        groups = plain.translate(text).cells.split("\u2800")
        assert len(groups) == len(text.split())
        assert all(groups)


def test_a_curly_apostrophe_is_read_as_the_straight_one(plain: Translator) -> None:
    for text in ("MOTHER\u2019S ROOM", "TEACHERS\u2019 LOUNGE"):
        line = plain.translate(text)
        assert (line.text, line.flags) == (text, ())
        assert line.cells == plain.translate(text.replace("\u2019", "'")).cells


def test_the_same_text_is_translated_once(plain: Translator) -> None:
    assert plain.translate("STAFF RESTROOM") is plain.translate("STAFF RESTROOM")


# --- codes ---


def test_uncontracted_ueb_spells_every_letter(plain: Translator) -> None:
    line = plain.translate("STAFF RESTROOM", "ueb-uncontracted")
    assert (ascii_braille(line.cells), line.code, line.flags) == ("STAFF RESTROOM", "ueb-uncontracted", ())


def test_the_old_us_code_is_offered_with_a_note(plain: Translator) -> None:
    line = plain.translate("STATION", "us-2016-and-before")
    # EBAE wrote "ation" as dots 6, 1345; UEB dropped that sign (from memory).
    assert ascii_braille(line.cells) == "/,N"
    assert [(flag.code, flag.severity) for flag in line.flags] == [("braille/old-code", Severity.NOTE)]
    assert "braille/old-join" in codes(plain.translate("OFFICE OF THE DEAN", "us-2016-and-before"))


# From memory, no source at hand: the accented letters of the three codes (French and Spanish e acute, Spanish n tilde,
# German u umlaut and sch) and the capital sign of French and Spanish, dots 46.
FOREIGN = [
    ("SALA DE ESPERA", "spanish", "SALA DE ESPERA"),
    ("BA\u00d1O", "spanish", "BA]O"),
    ("CAF\u00c9", "french", "CAF="),
    ("B\u00dcRO", "german", "B\\RO"),
    ("SCHULE", "german", ":ULE"),
]


@pytest.mark.parametrize(("text", "code", "expected"), FOREIGN)
def test_lines_in_other_languages_use_their_own_code_and_are_asked(
    plain: Translator, text: str, code: str, expected: str
) -> None:
    line = plain.translate(text, code)
    assert ascii_braille(line.cells) == expected
    assert [(flag.code, flag.severity) for flag in line.flags] == [("braille/language-words", Severity.ASK)]
    signed_off = open_translator(code, Lexicon(words=tuple(text.split()))).translate(text)
    assert (signed_off.cells, signed_off.flags) == (line.cells, ())


def test_names_take_a_capital_where_the_code_has_one(plain: Translator) -> None:
    job = open_translator("spanish", Lexicon(names=("Oran",), words=("SALA",)))
    assert ascii_braille(job.translate("SALA ORAN").cells) == "SALA .ORAN"
    assert ascii_braille(job.translate("SALA ORAN", "german").cells) == "SALA ORAN"


def test_an_unknown_code_is_named_with_the_known_ones() -> None:
    with pytest.raises(InputError, match=r"no braille code .morse..*ueb-contracted.*spanish"):
        open_translator("morse", Lexicon())
