"""Characters read by eye: which lines are judged so, and what viewing distance adds to their height."""

import math
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

from schedule2sign.model.measure import parse_length
from schedule2sign.model.shape import SignLayout, VisualLine
from schedule2sign.rules.ink import Pair, line_starts, word_pairs

_TABLE = Path(__file__).resolve().parent / "visual_heights.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightRow:
    """A row of the published table. `up_to_mm` is the highest baseline it is for."""

    limit: str
    up_to_mm: float
    near_mm: float
    added_share: float

    def added_mm(self, viewing_mm: float | None) -> float:
        """What the distance adds to the least height; nothing where no distance is declared."""
        return max(0.0, viewing_mm - self.near_mm) * self.added_share if viewing_mm is not None else 0.0


@cache
def height_rows() -> tuple[HeightRow, ...]:
    """The table, lowest baselines first."""
    data = tomllib.loads(_TABLE.read_text(encoding="utf-8"))
    share = parse_length(data["adds"]).mm / parse_length(data["per"]).mm
    return tuple(
        HeightRow(
            limit=row["limit"],
            up_to_mm=parse_length(row["up_to"]).mm if "up_to" in row else math.inf,
            near_mm=parse_length(row["near"]).mm,
            added_share=share,
        )
        for row in data["row"]
    )


def row_for(above_mm: float | None) -> HeightRow:
    """The row for a baseline this high above the floor; the tactile band of 48 to 60 in. where nobody said."""
    rows = height_rows()
    return rows[0] if above_mm is None else next(row for row in rows if above_mm <= row.up_to_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class EyeLine:
    """A line that is judged as visual characters; `pairs` are neighboring characters inside its words."""

    name: str
    height_mm: float
    baseline_mm: float
    pairs: tuple[Pair, ...]


def lines_by_eye(sign: SignLayout) -> tuple[EyeLine, ...]:
    """Flat lines; and raised ones where the job says from how far they are read or none has braille.

    Raised characters with braille need not meet most of the visual rules (ADA 703.5 Exception).
    """
    flat = tuple(
        EyeLine(
            name=f"flat line {line.text!r}",
            height_mm=line.height_mm,
            baseline_mm=line.baseline_mm,
            pairs=tuple(_flat_pairs(line, start)),
        )
        for line, start in zip(sign.visual, line_starts(sign)[len(sign.lines) :], strict=False)
    )
    if sign.build.viewing_mm is None and any(line.cells.strip("\u2800") for line in sign.braille):
        return flat
    raised = tuple(
        EyeLine(
            name=f"raised line {line.text!r}",
            height_mm=line.height_mm,
            baseline_mm=line.baseline_mm,
            pairs=tuple(pair for pair in word_pairs(sign) if pair[0] is line),
        )
        for line in sign.lines
    )
    return raised + flat


def _flat_pairs(line: VisualLine, start: int) -> Iterator[Pair]:
    end = start + len(line.glyphs)
    for word in line.text.split():
        for first, second in pairwise(range(start, min(start + len(word), end))):
            yield line, first, second
        start += len(word)
