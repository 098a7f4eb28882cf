"""One SVG a released sign: the DXF's geometry and layer names at real size, painted as the sign will look."""

from collections.abc import Iterator
from functools import partial
from typing import Any

from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.shape import SignLayout
from schedule2sign.writers.colors import find_colors, mix
from schedule2sign.writers.drawing import (
    BRAILLE_DRILL,
    FIXING_HOLES,
    LAYERS,
    NOTES,
    ONE_LINE_CAUTION,
    PATH_NOTE,
    PICTOGRAM,
    PLATE_EDGE,
    RAISED_OUTLINE,
    REF,
    VISUAL_TEXT,
    WINDOW,
    Path,
    draw_sign,
)
from schedule2sign.writers.inches import PLACES
from schedule2sign.writers.numbers import trimmed
from schedule2sign.writers.protocol import Portion
from schedule2sign.writers.released import parts_of, production_path, released_signs
from schedule2sign.writers.text import clean_text

_PAPER = "#ffffff"  # what shows through an opening


class SignSvg:
    """Writes signs/<sign-id>.svg."""

    name, suffix = "sign-svg", ".svg"

    def render(self, job: Job) -> Iterator[OutFile]:
        for record, layout in released_signs(job):
            yield OutFile(production_path(record, self.suffix), render_sign(record, layout, job.settings.revision))

    def portions(self, job: Job) -> Iterator[Portion]:
        return (partial(self.render, part) for part in parts_of(job))


def render_sign(record: SignRecord, layout: SignLayout, revision: str) -> bytes:
    """The picture of one sign."""
    import svgwrite

    drawing = draw_sign(layout)
    width, height = _number(drawing.width), _number(drawing.height)
    base, letter, unknown = find_colors(layout.build)
    picture = svgwrite.Drawing(
        size=(f"{width}in", f"{height}in"), viewBox=f"0 0 {width} {height}", profile="full", debug=False
    )
    picture.set_desc(record.request.sign_id, _describe(record, layout, unknown, revision))
    picture.defs.add(_dome(picture, base))
    paint = {
        PLATE_EDGE: {"fill": base},
        RAISED_OUTLINE: {"fill": letter, "fill_rule": "evenodd"},
        BRAILLE_DRILL: {"fill": "url(#dome)"},
        PICTOGRAM: {"fill": letter, "fill_rule": "evenodd"},
        VISUAL_TEXT: {"fill": letter, "fill_rule": "evenodd"},
        WINDOW: {"fill": _PAPER},
        FIXING_HOLES: {"fill": _PAPER},
        # Not part of the sign: REF stands beside the plate, outside the picture; NOTES are keep-clear frames.
        REF: {"fill": "none"},
        NOTES: {"fill": "none", "visibility": "hidden"},
    }
    groups = {layer: picture.add(picture.g(id=layer, **paint[layer])) for layer in LAYERS}
    for shape in drawing.shapes:
        data = "".join(_path_data(path, drawing.height) for path in shape.paths)
        groups[shape.layer].add(picture.path(d=data))
    for circle in drawing.circles:
        center = (_number(circle.x), _number(drawing.height - circle.y))
        groups[circle.layer].add(picture.circle(center=center, r=_number(circle.radius)))
    return f'<?xml version="1.0" encoding="utf-8"?>\n{picture.tostring()}\n'.encode()


def _describe(record: SignRecord, layout: SignLayout, unknown: tuple[str, ...], revision: str) -> str:
    lines = [
        " / ".join(line.text for line in layout.lines),
        " / ".join(line.cells for line in layout.braille),
        f"The braille reads back: {' / '.join(line.back for line in layout.braille)}",
        *((f"Insert: {record.request.insert_text}",) if record.request.insert_text else ()),
        f"Revision {revision}, quantity {record.request.quantity}.",
        f"1 unit = 1 in. {PATH_NOTE}",
        *(f'The color "{name}" has no screen color: shown as a gray.' for name in unknown),
        ONE_LINE_CAUTION,
    ]
    return clean_text("\n".join(lines))


def _dome(picture: Any, base: str) -> Any:
    """A dome lit from above left, in the plate's color: light on top, dark at the far edge."""
    gradient = picture.radialGradient(id="dome", center=("0.5", "0.5"), r="0.5", focal=("0.35", "0.3"))
    gradient.add_stop_color("0", mix(base, "#ffffff", 0.85))
    gradient.add_stop_color("0.55", mix(base, "#ffffff", 0.4))
    gradient.add_stop_color("1", mix(base, "#000000", 0.55))
    return gradient


def _path_data(path: Path, height: float) -> str:
    """Closed path data; y runs down in SVG."""
    return "M" + "L".join(f"{x:.{PLACES}f} {height - y:.{PLACES}f}" for x, y in path) + "Z"


def _number(value: float) -> str:
    return trimmed(value, PLACES)
