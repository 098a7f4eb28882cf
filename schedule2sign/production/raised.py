"""The raised parts of a sign and its plate as filled shapes where they stand."""

import functools
from collections.abc import Sequence

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
    parts = [(glyph.outline.char, glyph_shape(glyph)) for line in layout.lines for glyph in line.glyphs]
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
    inner = shapely.box(radius, radius, layout.width_mm - radius, layout.height_mm - radius)
    return inner.buffer(radius, quad_segs=32)


def glyph_shape(glyph: PlacedGlyph) -> BaseGeometry:
    """A letter where it stands."""
    return translate(_fill_outline(glyph.outline), glyph.x_mm, glyph.baseline_mm)


@functools.lru_cache(maxsize=4096)
def _fill_outline(outline: Outline) -> BaseGeometry:
    # Outlines are shared by every place they stand in, so each is filled once.
    return fill_rings(outline.rings)
