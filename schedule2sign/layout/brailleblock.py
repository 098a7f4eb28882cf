"""Braille lines as they are drilled: broken at blank cells, each with the print words it repeats."""

from collections.abc import Sequence
from dataclasses import replace

from schedule2sign.geometry.dotgrid import BLANK, line_span_mm
from schedule2sign.layout.fields import Align
from schedule2sign.layout.linebreak import break_lines, narrowest
from schedule2sign.model.braille import BrailleLine, CellSize


def break_braille(
    line: BrailleLine, size: CellSize, live_mm: float, most_lines: int, align: Align, raised_breaks: frozenset[int]
) -> tuple[BrailleLine, ...] | None:
    """The line in as few parts as fit the width, or None; no parts where it has no cells. No word is split.

    Args:
        raised_breaks: word indexes where the raised text starts a new line; a break there is preferred.
    """
    if not line.cells:
        return ()
    if line_span_mm(line.cells, size) <= live_mm:
        return (line,)
    cells, words = _pairs(line)
    if most_lines < 2 or not words:
        return None

    def width(first: int, end: int) -> float:
        return line_span_mm(BLANK.join(cells[first:end]), size)

    ranges = break_lines(words, width, live_mm, most_lines, align, raised_breaks)
    return None if ranges is None else tuple(_part(line, cells, words, first, end) for first, end in ranges)


def narrowest_braille(line: BrailleLine, size: CellSize, most_lines: int) -> tuple[float, str]:
    """The least width the line can be brought to, and the print words that need it."""
    cells, words = _pairs(line)
    if not words:
        return line_span_mm(line.cells, size), line.text
    width_mm, first, end = narrowest(words, lambda a, b: line_span_mm(BLANK.join(cells[a:b]), size), most_lines)
    return width_mm, " ".join(words[first:end])


def _pairs(line: BrailleLine) -> tuple[list[str], list[str]]:
    """Braille words and print words where they match one to one, else nothing to break at."""
    cells, words = line.cells.split(BLANK), line.text.split()
    return (cells, words) if len(cells) == len(words) and all(cells) else ([], [])


def _part(line: BrailleLine, cells: Sequence[str], words: Sequence[str], first: int, end: int) -> BrailleLine:
    back = line.back.split()
    return replace(
        line,
        text=" ".join(words[first:end]),
        cells=BLANK.join(cells[first:end]),
        tokens=line.tokens[first:end] if len(line.tokens) == len(words) else line.tokens if first == 0 else (),
        back=" ".join(back[first:end]) if len(back) == len(words) else "",
        flags=line.flags if first == 0 else (),
    )
