"""DXF text: inches, closed polylines and circles on named layers; one frame a set of layers."""

import functools
import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from itertools import chain, count
from typing import Any

import numpy

from schedule2sign.writers.corners import write_corners
from schedule2sign.writers.drawing import Circles, Shape
from schedule2sign.writers.inches import PLACES, STEPS, round_steps
from schedule2sign.writers.numbers import fixed

_MARK = re.compile("@([a-z0-9 ]+)@")
_OWN_LAYERS = 2  # in every drawing: 0 and Defpoints
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
    frame = _frame(layers)
    paths = [path for shape in shapes for path in shape.paths]
    steps = [*paths, *(group.centers for group in circles)]
    if strokes:
        steps.append(round_steps(numpy.concatenate([writing.corners for writing in strokes])))
    lengths = [
        *map(len, paths),
        *[1] * sum(len(group.centers) for group in circles),
        *chain.from_iterable(writing.lengths for writing in strokes),
    ]
    together = numpy.concatenate(steps)
    texts = iter(write_corners(together, lengths, *_CORNER))
    handles = map("%X".__mod__, count(frame.first_handle))
    edges = together[: sum(lengths[: len(paths)])]
    entities: list[str] = []
    for shape in shapes:
        lead = f"{_of_layer(frame.owner, shape.layer)}{_CORNERS}"
        entities += [f"{_POLYLINE}{next(handles)}{lead}{len(path)}{_CLOSED}{next(texts)}" for path in shape.paths]
    for group in circles:
        lead, ending = f"{_of_layer(frame.owner, group.layer)}{_CENTER}", _RADIUS % group.radius
        entities += [f"{_CIRCLE}{next(handles)}{lead}{next(texts)}{ending}" for _ in range(len(group.centers))]
    for writing in strokes:
        lead = f"{_of_layer(frame.owner, writing.layer)}{_CORNERS}"
        entities += [f"{_POLYLINE}{next(handles)}{lead}{length}{_OPEN}{next(texts)}" for length in writing.lengths]
    values = {
        "width": fixed(edges[:, 0].max() / STEPS, PLACES),
        "height": fixed(edges[:, 1].max() / STEPS, PLACES),
        "seed": next(handles),
    }
    notes = (f"999\r\n{_ascii(line)}\r\n" for line in comments)
    return "".join((*notes, *_fill(frame.before, values), *entities, *_fill(frame.after, values))).encode("ascii")


@functools.lru_cache(maxsize=64)
def _of_layer(owner: str, layer: str) -> str:
    return _OF_LAYER % (owner, layer)


@dataclass(frozen=True, slots=True)
class _Frame:
    """The text around the entities, the owner of all entities and the first free handle.

    Attributes:
        before, after: text, then in turn the name of what is put in and more text.
    """

    before: tuple[str, ...]
    after: tuple[str, ...]
    owner: str
    first_handle: int


@functools.cache
def _frame(layers: Layers) -> _Frame:
    # Kept as text: the library that wrote it takes longer to load than hundreds of drawings take to fill.
    data = tomllib.loads(files(__package__).joinpath("dxf.toml").read_text(encoding="utf-8"))
    handles = count(data["first_handle"])
    text = {
        "layers": "".join(
            _put(data["layer"], {"handle": f"{next(handles):X}", "name": name, "color": str(color)})
            for name, color in layers
        ),
        "layer count": str(len(layers) + _OWN_LAYERS),
        **{f"handle {number}": f"{next(handles):X}" for number in (1, 2, 3)},
    }
    before, after = _put(data["frame"], text).replace("\n", "\r\n").split("@entities@")
    return _Frame(tuple(_MARK.split(before)), tuple(_MARK.split(after)), data["owner"], next(handles))


def _fill(parts: Sequence[str], values: Mapping[str, str]) -> Iterator[str]:
    """A text in pieces, what is put in by its name."""
    return (part if at % 2 == 0 else values[part] for at, part in enumerate(parts))


def _put(text: str, values: Mapping[str, str]) -> str:
    """The text with these values in their places, other places as they are."""
    return _MARK.sub(lambda mark: values.get(mark[1], mark[0]), text)


@functools.lru_cache(maxsize=256)
def _ascii(text: str) -> str:
    """Characters outside ASCII in DXF's own notation, line breaks as spaces."""
    flat = " ".join(text.split())
    if flat.isascii() and flat.isprintable():
        return flat
    return "".join(c if " " <= c <= "~" else f"\\U+{ord(c):04X}" for c in flat)
