"""A TOML table read with every mistake named by file and line."""

import re
import tomllib
from enum import StrEnum
from pathlib import Path
from typing import Any, TypeVar

from schedule2sign.errors import InputError
from schedule2sign.model.measure import parse_length
from schedule2sign.tomltext import parse_toml

_Choice = TypeVar("_Choice", bound=StrEnum)
_DECODE_LINE = re.compile(r"\(at line (\d+)")


class TomlTable:
    """One table of a file. `path` is its header, "" for the top level; `turn` counts tables of one array.

    A key that is not here is looked for in `under`, the same table of the family's style.
    """

    def __init__(
        self,
        file: Path,
        text: str,
        data: dict[str, Any],
        path: str = "",
        turn: int = 0,
        under: "TomlTable | None" = None,
    ) -> None:
        self._file = file
        self._text = text
        self._data = data
        self._path = path
        self._turn = turn
        self._under = under
        self._read: set[str] = set()
        self._inner: dict[str, TomlTable | None] = {}

    def has(self, key: str) -> bool:
        """True when the key stands in the table or in the style under it."""
        return key in self._data or (self._under is not None and self._under.has(key))

    def text(self, key: str, default: str | None = None) -> str:
        """A text; without a default it must be there."""
        value = self._need(key) if default is None else self._take(key, default)
        if not isinstance(value, str) or not (value.strip() or value == default):
            raise self.mistake(key, f"must be a text, not {value!r}")
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts; () where it is missing."""
        value = self._take(key, [])
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            raise self.mistake(key, f"must be a list of texts in brackets, not {value!r}")
        return tuple(value)

    def count(self, key: str, default: int, low: int, high: int) -> int:
        """A whole number within limits."""
        value = self._take(key, default)
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise self.mistake(key, f"must be a whole number from {low} to {high}, not {value!r}")
        return value

    def choice(self, key: str, kind: type[_Choice], default: _Choice | None = None) -> _Choice:
        """One of a few words."""
        value = self._need(key) if default is None else self._take(key, default)
        return self._one_of(key, value, kind)

    def choices(self, key: str, kind: type[_Choice]) -> tuple[_Choice, ...]:
        """A list of different words of a few."""
        values = self._list(key)
        chosen = tuple(self._one_of(key, value, kind) for value in values)
        if len(set(chosen)) != len(chosen):
            raise self.mistake(key, "names something twice")
        return chosen

    def length_mm(self, key: str, low_mm: float, high_mm: float, default: str | None = None) -> float:
        """A length with its unit, within limits."""
        value = self._need(key) if default is None else self._take(key, default)
        return self._length(key, value, low_mm, high_mm)

    def lengths_mm(self, key: str, low_mm: float, high_mm: float) -> tuple[float, ...]:
        """One length or more."""
        values = self._list(key)
        if not values:
            raise self.mistake(key, "must name at least one length")
        return tuple(self._length(key, value, low_mm, high_mm) for value in values)

    def table(self, key: str) -> "TomlTable | None":
        """A table inside this one, or None; the same one each time."""
        if key not in self._inner:
            self._read.add(key)
            under = self._under.table(key) if self._under else None
            value = self._data.get(key)
            if value is None:
                self._inner[key] = under
            elif isinstance(value, dict):
                self._inner[key] = TomlTable(self._file, self._text, value, self._join(key), under=under)
            else:
                raise self.mistake(key, f"must be a table: write [{self._join(key)}]")
        return self._inner[key]

    def keys(self) -> tuple[str, ...]:
        """The keys that stand in the table itself, in file order."""
        return tuple(self._data)

    def table_over(self, key: str, under: "TomlTable") -> "TomlTable":
        """A table inside this one, with another under it."""
        value = self._data[key]
        if not isinstance(value, dict):
            raise self.mistake(key, f"must be a table: write [{self._join(key)}]")
        return TomlTable(self._file, self._text, value, self._join(key), under=under)

    def tables(self, key: str) -> tuple["TomlTable", ...]:
        """An array of tables."""
        value = self._take(key, [])
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            raise self.mistake(key, f"must be tables: write [[{self._join(key)}]]")
        return tuple(TomlTable(self._file, self._text, item, self._join(key), turn) for turn, item in enumerate(value))

    def has_read(self, key: str) -> None:
        """Take a key as known that was read elsewhere."""
        self._read.add(key)

    def refuse_rest(self) -> None:
        """Refuse keys nobody asked for: a misspelled key must not be silently without effect."""
        for key in self._data:
            if key not in self._read:
                known = ", ".join(sorted(self._read))
                raise self.mistake(key, f"means nothing here; known: {known}")

    def mistake(self, key: str, text: str) -> InputError:
        """The error for a key, with file and line."""
        if self._under and key not in self._data and self._under.has(key):
            return self._under.mistake(key, text)
        named = self._join(key)
        return InputError(f"Template {self._file.name}, line {self._line_of(key)}: {named} {text}.")

    def _one_of(self, key: str, value: object, kind: type[_Choice]) -> _Choice:
        try:
            return kind(str(value))
        except ValueError:
            known = ", ".join(repr(str(choice)) for choice in kind)
            raise self.mistake(key, f"is {value!r}; it must be one of {known}") from None

    def _length(self, key: str, value: object, low_mm: float, high_mm: float) -> float:
        if not isinstance(value, str):
            raise self.mistake(key, f'must be a length with its unit in quotes, like "5/8 in", not {value!r}')
        try:
            length_mm = parse_length(value).mm
        except ValueError as error:
            raise self.mistake(key, f"is no length: {error}") from None
        if not low_mm - 1e-9 <= length_mm <= high_mm + 1e-9:
            raise self.mistake(key, f"is {value}; it must lie between {low_mm / 25.4:.4g} and {high_mm / 25.4:.4g} in")
        return length_mm

    def _list(self, key: str) -> list[Any]:
        value = self._need(key)
        if not isinstance(value, list):
            raise self.mistake(key, f"must be a list in brackets, not {value!r}")
        return value

    def _need(self, key: str) -> Any:
        if not self.has(key):
            raise self.mistake(key, "is missing")
        return self._take(key, None)

    def _take(self, key: str, default: Any) -> Any:
        self._read.add(key)
        if self._under and key not in self._data:
            return self._under._take(key, default)
        return self._data.get(key, default)

    def _join(self, key: str) -> str:
        return f"{self._path}.{key}" if self._path else key

    def _line_of(self, key: str) -> int:
        """The line of a key, else of its table's header, else 1."""
        here, turn, header_line = "", -1, 1
        for number, line in enumerate(self._text.splitlines(), start=1):
            stripped = line.strip()
            if header := re.match(r"\[\[?\s*([^\]]+?)\s*\]", stripped):
                here = header.group(1)
                turn += here == self._path
                if here == self._path and turn == self._turn:
                    header_line = number
                if here == self._join(key):
                    return number
            elif (
                here == self._path
                and re.match(rf"[\"']?{re.escape(key)}[\"']?\s*=", stripped)
                and turn in (-1, self._turn)
            ):
                return number
        return header_line


def read_toml(file: Path, under: TomlTable | None = None) -> TomlTable:
    """Read a TOML file over the family's style.

    Raises:
        InputError: it cannot be read, or is not TOML (with the line).
    """
    try:
        text = file.read_text(encoding="utf-8")
        return TomlTable(file, text, parse_toml(text), under=under)
    except OSError as error:
        raise InputError(f"Template {file} cannot be read: {error.strerror or error}.") from None
    except UnicodeDecodeError:
        raise InputError(f"Template {file.name} is not UTF-8 text; save it as UTF-8.") from None
    except tomllib.TOMLDecodeError as error:
        found = _DECODE_LINE.search(str(error))
        where = f", line {found.group(1)}" if found else ""
        raise InputError(f"Template {file.name}{where}: not valid TOML: {error}.") from None
