"""TOML as people write it: whatever cannot be used is an error of the file, never of the parser."""

import tomllib
from typing import Any

_DEEP = "tables or lists stand too deep in one another"
_MOST = 2**63  # TOML 1.0.0, "Integer": 64 bits; what is larger must be an error


def parse_toml(text: str) -> dict[str, Any]:
    """The tables of a text.

    Raises:
        tomllib.TOMLDecodeError: no TOML, or a number or a depth that no file of ours needs.
    """
    try:
        data = tomllib.loads(text)
        _check(data)
    except tomllib.TOMLDecodeError:
        raise
    except RecursionError:
        raise tomllib.TOMLDecodeError(_DEEP) from None
    except ValueError as error:  # a number of thousands of digits, a day that no month has
        raise tomllib.TOMLDecodeError(str(error)) from None
    return data


def _check(value: object) -> None:
    if isinstance(value, dict):
        for item in value.values():
            _check(item)
    elif isinstance(value, list):
        for item in value:
            _check(item)
    elif isinstance(value, int) and not -_MOST <= value < _MOST:
        raise tomllib.TOMLDecodeError("a number is larger than 64 bits hold")
