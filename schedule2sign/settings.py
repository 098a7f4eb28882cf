"""The job file: TOML to Settings, with every mistake named."""

import tomllib
from collections.abc import Mapping
from dataclasses import MISSING, fields, replace
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path
from typing import Any, TypeVar

from schedule2sign.errors import InputError
from schedule2sign.model.measure import parse_length
from schedule2sign.model.schedule import Field
from schedule2sign.model.settings import (
    CheckedTerm,
    Finality,
    Lexicon,
    ProcessValue,
    RuleTable,
    Settings,
    SuffixMeaning,
    Wording,
)
from schedule2sign.tomltext import parse_toml

_Choice = TypeVar("_Choice", bound=StrEnum)

_JOB_ID_CHARACTERS = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789")
_JOB_ID_LENGTH = 12
_TEXT_KEYS = {
    "job": ("title", "revision", "discharge_level"),
    "standard": ("braille_code",),
    "make": ("font", "templates", "base_color", "letter_color", "finish", "braille_size"),
}


def load_settings(path: Path) -> Settings:
    """Read a job file.

    Raises:
        InputError: no such file, not TOML, an unknown key, or a value of the wrong kind.
    """
    try:
        data = parse_toml(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(f"The job file {path} cannot be read: {error.strerror}.") from error
    except UnicodeDecodeError as error:
        raise InputError(f"The job file {path.name} is not UTF-8 text (byte {error.start}).") from error
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"The job file {path.name} is not valid TOML: {error}.") from error
    return _Reader(path, data).settings()


class _Reader:
    """Takes keys out of the tables one by one; what is left over is a mistake worth naming."""

    def __init__(self, path: Path, data: dict[str, Any]) -> None:
        self._name = path.name
        self._folder = path.parent
        self._data = data

    def settings(self) -> Settings:
        values: dict[str, Any] = {}
        self._refuse_unknown(
            self._data,
            {
                "job",
                "standard",
                "make",
                "process",
                "wording",
                "lexicon",
                "second_language",
                "columns",
                "sheets",
                "rules",
                "checks",
                "proof",
            },
            "the top level",
        )
        job = self._table("job")
        self._refuse_unknown(job, {"id", "title", "revision", "numbers", "suffix", "discharge_level"}, "[job]")
        if "id" in job:
            values["job"] = self._job_id(self._text(job["id"], "job.id"))
        if "numbers" in job:
            values["finality"] = self._choice(Finality, job["numbers"], "job.numbers")
        if "suffix" in job:
            values["suffix"] = self._choice(SuffixMeaning, job["suffix"], "job.suffix")
        standard = self._table("standard")
        self._refuse_unknown(standard, {"id", "braille_code", "line_codes"}, "[standard]")
        values["line_codes"] = self._pairs(standard.get("line_codes", {}), "standard.line_codes")
        second = self._table("second_language")
        self._refuse_unknown(second, {"code", "names"}, "[second_language]")
        if second:
            values["second_language"] = self._text(second.get("code"), "second_language.code")
            values["second_names"] = self._pairs(second.get("names", {}), "second_language.names")
        if "id" in standard:
            values["standard"] = self._text(standard["id"], "standard.id")
        make = self._table("make")
        numbers = {"base_reflectance", "letter_reflectance"}
        self._refuse_unknown(make, set(_TEXT_KEYS["make"]) | numbers | {"raised", "side_deg"}, "[make]")
        if "raised" in make:
            values["raised_mm"] = self._length_mm(make["raised"], "make.raised")
        if "side_deg" in make:
            values["side_deg"] = self._number(make["side_deg"], "make.side_deg", 0, 45)
        for table_name, keys in _TEXT_KEYS.items():
            table = self._table(table_name)
            values.update({key: self._text(table[key], f"{table_name}.{key}") for key in keys if key in table})
        values.update({key: self._number(make[key], f"make.{key}", 0, 100) for key in sorted(numbers) if key in make})
        for key in ("font", "templates"):
            # A file or folder of the user's own stands beside the job file, wherever the run is started.
            if key in values and (self._folder / values[key]).exists():
                values[key] = str(self._folder / values[key])
        process = self._table("process")
        if "id" in process:
            values["process"] = self._text(process["id"], "process.id")
        values["process_values"] = self._process_values({k: v for k, v in process.items() if k != "id"}, "")
        values["wording"] = self._wording()
        values["lexicon"] = self._lexicon()
        values["columns"] = self._columns()
        if "sheets" in self._data:
            values["sheets"] = self._texts(self._data["sheets"], "sheets")
        values["rules"] = self._rules()
        values.update(self._checks())
        proof = self._table("proof")
        self._refuse_unknown(proof, {"page_per_floor"}, "[proof]")
        if "page_per_floor" in proof:
            values["page_per_floor"] = self._yes_no(proof["page_per_floor"], "proof.page_per_floor")
        return replace(Settings(), **values)

    def _checks(self) -> dict[str, Any]:
        """What the rule book needs to know and no schedule says."""
        table = self._table("checks")
        lengths = {"tolerance": "tolerance_mm", "plate_top": "plate_top_mm", "viewing_distance": "viewing_mm"}
        self._refuse_unknown(table, {*lengths, "waivers", "date"}, "[checks]")
        values: dict[str, Any] = {
            name: self._length_mm(table[key], f"checks.{key}") for key, name in lengths.items() if key in table
        }
        if "waivers" in table:
            values["waivers"] = str(self._folder / self._text(table["waivers"], "checks.waivers"))
        if "date" in table:
            if not isinstance(table["date"], date) or isinstance(table["date"], datetime):
                raise self._mistake(f"checks.date must be a date such as 2027-01-31, not {table['date']!r}")
            values["day"] = table["date"]
        return values

    def _wording(self) -> Wording:
        table = self._table("wording")
        self._refuse_unknown(table, {field.name for field in fields(Wording)}, "[wording]")
        return replace(Wording(), **{key: self._text(value, f"wording.{key}") for key, value in table.items()})

    def _lexicon(self) -> Lexicon:
        table = self._table("lexicon")
        self._refuse_unknown(table, {field.name for field in fields(Lexicon)}, "[lexicon]")
        values: dict[str, Any] = {}
        for key, value in table.items():
            if key in ("abbreviations", "approved"):
                values[key] = self._pairs(value, f"lexicon.{key}")
            elif key == "checked":
                values[key] = self._checked(value)
            elif key == "signed":
                values[key] = tuple(str(self._folder / name) for name in self._texts(value, "lexicon.signed"))
            else:
                values[key] = self._texts(value, f"lexicon.{key}")
        return replace(Lexicon(), **values)

    def _checked(self, value: object) -> tuple[CheckedTerm, ...]:
        if not isinstance(value, list) or not all(isinstance(entry, dict) for entry in value):
            raise self._mistake("lexicon.checked must be a list of tables ([[lexicon.checked]])")
        known = {field.name: field.default is MISSING for field in fields(CheckedTerm)}
        checked: list[CheckedTerm] = []
        for entry in value:
            self._refuse_unknown(entry, set(known), "[[lexicon.checked]]")
            # A date may stand in TOML without quotes.
            said = {key: item.isoformat() if isinstance(item, date) else item for key, item in entry.items()}
            texts = {key: self._text(item, f"lexicon.checked.{key}").strip() for key, item in said.items()}
            if missing := [key for key, needed in known.items() if needed and not texts.get(key)]:
                raise self._mistake(
                    f"[[lexicon.checked]] {entry.get('term', '')!r} lacks {', '.join(missing)}; "
                    "a sign-off says what was signed, by whom and when"
                )
            checked.append(CheckedTerm(**texts))
        return tuple(checked)

    def _rules(self) -> tuple[RuleTable, ...]:
        tables = self._data.get("rules", [])
        if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
            raise self._mistake("rules must be tables ([[rules]])")
        return tuple(self._rule(table, f"rule {number}") for number, table in enumerate(tables, start=1))

    def _rule(self, table: Mapping[str, object], where: str) -> RuleTable:
        if not isinstance(table.get("id"), str):
            raise self._mistake(f"{where} of [[rules]] has no id")
        pairs: list[tuple[str, str | bool | tuple[str, ...]]] = []
        for key, value in table.items():
            place = f"{where} of [[rules]] ({table['id']}), {key}"
            if isinstance(value, bool):
                pairs.append((key, value))
            else:
                pairs.append((key, self._texts(value, place) if isinstance(value, list) else self._text(value, place)))
        return tuple(pairs)

    def _columns(self) -> tuple[tuple[Field, str], ...]:
        pairs = self._pairs(self._data.get("columns", {}), "columns")
        return tuple((self._choice(Field, key, "columns"), header) for key, header in pairs)

    def _process_values(self, table: Mapping[str, Any], prefix: str) -> tuple[tuple[str, ProcessValue], ...]:
        """Dotted keys and values; which of them the process knows is for its own reader to say."""
        values: list[tuple[str, ProcessValue]] = []
        for key, value in table.items():
            if isinstance(value, Mapping):
                values += self._process_values(value, f"{prefix}{key}.")
            elif isinstance(value, str | bool | int | float):
                values.append((f"{prefix}{key}", value))
            else:
                raise self._mistake(f"process.{prefix}{key} must be text in quotes, a number, true or false")
        return tuple(values)

    def _table(self, key: str) -> Mapping[str, Any]:
        value = self._data.get(key, {})
        if not isinstance(value, dict):
            raise self._mistake(f"{key} must be a table ([{key}])")
        return value

    def _text(self, value: object, where: str) -> str:
        if not isinstance(value, str):
            raise self._mistake(f"{where} must be text in quotes, not {value!r}")
        return value

    def _yes_no(self, value: object, where: str) -> bool:
        if not isinstance(value, bool):
            raise self._mistake(f"{where} must be true or false, not {value!r}")
        return value

    def _texts(self, value: object, where: str) -> tuple[str, ...]:
        if not isinstance(value, list):
            raise self._mistake(f"{where} must be a list of texts")
        return tuple(self._text(item, where) for item in value)

    def _pairs(self, value: object, where: str) -> tuple[tuple[str, str], ...]:
        if not isinstance(value, dict):
            raise self._mistake(f"{where} must be a table of text = text")
        return tuple((key, self._text(item, f"{where}.{key}")) for key, item in value.items())

    def _number(self, value: object, where: str, low: float, high: float) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise self._mistake(f"{where} must be a number from {low:g} to {high:g}, not {value!r}")
        return float(value)

    def _length_mm(self, value: object, where: str) -> float:
        try:
            return parse_length(self._text(value, where)).mm
        except ValueError as error:
            raise self._mistake(f"{where}: {error}") from None

    def _choice(self, kind: type[_Choice], value: object, where: str) -> _Choice:
        text = self._text(value, where)
        try:
            return kind(text)
        except ValueError:
            known = ", ".join(repr(str(choice)) for choice in kind)
            raise self._mistake(f"{where} is {text!r}; it must be one of {known}") from None

    def _job_id(self, text: str) -> str:
        if not text or len(text) > _JOB_ID_LENGTH or not set(text) <= _JOB_ID_CHARACTERS:
            raise self._mistake(
                f"job.id is {text!r}; it starts every sign id and file name, so it takes 1 to "
                f"{_JOB_ID_LENGTH} capitals and digits"
            )
        return text

    def _refuse_unknown(self, table: Mapping[str, Any], known: set[str], where: str) -> None:
        unknown = sorted(set(table) - known)
        if unknown:
            raise self._mistake(
                f"{where} has {unknown[0]!r}, which means nothing here; known: {', '.join(sorted(known))}"
            )

    def _mistake(self, text: str) -> InputError:
        return InputError(f"Job file {self._name}: {text}.")
