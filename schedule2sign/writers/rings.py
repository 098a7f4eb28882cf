"""Closed rings on their way from millimetres to written corners, all of a drawing in one array."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

import numpy

from schedule2sign.model.shape import Ring
from schedule2sign.writers.inches import STEPS, steps_of

Path = Any  # closed: an array of corners, x and y in whole steps of an inch; the first corner is not repeated


@dataclass(frozen=True, slots=True, eq=False)
class Rings:
    """Rings end to end: x and y of all corners in mm, and how many corners each ring has."""

    corners: Any
    lengths: tuple[int, ...]

    def moved(self, x_mm: float, y_mm: float) -> "Rings":
        """The rings elsewhere."""
        return Rings(numpy.add(self.corners, (x_mm, y_mm)), self.lengths)


def gather(rings: Iterable[Ring]) -> Rings:
    """Rings of points as arrays."""
    rings = tuple(rings)
    flat = list(chain.from_iterable(chain.from_iterable(rings)))
    return Rings(numpy.array(flat, dtype=float).reshape(-1, 2), tuple(map(len, rings)))


def join(parts: Sequence[Rings]) -> Rings:
    """All rings of all parts, in their order."""
    return Rings(
        numpy.concatenate([part.corners for part in parts]), tuple(chain.from_iterable(part.lengths for part in parts))
    )


def close_rings(rings: Rings) -> list[Path]:
    """Every ring as it is written; a path may come out empty."""
    return drop_repeats(steps_of(rings.corners), rings.lengths)


def drop_repeats(steps: Any, lengths: Sequence[int]) -> list[Path]:
    """Rings that stand end to end, one by one, without the corners whose next one is the same."""
    counts = numpy.array(lengths, dtype=int)
    kept = (steps != _next_corners(steps, counts)).any(axis=1)
    before = numpy.concatenate(([0], numpy.cumsum(kept)))  # kept corners before each corner
    ends = before[numpy.cumsum(counts)]
    return split_paths(steps[kept], numpy.diff(ends, prepend=0))


def split_paths(steps: Any, lengths: Any) -> list[Path]:
    """Paths that stand end to end, one by one."""
    ends = numpy.cumsum(lengths).tolist()
    return [steps[first:end] for first, end in zip([0, *ends], ends, strict=False)]


def _next_corners(steps: Any, lengths: Any) -> Any:
    """For each corner the next of its ring."""
    order = numpy.arange(1, len(steps) + 1)
    ends, filled = numpy.cumsum(lengths), lengths > 0
    order[ends[filled] - 1] = (ends - lengths)[filled]
    return steps[order]


def refuse_empty(paths: Sequence[Path], lengths: Sequence[int]) -> None:
    """Refuse what encloses nothing; `lengths` are the corners the rings had.

    Raises:
        ValueError: a path has fewer than three corners or no area.
    """
    counts = numpy.array([len(path) for path in paths])
    flat = counts < 3
    if not flat.any():
        steps = numpy.concatenate(paths)
        following = _next_corners(steps, counts)
        # Whole numbers: a path that is flat in truth has an area of just 0.
        doubled = steps[:, 0] * following[:, 1] - following[:, 0] * steps[:, 1]
        flat = numpy.add.reduceat(doubled, numpy.cumsum(counts) - counts) == 0
    for index in numpy.flatnonzero(flat).tolist():
        path = paths[index]
        where = f" at ({path[0][0] / STEPS}, {path[0][1] / STEPS}) in" if len(path) else ""
        raise ValueError(f"an outline of {lengths[index]} points{where} encloses nothing and cannot be cut")
