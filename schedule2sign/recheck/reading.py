"""Decoded cells against the raised text: what a braille reader would read, by the engine's own back-translation."""

import tomllib
from functools import cache

from schedule2sign.braille.codes import find_code
from schedule2sign.braille.engine import LouisEngine
from schedule2sign.braille.lexicon import read_data
from schedule2sign.geometry.dotgrid import BLANK

_PASSAGE, _PASSAGE_END = "\u2820\u2820\u2820", "\u2820\u2804"  # UEB 8.5.1
_CAPITAL_WORD = "\u2820\u2820"  # UEB 8.4.1


def misread(text: str, cells: str, code_name: str) -> str:
    """What the cells of a line read as where that is not its text, else "". Letter case does not count.

    Word by word: a word passes as contracted braille, as uncontracted braille (a spelled acronym), or as a word of the
    table of those the engine gets wrong.
    """
    code = find_code(code_name)
    read = _open(code.tables).translate_back(cells)
    if _plain(read) == _plain(text):
        return ""
    words, groups = text.split(), cells.split(BLANK)
    if len(words) != len(groups):
        return read or "nothing"
    exceptions = _exceptions(code_name)
    inside = False
    for word, group in zip(words, groups, strict=True):
        inside = inside or group.startswith(_PASSAGE)
        # A passage marks its first word only: alone, each of its words would carry the sign of a capital word.
        alone = _CAPITAL_WORD + group.removeprefix(_PASSAGE).removesuffix(_PASSAGE_END) if inside else group
        inside = inside and not group.endswith(_PASSAGE_END)
        readings = [_open(tables).translate_back(alone) for tables in (code.tables, code.letters)]
        readings += [typed for typed, exception in exceptions.items() if exception == group]
        if _plain(word) not in map(_plain, readings):
            return read or "nothing"
    return ""


@cache
def _open(tables: tuple[str, ...]) -> LouisEngine:
    return LouisEngine(tables)


@cache
def _exceptions(code: str) -> dict[str, str]:
    data = tomllib.loads(read_data("exceptions.toml"))
    return {typed: str(entry["cells"]) for typed, entry in data.get(code, {}).items()}


def _plain(text: str) -> str:
    return " ".join(text.replace("\u2019", "'").casefold().split())
