"""Plate ids as single strokes: a DXF of ours holds no text entities, which some controllers cannot read."""

import functools
import tomllib
from importlib.resources import files
from itertools import chain
from typing import Any

import numpy

from schedule2sign.writers.dxf import Strokes
from schedule2sign.writers.rings import place_all

_WIDE, _HIGH, _STEP = 4, 6, 5.5  # grid of a letter, and from one letter to the next
_Run = tuple[tuple[int, int], ...]


def write_strokes(text: str, layer: str, left: float, bottom: float, height: float, most_width: float) -> Strokes:
    """The text from its bottom left corner, in inches; made smaller where it would be wider than `most_width`.

    A character without strokes is written as an empty box, never dropped.
    """
    corners, lengths = _write_runs(text)
    scale = min(height / _HIGH, most_width / (_STEP * (len(text) - 1) + _WIDE))
    return Strokes(layer, corners * scale + (left, bottom), lengths)


@functools.lru_cache(maxsize=1024)
def _write_runs(text: str) -> tuple[Any, tuple[int, ...]]:
    """The runs of a text end to end on the grid of its letters: an id is written on its plate and on its patch."""
    written = [
        (_character(character), place * _STEP) for place, character in enumerate(text.upper()) if character != " "
    ]
    if not written:
        return numpy.empty((0, 2)), ()
    corners = place_all([corners for (corners, _), _ in written], [(left, 0.0) for _, left in written])
    return corners, tuple(length for (_, lengths), _ in written for length in lengths)


@functools.cache
def _character(character: str) -> tuple[Any, tuple[int, ...]]:
    runs = _glyphs().get(character, _BOX)
    return numpy.array(list(chain.from_iterable(runs)), dtype=float), tuple(map(len, runs))


_BOX: tuple[_Run, ...] = (((0, 0), (_WIDE, 0), (_WIDE, _HIGH), (0, _HIGH), (0, 0)),)


@functools.cache
def _glyphs() -> dict[str, tuple[_Run, ...]]:
    text = files(__package__).joinpath("strokes.toml").read_text(encoding="utf-8")
    return {
        character: tuple(tuple((int(x), int(y)) for x, y in run.split()) for run in strokes.split(";"))
        for character, strokes in tomllib.loads(text)["strokes"].items()
    }
