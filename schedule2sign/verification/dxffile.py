"""A DXF read back: units from its header, closed polylines and circles of its model space."""

import importlib
import io
import re
from typing import Any

from schedule2sign.verification.drawing import (
    CHORD_MM,
    WRITING,
    DrawnCircle,
    DrawnRing,
    ReadDrawing,
    UnreadableError,
    make_circle,
    make_ring,
)

# Drawing units of $INSUNITS (DXF reference, header section): inch, millimetre, centimetre.
_UNIT_MM = {1: 25.4, 4: 1.0, 5: 10.0}
_TITLE = re.compile(r"^ *999\r?\nSIGN (.+?), revision ", re.MULTILINE)
_END = re.compile(r"(^|\n) *0\r?\nEOF\s*$")


def read_dxf(file: str, data: bytes, *, writing: str = "") -> ReadDrawing:
    """Everything the file draws, in mm.

    Args:
        writing: layer of open strokes that are read on the screen and not cut; "" where there is none.

    Raises:
        UnreadableError: damaged, in unknown units, or with anything but closed flat paths and circles.
    """
    ezdxf: Any = importlib.import_module("ezdxf")
    text = data.decode("utf-8", "replace")
    if not _END.search(text):
        raise UnreadableError("it is cut off: a DXF ends with EOF")
    try:
        document = ezdxf.read(io.StringIO(text, newline=None))
    except (ezdxf.DXFError, ValueError, KeyError, IndexError, TypeError, AttributeError) as error:
        raise UnreadableError(f"it is no readable DXF ({error})") from None
    units = document.header.get("$INSUNITS", 0)
    if units not in _UNIT_MM:
        raise UnreadableError(f"its units are not stated in inches or millimetres ($INSUNITS is {units})")
    _refuse_hidden(document)
    rings: list[DrawnRing] = []
    circles: list[DrawnCircle] = []
    for entity in document.modelspace():
        if writing and entity.dxf.layer == writing:
            continue
        _refuse_odd(entity)
        if entity.dxftype() == "CIRCLE":
            circles.append(_read_circle(entity, _UNIT_MM[units]))
        else:
            rings.append(_read_polyline(entity, _UNIT_MM[units]))
    titles = _TITLE.findall(text)
    return ReadDrawing(
        file=file, title=titles[0] if len(titles) == 1 else "", rings=tuple(rings), circles=tuple(circles)
    )


def read_sheet(file: str, data: bytes) -> ReadDrawing:
    """A stock sheet: a drawing with the ids of its plates written on it."""
    return read_dxf(file, data, writing=WRITING)


def _refuse_hidden(document: Any) -> None:
    """What a viewer hides would still be cut, or the other way round."""
    for layer in document.layers:
        if layer.is_off() or layer.is_frozen():
            raise UnreadableError(f"its layer {layer.dxf.name} is switched off or frozen")
    for layout in document.layouts:
        others = [entity.dxftype() for entity in layout if entity.dxftype() != "VIEWPORT"]
        if not layout.is_modelspace and others:
            raise UnreadableError(f"it draws on the sheet {layout.name!r} ({others[0]}), not in the model")


def _refuse_odd(entity: Any) -> None:
    kind = entity.dxftype()
    if kind not in ("LWPOLYLINE", "CIRCLE"):
        raise UnreadableError(f"it has an entity of the kind {kind}, which is neither a closed path nor a circle")
    if tuple(entity.dxf.extrusion) != (0, 0, 1):
        raise UnreadableError(f"a {kind} is turned out of the plane or mirrored by its extrusion")
    if kind == "LWPOLYLINE" and not entity.closed:
        raise UnreadableError(f"it has an open path on {entity.dxf.layer}")


def _read_circle(entity: Any, unit_mm: float) -> DrawnCircle:
    center = entity.dxf.center
    return make_circle(entity.dxf.layer, center.x * unit_mm, center.y * unit_mm, 2 * entity.dxf.radius * unit_mm)


def _read_polyline(entity: Any, unit_mm: float) -> DrawnRing:
    if entity.has_arc:
        paths: Any = importlib.import_module("ezdxf.path")
        flat = list(paths.make_path(entity).flattening(CHORD_MM / unit_mm))
        points = [(vertex.x, vertex.y) for vertex in flat]
        points = points[:-1] if points[0] == points[-1] else points
    else:
        points = [(float(x), float(y)) for x, y in entity.vertices()]
    return make_ring(entity.dxf.layer, tuple((x * unit_mm, y * unit_mm) for x, y in points))
