"""The braille codes a job can name."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources

from schedule2sign.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class Code:
    """One braille code.

    Attributes:
        tables: liblouis table files.
        letters: tables that read uncontracted words back.
        language: two-letter language of the words; it picks the word policy.
        capitals: "ada" (ADA 703.3.1) or "none".
        note: what the shop must be told when the code is used, or "".
    """

    name: str
    title: str
    tables: tuple[str, ...]
    letters: tuple[str, ...]
    language: str
    capitals: str
    note: str = ""


def find_code(name: str) -> Code:
    """The code of that name.

    Raises:
        InputError: there is no such code.
    """
    codes = load_codes()
    if name not in codes:
        raise InputError(f"There is no braille code {name!r}. Choose one of: {', '.join(codes)}.")
    return codes[name]


@cache
def load_codes() -> dict[str, Code]:
    """Every code by name, in the order of the data file."""
    data = tomllib.loads(resources.files(__package__).joinpath("codes.toml").read_text(encoding="utf-8"))
    return {
        name: Code(
            name=name,
            title=entry["title"],
            tables=tuple(entry["tables"]),
            letters=tuple(entry.get("letters", entry["tables"])),
            language=entry["language"],
            capitals=entry["capitals"],
            note=entry.get("note", ""),
        )
        for name, entry in data.items()
    }
