"""How far apart two letters stand: distances between filled outlines, never advance widths.

Placing is done in two steps. Each side of a letter has a white: the mean depth from its box edge to its ink,
not deeper than `_DEPTH` (an open L or T holds white, but not all of it counts for the eye). Two letters stand so
that their whites and the gap between their boxes add up to the same sum for every pair, which is the spacing of
two straight stems. Then the closest points are measured and the letter is moved into the legal window.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from schedule2sign.geometry.rings import move_shape
from schedule2sign.model.shape import Outline, Ring

STRAIGHT_EXTRA = 1.10  # straight stems look tighter than round ones: common practice, no source
_DEPTH = 0.20  # share of the character height
_BARE = 0.06  # the same of a row without ink, over a period or around a hyphen: they must not be drawn in. By eye
FLOOR = 0.15  # by eye no two letters stand closer than this share, so large lines are no denser. By eye
SLASH_FLOOR = 0.24  # a slash leans into its neighbors and is read as a stroke of them. By eye
_ROWS = 48
_SLIDE_MM = 1e-4  # below 1e-5 in


@dataclass(frozen=True, slots=True, eq=False)
class Letter:
    """A glyph at one size with what spacing needs of it. `white_*` are mean depths in mm."""

    outline: Outline
    shape: BaseGeometry
    white_left_mm: float
    white_right_mm: float


def make_letter(outline: Outline, shape: BaseGeometry, white: tuple[float, float]) -> Letter:
    """A letter with the white of its sides, given as shares of its height."""
    shapely.prepare(shape)
    return Letter(outline, shape, white[0] * outline.height_mm, white[1] * outline.height_mm)


def white_of(outline: Outline, shape: BaseGeometry) -> tuple[float, float]:
    """The white left and right over the height of the capitals, as shares of it."""
    width, height = outline.box.width_mm, outline.height_mm
    deepest = _DEPTH * height
    left = right = 0.0
    bottoms = numpy.array([height * row / _ROWS for row in range(_ROWS)])
    bands = shapely.intersection(shape, shapely.box(-1, bottoms, width + 1, bottoms + height / _ROWS))
    for empty, (first, _, last, _) in zip(shapely.is_empty(bands), shapely.bounds(bands).tolist(), strict=True):
        left += _BARE * height if empty else min(deepest, first)
        right += _BARE * height if empty else min(deepest, width - last)
    return left / _ROWS / height, right / _ROWS / height


def gap_mm(first: Letter, second: Letter, offset_mm: float) -> float:
    """Closest distance of the filled outlines with `second` at `offset_mm` right of the origin of `first`."""
    return float(first.shape.distance(move_shape(second.shape, offset_mm, 0.0)))


def touch_mm(first: Letter, second: Letter, gap: float) -> float:
    """Offset at which `second`, coming from the right, first stands `gap` mm from `first`.

    Moving by what is left of the distance can never jump through a letter, since no point comes closer than the
    slide is long; so a pair that nests (L and T) stops at its first contact. Where the two pass each other
    without coming that close, the answer is minus infinity.
    """
    offset = first.outline.box.right_mm + gap
    last = first.outline.box.left_mm - second.outline.box.right_mm - gap
    while offset > last:
        spare = gap_mm(first, second, offset) - gap
        if spare <= _SLIDE_MM:
            return offset
        offset -= spare
    return float("-inf")


def filled(rings: Sequence[Ring]) -> BaseGeometry:
    """The rings of an outline as a filled shape: what is cut is what is measured."""
    shape: BaseGeometry = Polygon()
    for ring in rings:  # outer rings come first
        shape = shape.symmetric_difference(Polygon(ring))
    return shape
