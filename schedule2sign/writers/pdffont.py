"""The one font of the PDFs: what it can show, how wide a text is in it, where the lines of a text break."""

import functools
import hashlib
import re
from pathlib import Path
from typing import Any, NamedTuple

from schedule2sign.resources import templates_folder
from schedule2sign.writers.text import clean_text

_FONT_FILE = "RobotoCondensed-Regular.ttf"  # shipped, TrueType outlines: every file embeds what it uses of it
_SPACES = re.compile(r"[^\S\xa0]+")  # a no-break space is none of them
_SHRINK = 0.05  # of a space: so much may a line be too long for each of its words


def _font_path() -> Path:
    return templates_folder() / "fonts" / _FONT_FILE


@functools.cache
def font_digest() -> str:
    """SHA-256 of the font's file."""
    return hashlib.sha256(_font_path().read_bytes()).hexdigest()


@functools.cache
def load_font() -> Any:
    """The shipped font, its glyphs named by their numbers: nothing asks the system for one."""
    from fontTools.ttLib import TTFont

    font = TTFont(_font_path())
    # The names a library would make for them are not wanted, and take longer than all else.
    font.setGlyphOrder([str(number) for number in range(font["maxp"].numGlyphs)])
    return font


@functools.cache
def glyph_numbers() -> dict[int, int]:
    """Number of the glyph of every character the font has, by code point."""
    return {code: int(name) for code, name in load_font().getBestCmap().items()}


@functools.cache
def glyph_widths() -> tuple[float, ...]:
    """Advance widths by the glyph's number, in thousandths of the type size."""
    font = load_font()
    metrics, units = font["hmtx"].metrics, font["head"].unitsPerEm
    return tuple(metrics[name][0] * 1000 / units for name in font.getGlyphOrder())


@functools.lru_cache(maxsize=4096)
def pdf_text(text: str) -> str:
    """The text with every character the font lacks named, never dropped: "[U+4E2D]"."""
    text = clean_text(text)
    if text.isascii():
        return text
    known = glyph_numbers()
    return "".join(c if c == "\n" or ord(c) in known else f"[U+{ord(c):04X}]" for c in text)


def text_width(text: str, size_pt: float) -> float:
    """Of a text on one line."""
    return _units(text) * size_pt / 1000


class _Widths(dict[str, float]):
    """Advance widths by character; each is asked of the font once."""

    def __missing__(self, character: str) -> float:
        width = self[character] = glyph_widths()[glyph_numbers().get(ord(character), 0)]
        return width


_WIDTHS = _Widths()


@functools.lru_cache(maxsize=4096)
def _units(text: str) -> float:
    return sum(map(_WIDTHS.__getitem__, text))


class Line(NamedTuple):
    """A line of a text; its spaces are a little narrower where it would else be too long."""

    text: str
    space_pt: float = 0.0


@functools.lru_cache(maxsize=4096)
def break_lines(text: str, size_pt: float, width_pt: float) -> tuple[Line, ...]:
    """The text as lines of this width, each as full as it can be; a word that no line holds is taken apart."""
    if not text.strip():
        return ()
    limit, space = width_pt * 1000 / size_pt, _units(" ")
    lines: list[Line] = []

    def end_line() -> None:
        over = used - limit
        lines.append(
            Line(" ".join(words), -over * size_pt / 1000 / (len(words) - 1) if over > 0 < len(words) - 1 else 0.0)
        )

    for part in text.split("\n"):
        words: list[str] = []
        used = -space
        for word in _SPACES.split(part.strip()) if "\xa0" in part else part.split():
            wide = _units(word)
            if wide > limit:
                *full, word = _take_apart(word, limit - used - space, limit)
                for piece in full:
                    lines.append(Line(" ".join([*words, piece] if piece else words)))
                    words, used = [], -space
                wide = _units(word)
            elif used + space + wide > limit + _SHRINK * space * len(words):
                end_line()
                words, used = [], -space
            words.append(word)
            used += space + wide
        end_line()
    return tuple(lines)


def _take_apart(word: str, room: float, limit: float) -> list[str]:
    """Pieces of a word: the first for what is left of a line (empty where nothing fits), the others for whole lines."""
    pieces: list[str] = []
    used, start = 0.0, 0
    for place, character in enumerate(word):
        wide = _WIDTHS[character]
        # On a line of its own even a character that is too wide must stand.
        if used + wide > room and (place > start or not pieces):
            pieces.append(word[start:place])
            start, used, room = place, 0.0, limit
        used += wide
    return [*pieces, word[start:]]
