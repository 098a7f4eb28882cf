"""Where a message is broken into lines: at spaces, never inside a word."""

import tomllib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path

from schedule2sign.layout.fields import Align


@dataclass(frozen=True, slots=True)
class Joints:
    """Words that stay with a neighbor."""

    never_last: frozenset[str]
    titles: frozenset[str]
    marks: frozenset[str]
    dashes: frozenset[str]
    with_before: frozenset[str]


@cache
def load_joints() -> Joints:
    """The table that ships with the stage."""
    with (Path(__file__).parent / "joints.toml").open("rb") as file:
        data = tomllib.load(file)
    return Joints(**{field.name: frozenset(data[field.name]) for field in fields(Joints)})


def glued(words: Sequence[str], joints: Joints) -> tuple[bool, ...]:
    """For each space: True where the words beside it stay together."""
    return tuple(_stay_together(words, index, joints) for index in range(len(words) - 1))


def _stay_together(words: Sequence[str], index: int, joints: Joints) -> bool:
    word, after = words[index].upper(), words[index + 1].upper()
    return (
        word in joints.never_last
        or after in joints.marks  # a slash or dash ends its line
        or word in joints.titles
        or _is_initial(word)
        or any(char.isdigit() for char in after)  # EXAM 3, LEVEL 2
        or (len(after) == 1 and after.isalpha())  # STAIR B
    )


def _is_initial(word: str) -> bool:
    return len(word) == 2 and word[0].isalpha() and word[1] == "."


def break_lines(
    words: Sequence[str],
    width_mm: Callable[[int, int], float],
    live_mm: float,
    most_lines: int,
    align: Align,
    preferred: frozenset[int] = frozenset(),
) -> tuple[tuple[int, int], ...] | None:
    """The best lines as word ranges, or None where no break set fits.

    Fewest lines first; then breaks after a dash or at a preferred place; then the smallest widest line; then ROOM on
    the line of its word; then the evenest; then the longer line last when centered and first when flush left; then
    the earliest break.

    Args:
        words: the words of the message.
        width_mm: width of words [first, end) set on one line.
        live_mm: what a line may measure.
        preferred: word indexes before which a break is welcome.
    """
    joints = load_joints()
    welcome = preferred | {index + 1 for index, word in enumerate(words) if word in joints.dashes}
    known: dict[tuple[int, int], float] = {}  # many break sets share a line

    def fits(line: tuple[int, int]) -> bool:
        if line not in known:
            known[line] = width_mm(*line)
        return known[line] <= live_mm

    best: tuple[tuple[float, ...], tuple[tuple[int, int], ...]] | None = None
    for lines in _break_sets(words, most_lines):
        if best and len(lines) > len(best[1]):
            break
        if all(map(fits, lines)):
            if len(lines) == 1:
                return lines
            widths = [known[line] for line in lines]
            starts = [first for first, _ in lines[1:]]
            parted = sum(words[first] in joints.with_before for first in starts)
            cost = _cost(widths, starts, len(welcome & set(starts)), parted, align)
            best = min(best, (cost, lines)) if best else (cost, lines)
    return best[1] if best else None


def narrowest(words: Sequence[str], width_mm: Callable[[int, int], float], most_lines: int) -> tuple[float, int, int]:
    """The least width the words can be brought to, and the line (first, end) that needs it."""
    best = (float("inf"), 0, len(words))
    width = cache(width_mm)
    for lines in _break_sets(words, most_lines):
        widest = max((width(first, end), first, end) for first, end in lines)
        best = min(best, widest)
    return best


def _break_sets(words: Sequence[str], most_lines: int) -> Iterator[tuple[tuple[int, int], ...]]:
    """Every way to break between words that may part, fewest lines first."""
    if most_lines >= 1:
        yield ((0, len(words)),)
    held = glued(words, load_joints())
    places = [index + 1 for index, stays in enumerate(held) if not stays]
    for count in range(2, most_lines + 1):
        for breaks in combinations(places, count - 1):
            yield tuple(pairwise((0, *breaks, len(words))))


def _cost(widths: Sequence[float], breaks: Sequence[int], welcome: int, parted: int, align: Align) -> tuple[float, ...]:
    widest = round(max(widths), 2)
    last = widths[-1] if align is Align.CENTER else -widths[-1]
    ragged = round(sum((widest - width) ** 2 for width in widths), 2)
    return (-welcome, widest, parted, ragged, -round(last, 2), *breaks)
