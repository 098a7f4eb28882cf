"""A font file's glyphs as filled outlines, capital I one unit high."""

import hashlib
import io
import logging
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fontTools.pens.basePen import BasePen
from fontTools.ttLib import TTFont, TTLibError

from schedule2sign.errors import InputError
from schedule2sign.geometry.curves import flatten_cubic, flatten_quadratic
from schedule2sign.model.shape import Point

# A font dated before 1970 makes fontTools log a line that tells a sign maker nothing.
logging.getLogger("fontTools.ttLib.tables._h_e_a_d").setLevel(logging.ERROR)

_NAME_FULL, _NAME_LICENCE, _NAME_LICENCE_URL = 4, 13, 14


@dataclass(frozen=True, slots=True, kw_only=True)
class FontFile:
    """An opened font. `i_units` is the height of capital I, `i_foot` its lowest point, in font units."""

    name: str
    file: str
    sha256: str
    licence: str
    embedding: int
    i_units: float
    i_foot: float
    glyph_names: dict[int, str]
    _glyphs: Any

    def has(self, char: str) -> bool:
        """True when the font maps the character to a glyph."""
        return ord(char) in self.glyph_names

    def advance(self, char: str) -> float:
        """Advance width as a share of the height of I."""
        return float(self._glyphs[self.glyph_names[ord(char)]].width) / self.i_units

    def contours(self, char: str, error: float) -> list[list[Point]]:
        """Contours of a character, I one unit high, no chord off the curve by more than `error` units."""
        pen = _ChordPen(self._glyphs, error * self.i_units)
        self._glyphs[self.glyph_names[ord(char)]].draw(pen)
        return [[(x / self.i_units, y / self.i_units) for x, y in contour] for contour in pen.contours]


def open_font(path: Path) -> FontFile:
    """Open an OpenType or TrueType font.

    Raises:
        InputError: the file cannot be read as a font, or has no capital I to measure letters by.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError(f"Font {path} cannot be read: {error.strerror or error}.") from None
    try:
        font = TTFont(io.BytesIO(data), lazy=True)
        names = font.getBestCmap() or {}
        glyphs = font.getGlyphSet()
        bounds = _i_bounds(glyphs, names)
        embedding = int(font["OS/2"].fsType) if "OS/2" in font else 0
        full = _name(font, _NAME_FULL) or path.stem
        licence = _name(font, _NAME_LICENCE) or _name(font, _NAME_LICENCE_URL) or "not stated in the font"
    except (TTLibError, struct.error, KeyError, AttributeError, ValueError, OSError, IndexError) as error:
        raise InputError(f"Font {path.name} cannot be used: it is not a readable OpenType font ({error}).") from None
    if bounds is None:
        raise InputError(f"Font {path.name} cannot be used: it has no capital I to measure letter heights by.")
    return FontFile(
        name=full,
        file=path.name,
        sha256=hashlib.sha256(data).hexdigest(),
        licence=" ".join(licence.split()),
        embedding=embedding,
        i_units=bounds[1] - bounds[0],
        i_foot=bounds[0],
        glyph_names=names,
        _glyphs=glyphs,
    )


def _i_bounds(glyphs: Any, names: dict[int, str]) -> tuple[float, float] | None:
    if ord("I") not in names:
        return None
    pen = _ChordPen(glyphs, 1.0)
    glyphs[names[ord("I")]].draw(pen)
    ys = [y for contour in pen.contours for _, y in contour]
    return (min(ys), max(ys)) if ys and max(ys) > min(ys) else None


def _name(font: TTFont, number: int) -> str:
    return str(font["name"].getDebugName(number) or "") if "name" in font else ""


class _ChordPen(BasePen):  # type: ignore[misc]
    """Collects contours as chords; components are drawn in place."""

    def __init__(self, glyphs: Any, error: float) -> None:
        super().__init__(glyphs)
        self.contours: list[list[Point]] = []
        self._error = error

    def _moveTo(self, pt: Point) -> None:  # noqa: N802 (the pen protocol's own names)
        self.contours.append([pt])

    def _lineTo(self, pt: Point) -> None:  # noqa: N802
        self.contours[-1].append(pt)

    def _qCurveToOne(self, pt1: Point, pt2: Point) -> None:  # noqa: N802
        self.contours[-1] += flatten_quadratic(self._getCurrentPoint(), pt1, pt2, self._error)

    def _curveToOne(self, pt1: Point, pt2: Point, pt3: Point) -> None:  # noqa: N802
        self.contours[-1] += flatten_cubic(self._getCurrentPoint(), pt1, pt2, pt3, self._error)
