"""Plate ids as single strokes: a DXF of ours holds no text entities, which some controllers cannot read."""

import functools
import tomllib
from importlib.resources import files
from itertools import chain

import numpy

from schedule2sign.writers.dxf import Strokes

_WIDE, _HIGH, _STEP = 4, 6, 5.5  # grid of a letter, and from one letter to the next
_Run = tuple[tuple[int, int], ...]


def write_strokes(text: str, layer: str, left: float, bottom: float, height: float, most_width: float) -> Strokes:
    """The text from its bottom left corner, in inches; made smaller where it would be wider than `most_width`.

    A character without strokes is written as an empty box, never dropped.
    """
    runs = [
        [(x + place * _STEP, y) for x, y in run]
        for place, character in enumerate(text.upper())
        if character != " "
        for run in _glyphs().get(character, _BOX)
    ]
    scale = min(height / _HIGH, most_width / (_STEP * (len(text) - 1) + _WIDE))
    corners = numpy.array(list(chain.from_iterable(runs)), dtype=float).reshape(-1, 2)
    return Strokes(layer, corners * scale + (left, bottom), tuple(map(len, runs)))


_BOX: tuple[_Run, ...] = (((0, 0), (_WIDE, 0), (_WIDE, _HIGH), (0, _HIGH), (0, 0)),)


@functools.cache
def _glyphs() -> dict[str, tuple[_Run, ...]]:
    text = files(__package__).joinpath("strokes.toml").read_text(encoding="utf-8")
    return {
        character: tuple(tuple((int(x), int(y)) for x, y in run.split()) for run in strokes.split(";"))
        for character, strokes in tomllib.loads(text)["strokes"].items()
    }
