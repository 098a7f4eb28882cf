"""Pictogram drawings: SVG files of plain shapes, read as rings."""

import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

from fontTools.pens.basePen import BasePen
from fontTools.svgLib.path import parse_path

from schedule2sign.errors import InputError
from schedule2sign.geometry.curves import circle_points, flatten_cubic, flatten_quadratic
from schedule2sign.geometry.rings import box_of, fill_contours, shape_rings
from schedule2sign.layout.fields import PictogramDrawing
from schedule2sign.model.shape import Point

_ERROR = 0.01  # chord error in drawing units; drawings are 120 units high and cut about 5 in high
_SVG = "{http://www.w3.org/2000/svg}"
_NUMBER = re.compile(r"[-+]?\d*\.?\d+(?:[eE][-+]?\d+)?")


def load_pictogram(path: Path) -> PictogramDrawing:
    """Read a drawing made of path, circle, rect and polygon elements, all filled.

    Raises:
        InputError: the file cannot be read, or holds something that would not be cut as it looks.
    """
    try:
        root = ElementTree.fromstring(path.read_bytes())  # noqa: S314 (files of the shop's own templates folder)
    except (OSError, ElementTree.ParseError) as error:
        raise InputError(f"Pictogram {path.name} cannot be read as SVG: {error}.") from None
    shape = fill_contours([])
    for element in root.iter():
        kind = element.tag.removeprefix(_SVG)
        if element.get("transform"):
            raise InputError(f"Pictogram {path.name} has a transform on {kind!r}; apply it and save again.")
        contours = _contours(path.name, kind, element)
        if contours:
            shape = shape.union(fill_contours(contours))
    rings = tuple(tuple((x, -y) for x, y in reversed(ring)) for ring in shape_rings(shape))
    if not rings:
        raise InputError(f"Pictogram {path.name} draws nothing that can be cut.")
    return PictogramDrawing(name=path.stem, rings=rings, box=box_of(rings))


def _contours(file: str, kind: str, element: ElementTree.Element) -> list[list[Point]]:
    def number(name: str) -> float:
        return float(element.get(name, "0"))

    match kind:
        case "svg" | "g" | "title" | "desc" | "metadata":
            return []
        case "circle":
            return [circle_points((number("cx"), number("cy")), number("r"), _ERROR)]
        case "rect":
            x, y, w, h = number("x"), number("y"), number("width"), number("height")
            return [[(x, y), (x + w, y), (x + w, y + h), (x, y + h)]]
        case "polygon":
            values = [float(text) for text in _NUMBER.findall(element.get("points", ""))]
            return [list(zip(values[::2], values[1::2], strict=True))]
        case "path":
            pen = _ChordPen()
            parse_path(element.get("d", ""), pen)
            return pen.contours
    raise InputError(f"Pictogram {file} has a {kind!r} element; use path, circle, rect or polygon.")


class _ChordPen(BasePen):  # type: ignore[misc]
    """Collects path data as chords."""

    def __init__(self) -> None:
        super().__init__(None)
        self.contours: list[list[Point]] = []

    def _moveTo(self, pt: Point) -> None:  # noqa: N802 (the pen protocol's own names)
        self.contours.append([pt])

    def _lineTo(self, pt: Point) -> None:  # noqa: N802
        self.contours[-1].append(pt)

    def _qCurveToOne(self, pt1: Point, pt2: Point) -> None:  # noqa: N802
        self.contours[-1] += flatten_quadratic(self._getCurrentPoint(), pt1, pt2, _ERROR)

    def _curveToOne(self, pt1: Point, pt2: Point, pt3: Point) -> None:  # noqa: N802
        self.contours[-1] += flatten_cubic(self._getCurrentPoint(), pt1, pt2, pt3, _ERROR)
