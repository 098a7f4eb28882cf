"""How a table prints: rows as high as their text, columns over as many pages as keep it readable, the paper."""

from collections.abc import Iterable, Sequence
from math import ceil

# paperSize codes of ECMA-376 part 1, 18.3.1.63, by the unit the shop works in: US letter, ISO 216 A4.
PAPER = {"in": 1, "mm": 9}
MARGIN_IN = 0.4
_LINE_PT, _PAD_PT, _MOST_PT = 15.0, 1.5, 409.0  # a line of 11 point type; the most a spreadsheet row may have
# At 58 % of its size 11 point type is still 6.4 point; a landscape page less its margins then holds so many characters.
_PAGE_CHARACTERS = 240
# Of a column's width in digits: words do not break where it ends, capitals and braille cells are wider than digits.
_PLAIN, _WIDE = 0.88, 0.76


def row_height_pt(values: Sequence[object], widths: Iterable[int]) -> float:
    """Height in points that shows every wrapped cell whole; programs that open a file do not always work it out."""
    lines = max((_count_lines(value, width) for value, width in zip(values, widths, strict=True)), default=1)
    return min(lines * _LINE_PT + _PAD_PT, _MOST_PT)


def pages_across(widths: Iterable[int]) -> int:
    """Pages side by side on which a table of these columns can be read."""
    return max(1, ceil(sum(widths) / _PAGE_CHARACTERS))


def _count_lines(value: object, width: int) -> int:
    if not isinstance(value, str):
        return 1
    if len(value) < width * _WIDE and "\n" not in value:
        return 1
    room = max(1.0, width * (_PLAIN if value.isascii() and not value.isupper() else _WIDE))
    return sum(max(1, ceil(len(line) / room)) for line in value.split("\n"))
