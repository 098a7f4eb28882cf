"""The page on the job file: its example loads, and no key the program takes is missing from it."""

import re
from dataclasses import fields
from pathlib import Path

import pytest

from schedule2sign.errors import InputError
from schedule2sign.model.settings import CheckedTerm, Lexicon, Settings, Wording
from schedule2sign.resources import guide_folder, templates_folder
from schedule2sign.settings import load_settings
from schedule2sign.signlist.rulebook import load_rules
from schedule2sign.signmaker import open_maker

PAGE = (guide_folder() / "job-file.md").read_text(encoding="utf-8")
EXAMPLE = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)[0]


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "job.toml"
    path.write_text(EXAMPLE, encoding="utf-8")
    return path


def test_the_example_is_a_job_that_can_be_made(job: Path) -> None:
    settings = load_settings(job)
    assert settings != Settings()
    maker = open_maker(settings)
    assert maker.process.letter_cutter.included_angle_deg == 30
    rules = load_rules(settings.wording, settings.rules, maker.templates)
    assert "HB1" in {rule.id for rule in rules.rules}
    assert "N5" not in {rule.id for rule in rules.rules}
    assert (templates_folder() / settings.templates).is_dir()


@pytest.mark.parametrize("table", ["", "job", "standard", "second_language", "make", "checks"])
def test_every_key_of_a_table_stands_in_the_page(tmp_path: Path, table: str) -> None:
    path = tmp_path / "job.toml"
    path.write_text(f"[{table}]\nnothing = 1\n" if table else "nothing = 1\n", encoding="utf-8")
    with pytest.raises(InputError, match="known: ") as caught:
        load_settings(path)
    known = str(caught.value).split("known: ")[1].rstrip(".").split(", ")
    assert len(known) >= 2
    assert [key for key in known if not re.search(rf"\b{key}\b\]? ?(=|\]|$)", PAGE, re.MULTILINE)] == []


@pytest.mark.parametrize("kind", [Wording, Lexicon])
def test_every_word_list_stands_in_the_page(kind: type) -> None:
    assert [field.name for field in fields(kind) if not re.search(rf"\b{field.name}\b(\]| =)", PAGE)] == []


def test_what_a_signed_term_needs_stands_in_the_page() -> None:
    needed = [field.name for field in fields(CheckedTerm) if field.name in ("term", "take_as", "braille", "by", "on")]
    assert len(needed) == 5
    assert all(f"\n{name} = " in PAGE for name in needed)
