"""DXF text: inches, closed polylines and circles on named layers; one document skeleton a set of layers."""

import functools
import importlib
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from operator import itemgetter
from typing import Any

from schedule2sign.writers.drawing import Circle, Path, Shape
from schedule2sign.writers.inches import PLACES
from schedule2sign.writers.numbers import fixed

VERSION = "R2000"  # the oldest that has light polylines and a units field
_INCHES = 1  # $INSUNITS
# Extents no drawing has: they stand in the skeleton where each drawing's own are put.
_WIDTH_MARK, _HEIGHT_MARK = "70001.5", "70002.5"
_CORNER = f" 10\n%.{PLACES}f\n 20\n%.{PLACES}f\n"

Layers = tuple[tuple[str, int], ...]  # name and screen color; the operation is the layer's name


@dataclass(frozen=True, slots=True)
class Stroke:
    """An open run of corners in inches: writing that is read on the screen, not cut."""

    layer: str
    points: tuple[tuple[float, float], ...]


def render_dxf(
    layers: Layers,
    comments: Iterable[str],
    shapes: Sequence[Shape],
    circles: Sequence[Circle] = (),
    strokes: Sequence[Stroke] = (),
) -> bytes:
    """The file: what it says of itself as comments, then the shapes, circles and strokes in the order given."""
    skeleton = _skeleton(layers)
    handle = skeleton.first_handle
    entities = []
    for shape in shapes:
        for path in shape.paths:
            entities.append(_polyline(path, shape.layer, handle, skeleton.owner))
            handle += 1
    for circle in circles:
        entities.append(_circle(circle, handle, skeleton.owner))
        handle += 1
    for stroke in strokes:
        entities.append(_stroke(stroke, handle, skeleton.owner))
        handle += 1
    paths = [path for shape in shapes for path in shape.paths]
    right, top = (fixed(max(max(map(itemgetter(axis), path)) for path in paths), PLACES) for axis in (0, 1))
    head = skeleton.head.replace("{seed}", f"{handle:X}").replace(_WIDTH_MARK, right).replace(_HEIGHT_MARK, top)
    tail = skeleton.tail.replace(_WIDTH_MARK, right).replace(_HEIGHT_MARK, top)
    notes = "".join(f"999\n{_ascii(line)}\n" for line in comments)
    return (notes + head + "".join(entities) + tail).replace("\n", "\r\n").encode("ascii")


@dataclass(frozen=True, slots=True)
class _Skeleton:
    """The text around the entities, the owner of all entities and the first free handle."""

    head: str
    tail: str
    owner: str
    first_handle: int


@functools.cache
def _skeleton(layers: Layers) -> _Skeleton:
    # A document costs more to build than to fill, and thousands of drawings share a few.
    ezdxf: Any = importlib.import_module("ezdxf")
    keep = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True  # fixed GUIDs and dates: same job, same bytes
    try:
        document = ezdxf.new(VERSION, units=_INCHES)
        document.header["$MEASUREMENT"] = 0
        document.header["$LUNITS"] = 2
        document.header["$LUPREC"] = 5
        for layer, color in layers:
            document.layers.add(layer, color=color)
        corner = (float(_WIDTH_MARK), float(_HEIGHT_MARK))
        space = document.modelspace()
        space.reset_extents((0, 0, 0), (*corner, 0))
        space.reset_limits((0, 0), corner)
        document.header["$EXTMIN"], document.header["$EXTMAX"] = (0, 0, 0), (*corner, 0)
        # Else a reader that prints takes the default sheet of 420 x 297 for inches.
        document.paperspace().reset_limits((0, 0), corner)
        stream = io.StringIO()
        document.write(stream)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = keep
    text = stream.getvalue()
    seed = str(document.header["$HANDSEED"])
    text = _once(text, f"$HANDSEED\n  5\n{seed}\n", "$HANDSEED\n  5\n{seed}\n")
    head, mark, tail = text.partition("  2\nENTITIES\n")
    return _Skeleton(head + mark, tail, str(space.layout_key), int(seed, 16))


def _once(text: str, old: str, new: str) -> str:
    if text.count(old) != 1:
        raise ValueError(f"the DXF skeleton has {text.count(old)} places for {old!r}, not one")
    return text.replace(old, new)


def _ascii(text: str) -> str:
    """Characters outside ASCII in DXF's own notation, line breaks as spaces."""
    flat = " ".join(text.split())
    return "".join(c if " " <= c <= "~" else f"\\U+{ord(c):04X}" for c in flat)


def _polyline(path: Path, layer: str, handle: int, owner: str) -> str:
    # All numbers of a path at once: most of a file is corners.
    corners = (_CORNER * len(path)) % tuple(chain.from_iterable(path))
    return (
        f"  0\nLWPOLYLINE\n  5\n{handle:X}\n330\n{owner}\n100\nAcDbEntity\n  8\n{layer}\n100\nAcDbPolyline\n"
        f" 90\n{len(path)}\n 70\n1\n 43\n0.0\n{corners}"
    )


def _circle(circle: Circle, handle: int, owner: str) -> str:
    return (
        f"  0\nCIRCLE\n  5\n{handle:X}\n330\n{owner}\n100\nAcDbEntity\n  8\n{circle.layer}\n100\nAcDbCircle\n"
        f" 10\n{fixed(circle.x, PLACES)}\n 20\n{fixed(circle.y, PLACES)}\n 30\n0.0\n"
        f" 40\n{fixed(circle.radius, PLACES)}\n"
    )


def _stroke(stroke: Stroke, handle: int, owner: str) -> str:
    corners = "".join(f" 10\n{fixed(x, PLACES)}\n 20\n{fixed(y, PLACES)}\n" for x, y in stroke.points)
    return (
        f"  0\nLWPOLYLINE\n  5\n{handle:X}\n330\n{owner}\n100\nAcDbEntity\n  8\n{stroke.layer}\n100\nAcDbPolyline\n"
        f" 90\n{len(stroke.points)}\n 70\n0\n 43\n0.0\n{corners}"
    )
