"""JSON as it is made, so that a large document is never in memory twice: what `json.dumps` writes with sorted keys."""

import json
from collections.abc import Iterator
from json.encoder import encode_basestring
from math import isfinite
from typing import Any

from schedule2sign.writers.pieces import Piece

_STEP = "  "
_ENCODER = json.JSONEncoder(ensure_ascii=False)


def json_pieces(document: dict[str, Any]) -> Iterator[str | Piece]:
    """The document as `json.dumps(document, ensure_ascii=False, indent=2, sort_keys=True)` writes it, piece by piece.

    Args:
        document: an iterator in it, or in an object in it, becomes an array, each item written before the
            next is made; an item may be a piece that holds its text, as `item_text` writes it.
    """
    yield from _pieces(document, "\n")


def item_text(value: Any) -> str:
    """An item of an array that is a member of the document."""
    return _text(value, f"\n{_STEP}{_STEP}")


def _pieces(value: Any, margin: str) -> Iterator[str | Piece]:
    """A value, each member of an object and each item of an array by itself; `margin` is as for `_text`."""
    inner = margin + _STEP
    if isinstance(value, dict) and value:
        start = "{"
        for name in sorted(value):
            yield f"{start}{inner}{encode_basestring(name)}: "
            yield from _pieces(value[name], inner)
            start = ","
        yield f"{margin}}}"
    elif isinstance(value, Iterator | list | tuple):
        start = "["
        for item in value:
            if isinstance(item, Piece):
                yield f"{start}{inner}"
                yield item
            else:
                yield f"{start}{inner}{_text(item, inner)}"
            start = ","
        yield "[]" if start == "[" else f"{margin}]"
    else:
        yield _text(value, margin)


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
