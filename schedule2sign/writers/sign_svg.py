"""One SVG a released sign: the DXF's geometry and layer names at real size, painted as the sign will look."""

import functools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape

import numpy

from schedule2sign.model.job import Imprint, Job, SignRecord
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.shape import SignLayout
from schedule2sign.writers.colors import find_colors, mix
from schedule2sign.writers.corners import write_corners
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
    Drawing,
    draw_sign,
    draw_signs,
    in_groups,
)
from schedule2sign.writers.inches import PLACES, STEPS
from schedule2sign.writers.numbers import trimmed
from schedule2sign.writers.released import production_path, recipe_of, released_signs
from schedule2sign.writers.text import clean_text

_EMPTY = " />"  # how an element without content ends
_PAPER = "#ffffff"  # what shows through an opening


class SignSvg:
    """Writes signs/<sign-id>.svg."""

    name, suffix = "sign-svg", ".svg"

    def render(self, job: Job) -> Iterator[OutFile]:
        return self.draw(job.signs, job.imprint)

    def draw(self, records: Iterable[SignRecord], imprint: Imprint) -> Iterator[OutFile]:
        for signs in in_groups(released_signs(records)):
            drawings = draw_signs([layout for _, layout in signs])
            for (record, layout), drawing in zip(signs, drawings, strict=True):
                data = render_sign(record, layout, imprint.revision, drawing)
                yield OutFile(production_path(record, self.suffix), data)

    def recipe(self, record: SignRecord, imprint: Imprint) -> str:
        return recipe_of([record.work], imprint.revision)


def render_sign(record: SignRecord, layout: SignLayout, revision: str, drawing: Drawing | None = None) -> bytes:
    """The picture of one sign, of its drawing where that is at hand."""
    drawing = drawing or draw_sign(layout)
    base, letter, unknown = find_colors(layout.build)
    skeleton = _skeleton(_number(drawing.width), _number(drawing.height), base, letter)
    title, description = record.request.sign_id, _describe(record, layout, unknown, revision)
    inside: dict[str, list[str]] = {layer: [] for layer in LAYERS}
    data = _path_data(drawing)
    for shape in drawing.shapes:
        inside[shape.layer].append(f'<path d="{"".join(next(data) for _ in shape.paths)}" />')
    for circles in drawing.circles:
        radius = _number(circles.radius)
        inside[circles.layer] += [
            f'<circle cx="{_step_number(x)}" cy="{_step_number(y)}" r="{radius}" />'
            for x, y in _turn_over(circles.centers, drawing.height).tolist()
        ]
    groups = (_fill_group(tag, inside[layer]) for layer, tag in skeleton.groups)
    text = f"<title>{escape(title)}</title><desc>{escape(description)}</desc>"
    return "".join((skeleton.head, text, skeleton.middle, *groups, skeleton.tail)).encode()


@dataclass(frozen=True, slots=True)
class _Skeleton:
    """The text before the title, between the description and the groups, and after the groups.

    Attributes:
        groups: the layer and the empty element of every group.
    """

    head: str
    middle: str
    groups: tuple[tuple[str, str], ...]
    tail: str


@functools.lru_cache(maxsize=256)
def _skeleton(width: str, height: str, base: str, letter: str) -> _Skeleton:
    # A document costs more to build than to fill, and the signs of a job share a few.
    import svgwrite

    picture = svgwrite.Drawing(
        size=(f"{width}in", f"{height}in"), viewBox=f"0 0 {width} {height}", profile="full", debug=False
    )
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
    groups = tuple((layer, picture.g(id=layer, **paint[layer])) for layer in LAYERS)
    for _, group in groups:
        picture.add(group)
    tags = tuple((layer, group.tostring()) for layer, group in groups)
    head, mark, rest = picture.tostring().partition("<defs>")
    middle, found, tail = rest.partition("".join(tag for _, tag in tags))
    if not mark or not found:
        raise ValueError("the SVG skeleton has no place for the title or the groups")
    return _Skeleton(f'<?xml version="1.0" encoding="utf-8"?>\n{head}', mark + middle, tags, f"{tail}\n")


def _fill_group(tag: str, elements: list[str]) -> str:
    if not elements:
        return tag
    return f"{tag.removesuffix(_EMPTY)}>{''.join(elements)}</g>"


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


def _path_data(drawing: Drawing) -> Iterator[str]:
    """Closed path data of every path."""
    paths = [path for shape in drawing.shapes for path in shape.paths]
    corners = _turn_over(numpy.concatenate(paths), drawing.height)
    texts = write_corners(corners, [len(path) for path in paths], b"", b" ", b"L")
    return (f"M{text[:-1]}Z" for text in texts)


def _turn_over(steps: Any, height: float) -> Any:
    """The points with y down from the plate's top edge."""
    turned = steps.copy()
    numpy.subtract(round(height * STEPS), steps[:, 1], out=turned[:, 1])
    return turned


@functools.lru_cache(maxsize=8192)
def _step_number(steps: int) -> str:
    # Dots stand in rows and columns, so that few of a job's numbers are new.
    return _number(steps / STEPS)


def _number(value: float) -> str:
    return trimmed(value, PLACES)
