"""Tables of a profile and dotted keys."""

from collections.abc import Iterable, Mapping
from typing import Any


def nest_keys(values: Iterable[tuple[str, object]]) -> dict[str, Any]:
    """Tables of dotted keys: ("drill.diameter", x) is {"drill": {"diameter": x}}."""
    tables: dict[str, Any] = {}
    for key, value in values:
        *sections, name = key.split(".")
        table = tables
        for section in sections:
            table = table.setdefault(section, {})
        table[name] = value
    return tables


def merge_tables(base: Mapping[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """The tables of `base` with what `over` says put over it, key by key."""
    merged = dict(base)
    for key, value in over.items():
        below = merged.get(key)
        merged[key] = merge_tables(below, value) if isinstance(below, dict) and isinstance(value, Mapping) else value
    return merged


def leaf_keys(table: Mapping[str, Any], prefix: str = "") -> list[str]:
    """Dotted keys of every value."""
    keys: list[str] = []
    for key, value in table.items():
        keys += leaf_keys(value, f"{prefix}{key}.") if isinstance(value, Mapping) else [f"{prefix}{key}"]
    return keys
