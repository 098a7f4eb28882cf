"""The screen: no character of a customer's file commands the terminal or turns the text around."""

import re
from typing import Any, TextIO

# Controls but line feed and tab, lone surrogates, and what turns the reading direction (UAX 9).
_UNSEEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")


class Screen:
    """Shows such characters as JSON escapes, so that a JSON document says the same as before.

    Args:
        stream: what it writes to.
        keep: characters that our own progress line needs.
    """

    def __init__(self, stream: TextIO, keep: str = "") -> None:
        self._stream = stream
        self._keep = keep

    def write(self, text: str) -> int:
        return self._stream.write(_UNSEEN.sub(self._show, text))

    def _show(self, found: re.Match[str]) -> str:
        return found[0] if found[0] in self._keep else f"\\u{ord(found[0]):04x}"

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)
