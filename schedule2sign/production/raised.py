"""The raised parts of a sign and its plate as filled shapes where they stand."""

import functools
from collections.abc import Sequence

import numpy
import shapely
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from schedule2sign.geometry.rings import fill_contours
from schedule2sign.model.shape import Outline, PlacedGlyph, Ring, SignLayout


def fill_rings(rings: Sequence[Ring]) -> BaseGeometry:
    """The area that stays raised."""
    return fill_contours(rings)


def raised_parts(layout: SignLayout) -> list[tuple[str, BaseGeometry]]:
    """Every letter, the pictogram and the border, each with its name."""
    glyphs = [glyph for line in layout.lines for glyph in line.glyphs]
    parts = list(zip((glyph.outline.char for glyph in glyphs), _glyph_shapes(glyphs), strict=True))
    if layout.pictogram is not None and layout.pictogram.rings:
        parts.append((layout.pictogram.name, fill_rings(layout.pictogram.rings)))
    if layout.border:
        parts.append(("border", fill_rings(layout.border)))
    return parts


def plate_shape(layout: SignLayout) -> shapely.Polygon:
    """The plate: its own outline, or a rectangle with rounded corners."""
    if layout.outline:
        return shapely.Polygon(layout.outline)
    radius = layout.corner_radius_mm
    if radius <= 0:
        return shapely.box(0, 0, layout.width_mm, layout.height_mm)
    return _rounded(layout.width_mm, layout.height_mm, radius)


@functools.lru_cache(maxsize=256)
def _rounded(width_mm: float, height_mm: float, radius_mm: float) -> shapely.Polygon:
    # A job has few sizes of plate.
    inner = shapely.box(radius_mm, radius_mm, width_mm - radius_mm, height_mm - radius_mm)
    return inner.buffer(radius_mm, quad_segs=32)


def glyph_shape(glyph: PlacedGlyph) -> BaseGeometry:
    """A letter where it stands."""
    return translate(_fill_outline(glyph.outline), glyph.x_mm, glyph.baseline_mm)


def _glyph_shapes(glyphs: Sequence[PlacedGlyph]) -> Sequence[BaseGeometry]:
    """As `glyph_shape` of each, moved in one go."""
    shapes = numpy.array([_fill_outline(glyph.outline) for glyph in glyphs], dtype=object)
    if not glyphs:
        return ()
    at, owner = shapely.get_coordinates(shapes, return_index=True)
    moves = numpy.array([(glyph.x_mm, glyph.baseline_mm) for glyph in glyphs])
    moved: Sequence[BaseGeometry] = shapely.set_coordinates(shapes.copy(), at + moves[owner])
    return moved


@functools.lru_cache(maxsize=4096)
def _fill_outline(outline: Outline) -> BaseGeometry:
    # Outlines are shared by every place they stand in, so each is filled once.
    return fill_rings(outline.rings)
