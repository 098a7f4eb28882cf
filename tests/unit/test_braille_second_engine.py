"""Our braille against an independent implementation: brltty's contraction table en-ueb-g2 (Debian package brltty).

Every word on which the two differ is listed in second_engine.csv with the rule that decides; a new difference fails.
"""

import csv
import re
import shutil
import subprocess
import tomllib
from importlib import resources
from pathlib import Path

import pytest

from schedule2sign.braille.lexicon import load_acronyms, load_names, load_words
from schedule2sign.braille.risk import load_differences
from schedule2sign.braille.translator import open_passages, open_translator
from schedule2sign.intake.reader import read_schedule
from schedule2sign.model.flag import holds
from schedule2sign.model.settings import Lexicon, Settings
from schedule2sign.naming.rename import name_rows
from schedule2sign.naming.vocabulary import load_vocabulary
from schedule2sign.signlist.decide import decide_signs

TABLE = Path("/etc/brltty/Contraction/en-ueb-g2.ctb")
FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
TOKENS = FIXTURES.parents[1] / "shared" / "data" / "room_tokens.csv"
SCHEDULES = sorted(
    path
    for folder in ("schedules", "demo")
    for path in (FIXTURES / folder).iterdir()
    if path.suffix in (".csv", ".xlsx", ".xls", ".ods")
)
REASONS = tomllib.loads(
    resources.files("schedule2sign.braille").joinpath("second_engine.toml").read_text(encoding="utf-8")
)
PHRASES = tuple(
    line
    for line in (FIXTURES / "braille" / "common-phrases.txt").read_text(encoding="utf-8").splitlines()
    if not line.startswith("#")
)
needs_brltty = pytest.mark.skipif(
    shutil.which("brltty-ctb") is None or not TABLE.is_file(),
    reason="brltty is not installed (apt-get install brltty): the second engine was NOT compared",
)


def second_engine(texts: list[str]) -> list[str]:
    done = subprocess.run(
        ["brltty-ctb", "-c", str(TABLE)], input="\n".join(texts) + "\n", capture_output=True, text=True, check=True
    )
    lines = done.stdout.splitlines()
    assert len(lines) == len(texts)
    return lines


def follows_a_pattern(word: str, ours: str, theirs: str) -> bool:
    """A kind of number whose difference one rule explains, whatever the number is."""
    return any(
        re.search(entry["pattern"], word) and theirs.replace(entry["more"], "") == ours
        for entry in REASONS.values()
        if "pattern" in entry
    )


def words_of_signs() -> dict[str, str]:
    """Typed word -> our cells, over the phrases."""
    translator = open_translator("ueb-contracted", Lexicon())
    found: dict[str, str] = {}
    for phrase in PHRASES:
        _, words = translator.read_words(phrase, translator.code)
        groups = translator.translate(phrase).cells.split("\u2800")
        found |= {word.typed: group for word, group in zip(words, groups, strict=True)}
    return found


def words_of_lexicon() -> dict[str, str]:
    """Typed word -> our cells, over every word, acronym and name of our lists."""
    translator = open_translator("ueb-contracted", Lexicon())
    engine = translator.open_engine(translator.code.tables)
    found = {
        letters: engine.translate(letters, [entry.kind.name == "SPELLED"] * len(letters))
        for letters, entry in load_acronyms().items()
    }
    plain = (*load_words("room_words.txt"), *load_words("words.txt"), *load_names().values())
    return found | {word: engine.translate(word) for word in plain}


def words_of_fixtures() -> dict[str, str]:
    """Typed word -> our cells, over every message of every schedule among the fixtures."""
    translator = open_translator("ueb-contracted", Lexicon())
    settings = Settings()
    vocabulary = load_vocabulary(settings)
    found: dict[str, str] = {}
    for path in SCHEDULES:
        rows = read_schedule([path]).rows
        for request in decide_signs(name_rows(rows, vocabulary, settings), settings).requests:
            for message in request.messages:
                _, words = translator.read_words(message.text, translator.code)
                groups = open_passages(translator.translate(message.text).cells.split("\u2800"))
                found |= {word.typed: group for word, group in zip(words, groups, strict=True)}
    return found


def test_the_fixtures_hold_lines_to_compare() -> None:
    assert len(SCHEDULES) >= 5
    assert len(words_of_fixtures()) > 200


def test_there_are_five_hundred_phrases_and_none_is_held() -> None:
    translator = open_translator("ueb-contracted", Lexicon())
    assert len(set(PHRASES)) >= 500
    assert [phrase for phrase in PHRASES if holds(translator.translate(phrase).flags)] == []


@pytest.mark.skipif(not TOKENS.is_file(), reason="the counts of words in public room lists are not at hand")
def test_the_phrases_hold_the_most_frequent_words_of_public_room_lists() -> None:
    held = {word for phrase in PHRASES for word in re.split(r"[ /&-]", phrase)}
    with TOKENS.open(encoding="utf-8", newline="") as file:
        frequent = [row["token"].upper() for row in csv.DictReader(file)][:400]
    known = load_words("room_words.txt") | load_words("words.txt")
    words = [word for word in frequent if word.lower() in known]
    assert len(words) > 200
    assert [word for word in words if word not in held] == []


def test_every_phrase_reads_back() -> None:
    translator = open_translator("ueb-contracted", Lexicon())
    for phrase in PHRASES:
        assert translator.translate(phrase).back.upper() == phrase


@needs_brltty
@pytest.mark.parametrize("gather", [words_of_signs, words_of_lexicon, words_of_fixtures])
def test_every_difference_is_listed_with_its_rule(gather: object) -> None:
    assert callable(gather)
    ours = gather()
    listed = {word: (row.ours, row.second) for word, row in load_differences().items()}
    theirs = dict(zip(ours, second_engine(list(ours)), strict=True))
    found = {
        word: (cells, theirs[word])
        for word, cells in ours.items()
        if cells != theirs[word] and not follows_a_pattern(word, cells, theirs[word])
    }
    new = {word: pair for word, pair in found.items() if listed.get(word) != pair}
    gone = {word for word in listed if word in ours and word not in found}
    assert (new, gone) == ({}, set())


@needs_brltty
def test_the_comparison_would_notice_a_wrong_cell() -> None:
    ours = words_of_signs()
    ours["restroom"] = ours["restroom"].replace("\u280c", "\u2808")
    assert second_engine(["restroom"])[0] != ours["restroom"]
    assert "restroom" not in load_differences()


def test_every_listed_difference_has_a_reason_with_a_clause() -> None:
    folder = resources.files("schedule2sign.braille")
    rows = list(csv.DictReader(folder.joinpath("second_engine.csv").read_text(encoding="utf-8").splitlines()))
    assert {row["reason"] for row in rows} == {name for name, entry in REASONS.items() if "pattern" not in entry}
    assert all(entry["clause"].startswith("UEB ") and entry["why"] for entry in REASONS.values())
    assert len({row["typed"] for row in rows}) == len(rows)
