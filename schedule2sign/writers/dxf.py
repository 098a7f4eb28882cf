"""DXF text: inches, closed polylines and circles on named layers; one document skeleton a set of layers."""

import functools
import importlib
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, count
from typing import Any

import numpy

from schedule2sign.writers.corners import write_corners
from schedule2sign.writers.drawing import Circles, Shape
from schedule2sign.writers.inches import PLACES, STEPS, round_steps
from schedule2sign.writers.numbers import fixed

VERSION = "R2000"  # the oldest that has light polylines and a units field
_INCHES = 1  # $INSUNITS
# Extents no drawing has: they stand in the skeleton where each drawing's own are put.
_WIDTH_MARK, _HEIGHT_MARK = "70001.5", "70002.5"
# Lines of the format end in CR LF. An entity is its kind, its handle, then its owner's handle and its layer.
_POLYLINE, _CIRCLE = "  0\r\nLWPOLYLINE\r\n  5\r\n", "  0\r\nCIRCLE\r\n  5\r\n"
_OF_LAYER = "\r\n330\r\n%s\r\n100\r\nAcDbEntity\r\n  8\r\n%s\r\n100\r\n"
_CORNERS = "AcDbPolyline\r\n 90\r\n"  # then how many
_CLOSED, _OPEN = "\r\n 70\r\n1\r\n 43\r\n0.0\r\n", "\r\n 70\r\n0\r\n 43\r\n0.0\r\n"  # then the corners
_CENTER = "AcDbCircle\r\n"  # then the center
_RADIUS = " 30\r\n0.0\r\n 40\r\n%.6f\r\n"
_CORNER = (b" 10\r\n", b"\r\n 20\r\n", b"\r\n")  # before x, between x and y, after y

Layers = tuple[tuple[str, int], ...]  # name and screen color; the operation is the layer's name


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """Open runs of corners, end to end, in inches: writing that is read on the screen, not cut."""

    layer: str
    corners: Any
    lengths: tuple[int, ...]


def render_dxf(
    layers: Layers,
    comments: Iterable[str],
    shapes: Sequence[Shape],
    circles: Sequence[Circles] = (),
    strokes: Sequence[Strokes] = (),
) -> bytes:
    """The file: what it says of itself as comments, then the shapes, circles and strokes in the order given."""
    skeleton = _skeleton(layers)
    paths = [path for shape in shapes for path in shape.paths]
    edges = numpy.concatenate(paths)
    steps = [edges, *(group.centers for group in circles), *(round_steps(writing.corners) for writing in strokes)]
    lengths = [
        *map(len, paths),
        *(1 for group in circles for _ in group.centers),
        *chain.from_iterable(writing.lengths for writing in strokes),
    ]
    texts = iter(write_corners(numpy.concatenate(steps), lengths, *_CORNER))
    handles = map("%X".__mod__, count(skeleton.first_handle))
    entities: list[str] = []
    for shape in shapes:
        lead = f"{_of_layer(skeleton.owner, shape.layer)}{_CORNERS}"
        entities += [f"{_POLYLINE}{next(handles)}{lead}{len(path)}{_CLOSED}{next(texts)}" for path in shape.paths]
    for group in circles:
        lead, ending = f"{_of_layer(skeleton.owner, group.layer)}{_CENTER}", _RADIUS % group.radius
        entities += [f"{_CIRCLE}{next(handles)}{lead}{next(texts)}{ending}" for _ in group.centers]
    for writing in strokes:
        lead = f"{_of_layer(skeleton.owner, writing.layer)}{_CORNERS}"
        entities += [f"{_POLYLINE}{next(handles)}{lead}{length}{_OPEN}{next(texts)}" for length in writing.lengths]
    right, top = (fixed(most / STEPS, PLACES) for most in edges.max(axis=0).tolist())
    head = skeleton.head.replace("{seed}", next(handles)).replace(_WIDTH_MARK, right).replace(_HEIGHT_MARK, top)
    tail = skeleton.tail.replace(_WIDTH_MARK, right).replace(_HEIGHT_MARK, top)
    notes = "".join(f"999\r\n{_ascii(line)}\r\n" for line in comments)
    return "".join((notes, head, *entities, tail)).encode("ascii")


@functools.lru_cache(maxsize=64)
def _of_layer(owner: str, layer: str) -> str:
    return _OF_LAYER % (owner, layer)


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
    text = stream.getvalue().replace("\n", "\r\n")
    seed = str(document.header["$HANDSEED"])
    text = _once(text, f"$HANDSEED\r\n  5\r\n{seed}\r\n", "$HANDSEED\r\n  5\r\n{seed}\r\n")
    head, mark, tail = text.partition("  2\r\nENTITIES\r\n")
    return _Skeleton(head + mark, tail, str(space.layout_key), int(seed, 16))


def _once(text: str, old: str, new: str) -> str:
    if text.count(old) != 1:
        raise ValueError(f"the DXF skeleton has {text.count(old)} places for {old!r}, not one")
    return text.replace(old, new)


def _ascii(text: str) -> str:
    """Characters outside ASCII in DXF's own notation, line breaks as spaces."""
    flat = " ".join(text.split())
    if flat.isascii() and flat.isprintable():
        return flat
    return "".join(c if " " <= c <= "~" else f"\\U+{ord(c):04X}" for c in flat)
