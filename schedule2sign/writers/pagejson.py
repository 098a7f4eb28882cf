"""JSON that stands in a page: no text in it can end the element, and no character is one that no document can hold."""

import json
from typing import Any

from schedule2sign.writers.text import clean_text

_ENCODER = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"))


def page_json(value: Any) -> str:
    """The value as one line of JSON."""
    text = _ENCODER.encode(value)
    if "\\" in text or not text.isprintable():  # only then is there anything to clean in it
        text = _ENCODER.encode(_plain(value))
    return text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def _plain(value: Any) -> Any:
    if isinstance(value, str):
        return clean_text(value)
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value
