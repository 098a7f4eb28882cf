"""One DXF a released sign: inches, closed polylines and circles, one layer an operation."""

import functools
import importlib
import io
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.shape import SignLayout
from schedule2sign.writers.drawing import (
    BRAILLE_DRILL,
    FIXING_HOLES,
    LAYERS,
    NOTES,
    ONE_LINE_CAUTION,
    PATH_NOTE,
    PICTOGRAM,
    PLACES,
    PLATE_EDGE,
    RAISED_OUTLINE,
    REF,
    WINDOW,
    Circle,
    Path,
    draw_sign,
)
from schedule2sign.writers.numbers import fixed, trimmed
from schedule2sign.writers.released import production_path, released_signs

_VERSION = "R2000"  # the oldest that has light polylines and a units field
_INCHES = 1  # $INSUNITS
# Screen colors only; the operation is the layer's name.
_COLORS = {
    PLATE_EDGE: 7,
    RAISED_OUTLINE: 1,
    BRAILLE_DRILL: 3,
    PICTOGRAM: 5,
    WINDOW: 4,
    FIXING_HOLES: 6,
    REF: 9,
    NOTES: 9,
}
# Extents no sign has: they stand in the skeleton where each sign's own are put.
_WIDTH_MARK, _HEIGHT_MARK = "70001.5", "70002.5"


class SignDxf:
    """Writes signs/<sign-id>.dxf."""

    name, suffix = "sign-dxf", ".dxf"

    def render(self, job: Job) -> Iterator[OutFile]:
        for record, layout in released_signs(job):
            yield OutFile(production_path(record, self.suffix), _render_sign(job, record, layout))


@dataclass(frozen=True, slots=True)
class _Skeleton:
    """The text around the entities, the owner of all entities and the first free handle."""

    head: str
    tail: str
    owner: str
    first_handle: int


@functools.cache
def _skeleton() -> _Skeleton:
    # A document costs more to build than to fill, and thousands of signs share this one.
    ezdxf: Any = importlib.import_module("ezdxf")
    keep = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True  # fixed GUIDs and dates: same job, same bytes
    try:
        document = ezdxf.new(_VERSION, units=_INCHES)
        document.header["$MEASUREMENT"] = 0
        document.header["$LUNITS"] = 2
        document.header["$LUPREC"] = 5
        for layer in LAYERS:
            document.layers.add(layer, color=_COLORS[layer])
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


def _render_sign(job: Job, record: SignRecord, layout: SignLayout) -> bytes:
    skeleton = _skeleton()
    drawing = draw_sign(layout)
    handle = skeleton.first_handle
    entities = []
    for shape in drawing.shapes:
        for path in shape.paths:
            entities.append(_polyline(path, shape.layer, handle, skeleton.owner))
            handle += 1
    for circle in drawing.circles:
        entities.append(_circle(circle, handle, skeleton.owner))
        handle += 1
    right = max(vertex.x for shape in drawing.shapes for path in shape.paths for vertex in path)
    top = max(vertex.y for shape in drawing.shapes for path in shape.paths for vertex in path)
    head = (
        skeleton.head.replace("{seed}", f"{handle:X}")
        .replace(_WIDTH_MARK, fixed(right, PLACES))
        .replace(_HEIGHT_MARK, fixed(top, PLACES))
    )
    tail = skeleton.tail.replace(_WIDTH_MARK, fixed(right, PLACES)).replace(_HEIGHT_MARK, fixed(top, PLACES))
    comments = "".join(f"999\n{_ascii(line)}\n" for line in _comments(job, record, layout))
    return (comments + head + "".join(entities) + tail).replace("\n", "\r\n").encode("ascii")


def _comments(job: Job, record: SignRecord, layout: SignLayout) -> Iterator[str]:
    """What the file says of itself before anything is drawn; there is no text on any layer."""
    yield f"schedule2sign {job.version}"
    yield f"SIGN {record.request.sign_id}, revision {job.settings.revision}, quantity {record.request.quantity}"
    yield f"RAISED TEXT {' / '.join(line.text for line in layout.lines)}"
    size = f"{trimmed(layout.width_mm / 25.4, 4)} x {trimmed(layout.height_mm / 25.4, 4)}"
    yield f"UNITS=INCHES. Plate {size} in. The square on layer REF is 1.0000 x 1.0000 in: measure it first."
    yield PATH_NOTE
    yield f"BRAILLE_DRILL circles have the dot base diameter, {trimmed(layout.cell_size.base_mm / 25.4, 4)} in."
    yield "REF and NOTES are not cut: NOTES shows the space to keep clear around braille and the pictogram field."
    yield f"DESIGN {record.design}"
    yield ONE_LINE_CAUTION


def _ascii(text: str) -> str:
    """Characters outside ASCII in DXF's own notation, line breaks as spaces."""
    flat = " ".join(text.split())
    return "".join(c if " " <= c <= "~" else f"\\U+{ord(c):04X}" for c in flat)


def _polyline(path: Path, layer: str, handle: int, owner: str) -> str:
    corners = "".join(
        f" 10\n{x:.{PLACES}f}\n 20\n{y:.{PLACES}f}\n 42\n{bulge:.15f}\n"
        if bulge
        else f" 10\n{x:.{PLACES}f}\n 20\n{y:.{PLACES}f}\n"
        for x, y, bulge in path
    )
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
