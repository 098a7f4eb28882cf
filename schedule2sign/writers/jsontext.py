"""JSON as it is made, so that a large document is never in memory twice: what `json.dumps` writes with sorted keys."""

import json
from collections.abc import Iterator, Mapping
from json.encoder import encode_basestring
from math import isfinite
from typing import Any

_STEP = "  "
_ENCODER = json.JSONEncoder(ensure_ascii=False)


def json_pieces(document: Mapping[str, Any]) -> Iterator[str]:
    """The document as `json.dumps(document, ensure_ascii=False, indent=2, sort_keys=True)` writes it, piece by piece.

    Args:
        document: not empty; a member that is an iterator becomes an array, each item written before the next is made.
    """
    start, inner = "{", "\n" + _STEP
    for name in sorted(document):
        value = document[name]
        yield f"{start}{inner}{encode_basestring(name)}: "
        if isinstance(value, Iterator):
            yield from _array_pieces(value, inner)
        else:
            yield _text(value, inner)
        start = ","
    yield "\n}"


def _array_pieces(values: Iterator[Any], margin: str) -> Iterator[str]:
    start, inner = "[", margin + _STEP
    for value in values:
        yield f"{start}{inner}{_text(value, inner)}"
        start = ","
    yield "[]" if start == "[" else f"{margin}]"


def _text(value: Any, margin: str) -> str:
    """One value; `margin` is the line break and the indent of the line it ends on."""
    kind = type(value)
    if kind is str:
        return encode_basestring(value)
    if kind is int or (kind is float and isfinite(value)):
        return repr(value)
    inner = margin + _STEP
    if kind is dict:
        members = [f"{encode_basestring(name)}: {_text(value[name], inner)}" for name in sorted(value)]
        return f"{{{inner}{f',{inner}'.join(members)}{margin}}}" if members else "{}"
    if kind is list or kind is tuple:
        items = [encode_basestring(item) if type(item) is str else _text(item, inner) for item in value]
        return f"[{inner}{f',{inner}'.join(items)}{margin}]" if items else "[]"
    return _ENCODER.encode(value)
