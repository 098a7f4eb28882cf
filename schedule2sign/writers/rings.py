"""Closed rings on their way from millimetres to written corners, all of a drawing in one array."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, pairwise
from typing import Any

import numpy

from schedule2sign.model.shape import Ring
from schedule2sign.writers.inches import STEPS, steps_of

Path = Any  # closed: an array of corners, x and y in whole steps of an inch; the first corner is not repeated
_MOST_SHARED = 4096
_shared: dict[int, tuple[Ring, Any]] = {}


@dataclass(frozen=True, slots=True, eq=False)
class Rings:
    """Rings end to end: x and y of all corners in mm, and how many corners each ring has."""

    corners: Any
    lengths: tuple[int, ...]


def gather(rings: Iterable[Ring]) -> Rings:
    """Rings of points as arrays."""
    rings = tuple(rings)
    flat = list(chain.from_iterable(chain.from_iterable(rings)))
    return Rings(numpy.array(flat, dtype=float).reshape(-1, 2), tuple(map(len, rings)))


def gather_shared(ring: Ring) -> Any:
    """The corners of a ring that stands in many places, which is known by identity: it is dear to compare."""
    kept = _shared.get(id(ring))
    if kept is None or kept[0] is not ring:
        if len(_shared) >= _MOST_SHARED:
            _shared.clear()
        kept = _shared[id(ring)] = (ring, gather((ring,)).corners)
    return kept[1]


def place_all(parts: Sequence[Any], places: Sequence[tuple[float, float]]) -> Any:
    """The corners of all parts end to end, each part moved by its x and y."""
    return numpy.concatenate(parts) + numpy.repeat(places, list(map(len, parts)), axis=0)


def close_rings(rings: Rings) -> list[Path]:
    """Every ring as it is written; a path may come out empty."""
    return _split(*_drop_repeats(steps_of(rings.corners), rings.lengths))


def close_solid(steps: Any, lengths: Sequence[int]) -> list[Path]:
    """Rings that stand end to end in whole steps, as they are written.

    Raises:
        ValueError: a path has fewer than three corners or no area.
    """
    steps, ends = _drop_repeats(steps, lengths)
    _refuse_empty(steps, ends, lengths)
    return _split(steps, ends)


def _drop_repeats(steps: Any, lengths: Sequence[int]) -> tuple[Any, Any]:
    """Rings that stand end to end without the corners whose next one is the same, and where each now ends."""
    ends = numpy.cumsum(lengths, dtype=int)
    moves = steps != _next_corners(steps, ends)
    kept = moves[:, 0] | moves[:, 1]
    if kept.all():
        return steps, ends
    before = numpy.concatenate(([0], numpy.cumsum(kept)))  # kept corners before each corner
    return steps[kept], before[ends]


def split_paths(steps: Any, lengths: Any) -> list[Path]:
    """Paths that stand end to end, one by one."""
    return _split(steps, numpy.cumsum(lengths))


def _split(steps: Any, ends: Any) -> list[Path]:
    return [steps[first:end] for first, end in pairwise([0, *ends.tolist()])]


def _next_corners(steps: Any, ends: Any) -> Any:
    """For each corner the next of its ring."""
    starts = _starts(ends)
    filled = ends > starts
    following = numpy.empty_like(steps)
    following[:-1] = steps[1:]
    following[ends[filled] - 1] = steps[starts[filled]]
    return following


def _starts(ends: Any) -> Any:
    starts = numpy.zeros_like(ends)
    starts[1:] = ends[:-1]
    return starts


def _refuse_empty(steps: Any, ends: Any, lengths: Sequence[int]) -> None:
    """Refuse what encloses nothing; `lengths` are the corners the rings had before any were dropped."""
    starts = _starts(ends)
    flat = ends - starts < 3
    if not flat.any():
        following = _next_corners(steps, ends)
        # Whole numbers: a path that is flat in truth has an area of just 0.
        doubled = steps[:, 0] * following[:, 1] - following[:, 0] * steps[:, 1]
        flat = numpy.add.reduceat(doubled, starts) == 0
    for index in numpy.flatnonzero(flat).tolist():
        path = steps[starts[index] : ends[index]]
        where = f" at ({path[0][0] / STEPS}, {path[0][1] / STEPS}) in" if len(path) else ""
        raise ValueError(f"an outline of {lengths[index]} points{where} encloses nothing and cannot be cut")
