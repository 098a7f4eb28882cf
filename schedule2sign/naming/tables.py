"""Reads the stage's own data files."""

import tomllib
from importlib.resources import files
from typing import Any


def read_table(name: str) -> dict[str, Any]:
    """A TOML file of this folder."""
    return tomllib.loads(read_text(name))


def read_text(name: str) -> str:
    """A text file of this folder."""
    return files("schedule2sign.naming").joinpath(name).read_text(encoding="utf-8")
