"""The engine is found, recorded and named when it is missing."""

import hashlib
import subprocess
import sys
from pathlib import Path

import pytest

from schedule2sign.braille import engine as engine_module
from schedule2sign.braille.codes import load_codes
from schedule2sign.braille.engine import LouisEngine, find_tables
from schedule2sign.braille.lexicon import load_policy
from schedule2sign.braille.translator import open_translator
from schedule2sign.errors import MissingEngineError
from schedule2sign.model.settings import Lexicon

TABLES = Path("/usr/share/liblouis/tables")


def test_the_record_names_version_and_every_table_with_its_hash() -> None:
    facts = open_translator("ueb-contracted", Lexicon()).engine
    tables = dict(facts.tables)
    assert facts.name == "liblouis"
    assert {"unicode.dis", "en-ueb-g2.ctb", "en-ueb-g1.ctb", "en-ueb-chardefs.uti", "braille-patterns.cti"} <= set(
        tables
    )
    for name, digest in tables.items():
        assert digest == hashlib.sha256((TABLES / name).read_bytes()).hexdigest()
    assert list(tables) == sorted(tables)


def test_the_tested_version_needs_no_note_and_another_gets_one(monkeypatch: pytest.MonkeyPatch) -> None:
    translator = open_translator("ueb-contracted", Lexicon())
    assert translator.engine.version in load_policy().tested_engines
    assert translator.flags == ()
    monkeypatch.setattr(engine_module.load_bindings(), "version", lambda: "9.9.9")
    (flag,) = translator.flags
    assert flag.code == "braille/engine-untested"
    assert "9.9.9" in flag.message


def test_every_codes_tables_are_there() -> None:
    for code in load_codes().values():
        LouisEngine(code.tables).translate("a")
        LouisEngine(code.letters).translate("a")


def test_missing_tables_say_what_to_install() -> None:
    with pytest.raises(MissingEngineError, match="apt-get install python3-louis liblouis-data"):
        find_tables(["no-such-table.ctb"])


def test_missing_bindings_say_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine_module, "_try_import", lambda: None)
    engine_module.load_bindings.cache_clear()
    try:
        with pytest.raises(MissingEngineError, match="apt-get install python3-louis liblouis-data"):
            open_translator("ueb-contracted", Lexicon())
    finally:
        engine_module.load_bindings.cache_clear()


def test_an_unrelated_package_of_the_same_name_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "louis.py").write_text("answer = 42\n")
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "from schedule2sign.braille.engine import LouisEngine as E;"
            "print(E(['unicode.dis', 'en-ueb-g2.ctb']).translate('it'))",
        ],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
        env={"PYTHONPATH": str(tmp_path), "PYTHONUTF8": "1"},
    )
    assert done.stdout == "\u282d\n"


def test_the_systems_packages_do_not_leak_into_the_environment() -> None:
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys; before = list(sys.path);"
            "from schedule2sign.braille.engine import load_bindings; load_bindings(); print(before == sys.path)",
        ],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout == "True\n"


def test_an_environment_variable_cannot_swap_the_tables(tmp_path: Path) -> None:
    (tmp_path / "en-ueb-g2.ctb").write_text("letter a 123456\n")
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "from schedule2sign.braille.engine import LouisEngine as E;"
            "print(E(['unicode.dis', 'en-ueb-g2.ctb']).translate('and'))",
        ],
        capture_output=True,
        text=True,
        check=True,
        env={"LOUIS_TABLEPATH": str(tmp_path), "PYTHONUTF8": "1"},
    )
    assert done.stdout == "\u282f\n"
