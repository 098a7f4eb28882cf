"""What a font's own outlines say: stroke, proportion, serifs, slant."""

import math

from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from schedule2sign.geometry.rings import fill_contours
from schedule2sign.lettering.fontfile import FontFile
from schedule2sign.model.shape import FontFacts

_ERROR = 0.0002  # chord error while measuring, as a share of the height of I
_SERIF = 1.15  # an I this much wider than its own stem has bars


def measure_font(font: FontFile) -> FontFacts:
    """Measure the capitals I and O (ADA 703.2.4, 703.2.6 define style and stroke by them)."""
    letter = fill_contours(font.contours("I", _ERROR))
    foot, top = letter.bounds[1], letter.bounds[3]
    low, middle, high = (stem_at(letter, foot + (top - foot) * share) for share in (0.25, 0.5, 0.75))
    widest = letter.bounds[2] - letter.bounds[0]
    lean = (high[0] + high[1] - low[0] - low[1]) / 2
    slant = math.degrees(math.atan2(lean, (top - foot) / 2))
    stroke = middle[1] - middle[0]
    # A leaning stem is cut level here; its thickness is across the stem.
    across = stroke * math.cos(math.radians(slant))
    upright_width = widest - abs(math.tan(math.radians(slant))) * (top - foot)
    return FontFacts(
        name=font.name,
        file=font.file,
        sha256=font.sha256,
        licence=font.licence,
        stroke_ratio=across,
        o_ratio=_width(fill_contours(font.contours("O", _ERROR))) if font.has("O") else 0.0,
        i_has_serifs=upright_width > _SERIF * stroke,
        slant_deg=slant,
    )


def stem_at(shape: BaseGeometry, y: float) -> tuple[float, float]:
    """Left and right ends of the ink at a height; (0, 0) where there is none."""
    left, _, right, _ = shape.bounds
    cut = shape.intersection(LineString([(left - 1, y), (right + 1, y)]))
    return (cut.bounds[0], cut.bounds[2]) if not cut.is_empty else (0.0, 0.0)


def _width(shape: BaseGeometry) -> float:
    return float(shape.bounds[2] - shape.bounds[0]) if not shape.is_empty else 0.0
