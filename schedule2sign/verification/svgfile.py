"""An SVG read back: real size from width, height and viewBox; paths and circles by the id of their group."""

import re
from collections.abc import Iterator
from xml.etree import ElementTree

from schedule2sign.geometry.curves import flatten_cubic, flatten_quadratic
from schedule2sign.model.shape import Point, Ring
from schedule2sign.verification.difference import TOLERANCE_MM
from schedule2sign.verification.drawing import (
    CHORD_MM,
    DrawnCircle,
    DrawnRing,
    ReadDrawing,
    UnreadableError,
    make_circle,
    make_ring,
)

_SVG = "{http://www.w3.org/2000/svg}"
_SIZE = re.compile(r"\s*([0-9.eE+-]+)\s*(in|mm|cm|pt|pc|px)\s*")
_UNIT_MM = {"in": 25.4, "mm": 1.0, "cm": 10.0, "pt": 25.4 / 72, "pc": 25.4 / 6, "px": 25.4 / 96}  # CSS Values 3, 6.2
_SILENT = frozenset({"title", "desc", "defs", "radialGradient", "stop"})
# Attributes that move, bend or hide what a plain reading finds.
_TRICKS = ("transform", "style", "class", "clip-path", "mask", "display", "stroke-width", "opacity")


class _NoDoctype(ElementTree.TreeBuilder):
    """Entities live in a document type, so a file with one is refused before any is expanded."""

    def doctype(self, name: str, _pubid: str | None, _system: str | None) -> None:
        raise UnreadableError(f"it declares a document type ({name}), which could hide entities")


def read_svg(file: str, data: bytes) -> ReadDrawing:
    """Everything the file draws, in mm, y up.

    Raises:
        UnreadableError: damaged, without a real size, or with anything but closed paths and circles in layer groups.
    """
    try:
        # The parser's target refuses any document type, so no entity can be expanded.
        root = ElementTree.fromstring(data, ElementTree.XMLParser(target=_NoDoctype()))  # noqa: S314
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        if isinstance(error, UnreadableError):
            raise
        raise UnreadableError(f"it is no readable XML ({error})") from None
    if root.tag != f"{_SVG}svg":
        raise UnreadableError("its root is no svg element")
    scale = _Scale(root)
    rings: list[DrawnRing] = []
    circles: list[DrawnCircle] = []
    for group in _drawn(root):
        if group.tag != f"{_SVG}g":
            raise UnreadableError(f"it draws a {_kind(group)} outside the layer groups")
        layer = group.get("id", "")
        for element in _drawn(group):
            match _kind(element):
                case "path":
                    rings += [make_ring(layer, scale.place(ring)) for ring in _rings(element.get("d", ""))]
                case "circle":
                    x, y, r = (_number(element.get(name, "0")) for name in ("cx", "cy", "r"))
                    ((x_mm, y_mm),) = scale.place(((x, y),))
                    circles.append(make_circle(layer, x_mm, y_mm, 2 * r * scale.unit_mm))
                case kind:
                    raise UnreadableError(f"it has a {kind!r} element on {layer or 'no layer'}")
    titles = [element.text or "" for element in root.iter(f"{_SVG}title")]
    return ReadDrawing(
        file=file, title=titles[0] if len(titles) == 1 else "", rings=tuple(rings), circles=tuple(circles)
    )


class _Scale:
    """From the file's units, y down, to mm, y up."""

    def __init__(self, root: ElementTree.Element) -> None:
        sizes = [_SIZE.fullmatch(root.get(name, "")) for name in ("width", "height")]
        box = [_number(text) for text in root.get("viewBox", "").replace(",", " ").split()]
        if None in sizes or len(box) != 4 or min(box[2:]) <= 0:
            raise UnreadableError("its width, height and viewBox do not state a real size")
        width_mm, height_mm = (_number(size[1]) * _UNIT_MM[size[2]] for size in sizes if size)
        self.unit_mm = width_mm / box[2]
        if not self.unit_mm > 0 or abs(height_mm - box[3] * self.unit_mm) > TOLERANCE_MM:
            raise UnreadableError("its width and height scale the viewBox differently")
        self._left, self._bottom = box[0], box[1] + box[3]

    def place(self, points: Ring) -> Ring:
        return tuple(((x - self._left) * self.unit_mm, (self._bottom - y) * self.unit_mm) for x, y in points)


def _drawn(parent: ElementTree.Element) -> Iterator[ElementTree.Element]:
    for element in parent:
        trick = next((name for name in _TRICKS if element.get(name) is not None), None)
        if trick:
            raise UnreadableError(f"a {_kind(element)} has the attribute {trick!r}, so it may not be cut as it reads")
        if _kind(element) not in _SILENT:
            yield element


def _rings(data: str) -> Iterator[Ring]:
    """Closed contours of path data, curves and arcs as chords."""
    from fontTools.pens.recordingPen import RecordingPen
    from fontTools.svgLib.path import parse_path

    pen = RecordingPen()
    try:
        parse_path(data, pen)
    except (ValueError, IndexError, TypeError, KeyError, AssertionError, ZeroDivisionError) as error:
        raise UnreadableError(f"its path data cannot be read ({type(error).__name__}: {error})") from None
    ring: list[Point] = []
    for step, points in pen.value:
        match step:
            case "moveTo":
                ring = [points[0]]
            case "lineTo":
                ring.append(points[0])
            case "curveTo":
                ring += flatten_cubic(ring[-1], points[0], points[1], points[2], CHORD_MM / 25.4)
            case "qCurveTo":
                ring += flatten_quadratic(ring[-1], points[0], points[1], CHORD_MM / 25.4)
            case "closePath":
                yield tuple(ring[:-1] if len(ring) > 1 and ring[0] == ring[-1] else ring)
            case _:
                raise UnreadableError("it has an open path")


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise UnreadableError(f"{text!r} stands where a number should") from None


def _kind(element: ElementTree.Element) -> str:
    return str(element.tag).removeprefix(_SVG)
