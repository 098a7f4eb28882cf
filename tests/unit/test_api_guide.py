"""The Python interface: its page runs as written, and what it promises is there."""

import doctest
import inspect
from pathlib import Path

import pytest

from schedule2sign import api

PAGE = Path(api.__file__).parent / "guide" / "python.md"


def test_the_examples_of_the_page_run_as_printed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = doctest.testfile(str(PAGE), module_relative=False, encoding="utf-8", report=True)
    assert result.attempted >= 30
    assert result.failed == 0


def test_an_example_that_is_no_longer_true_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = PAGE.read_text(encoding="utf-8").split("## Make the signs")[0]
    damaged = tmp_path / "damaged.md"
    damaged.write_text(text.replace("('ROOM NAME', 'name')", "('ROOM NAME', 'number')"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert doctest.testfile(str(damaged), module_relative=False, encoding="utf-8", report=False).failed == 1


def test_every_public_name_is_there_sorted_and_explained() -> None:
    assert list(api.__all__) == sorted(api.__all__)
    own = {
        name
        for name, value in vars(api).items()
        if inspect.isfunction(value) and value.__module__ == api.__name__ and not name.startswith("_")
    }
    assert own <= set(api.__all__)
    for name in api.__all__:
        assert inspect.getdoc(getattr(api, name)), name


def test_the_page_shows_every_function() -> None:
    page = PAGE.read_text(encoding="utf-8")
    functions = {name for name in api.__all__ if inspect.isfunction(getattr(api, name))}
    # Shown by their plural or by a sentence; what lists the others needs no example.
    hidden = {"schema_names", "read_stages", "translate_lines"}
    assert {name for name in functions if f"api.{name}(" not in page} == hidden


def test_a_line_is_translated_as_it_is_raised() -> None:
    # UEB 10.12.1 and the shipped lexicon: cells as the command braille shows them.
    one = api.translate_line("  it   closet ")
    assert one.text == "IT CLOSET"
    assert api.translate_lines(["it closet", "Stair"])[0].cells == one.cells


def test_a_standard_that_does_not_exist_is_named() -> None:
    with pytest.raises(api.InputError, match="no-such"):
        api.translate_line("ROOM", api.Settings(standard="no-such"))
    with pytest.raises(api.InputError, match="manifest"):
        api.load_schema("no-such")
