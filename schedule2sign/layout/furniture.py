"""What stands on a plate besides text and braille: pictogram, border, rule line, star, fixing holes; its outline."""

import math
from collections.abc import Callable
from functools import lru_cache

from schedule2sign.layout.fields import (
    BorderField,
    FixingField,
    PictogramField,
    PlateShape,
    RuleField,
    StarField,
    Template,
)
from schedule2sign.layout.figures import circle_ring, star_box_mm, star_ring, triangle_ring
from schedule2sign.model.shape import Box, Hole, Pictogram, Ring, SetLine

_ARC_STEPS = 12  # chords a quarter turn of a border corner


def draw_pictogram(
    name: str, field: PictogramField | None, left_of: Callable[[float], float], top_mm: float
) -> Pictogram | None:
    """The named drawing to the field's drawing height or width, in the middle or at the left as text is."""
    if field is None:
        return None
    drawing = next(drawing for drawing in field.drawings if drawing.name == name)
    scale = min(field.drawing_mm / drawing.box.height_mm, field.width_mm / drawing.box.width_mm)
    dx = left_of(scale * drawing.box.width_mm) - scale * drawing.box.left_mm
    dy = top_mm - field.height_mm / 2 - scale * (drawing.box.bottom_mm + drawing.box.top_mm) / 2
    left = left_of(field.width_mm)
    box = Box(left_mm=left, bottom_mm=top_mm - field.height_mm, right_mm=left + field.width_mm, top_mm=top_mm)
    return _stand_pictogram(name, box, drawing.rings, scale, dx, dy)


@lru_cache(maxsize=256)
def _stand_pictogram(name: str, field: Box, rings: tuple[Ring, ...], scale: float, dx: float, dy: float) -> Pictogram:
    # Signs of a kind have theirs in the same place, and share it.
    return Pictogram(
        name=name, field=field, rings=tuple(tuple((x * scale + dx, y * scale + dy) for x, y in ring) for ring in rings)
    )


def border_rings(field: BorderField | None, width_mm: float, height_mm: float, radius_mm: float) -> tuple[Ring, ...]:
    """Outer and inner edge of a raised border, its corners concentric with the plate's."""
    if field is None:
        return ()
    outer = _rounded(width_mm, height_mm, field.inset_mm, max(0.0, radius_mm - field.inset_mm))
    inset = field.inset_mm + field.line_mm
    inner = _rounded(width_mm, height_mm, inset, max(0.0, radius_mm - inset))
    return (outer, tuple(reversed(inner)))


def rule_rings(
    field: RuleField | None,
    middle_mm: float | None,
    width_mm: float,
    margin_mm: float,
    left_of: Callable[[float], float],
    top_mm: float,
) -> tuple[Ring, ...]:
    """The rule line, `middle_mm` under the top of the stack; nothing where no message stands under it."""
    if field is None or middle_mm is None:
        return ()
    length = min(field.width_mm or width_mm, width_mm - 2 * margin_mm)
    left, low = left_of(length), top_mm - middle_mm - field.line_mm / 2
    right, high = left + length, low + field.line_mm
    return (((left, low), (right, low), (right, high), (left, high)),)


def place_star(field: StarField, line: SetLine, left_mm: float, baseline_mm: float) -> Ring:
    """The star left of a line that starts at `left_mm`, halfway up its capitals.

    Its outside diameter is the height of the characters (CBC 1023.9, 11B-504.8).
    """
    width, up, down = star_box_mm(line.height_mm)
    middle = baseline_mm + line.height_mm / 2 - (up - down) / 2
    return star_ring((left_mm - field.clear_mm - width / 2, middle), line.height_mm)


def plate_outline(template: Template) -> Ring:
    """The edge of a round or three-cornered plate; () for a rectangle."""
    width, height = template.widths_mm[0], template.heights_mm[0]
    match template.shape:
        case PlateShape.CIRCLE:
            return circle_ring((width / 2, width / 2), width / 2)
        case PlateShape.TRIANGLE:
            circumradius = width / math.sqrt(3)
            return triangle_ring((width / 2, height - circumradius), circumradius, template.corner_radius_mm)
        case _:
            return ()


def laid_rings(template: Template) -> tuple[Ring, ...]:
    """A triangle on a round plate; its rounded points stand the given way from the plate's edge."""
    if template.laid is None:
        return ()
    radius = template.widths_mm[0] / 2
    corner = template.corner_radius_mm
    return (triangle_ring((radius, radius), radius - template.laid.edge_mm + corner, corner),)


def corner_holes(field: FixingField, width_mm: float, height_mm: float) -> tuple[Hole, ...]:
    """Four holes, bottom left first, counter-clockwise; none where the plate is taped."""
    if not field.diameter_mm:
        return ()
    left, right = field.inset_mm, width_mm - field.inset_mm
    low, high = field.inset_mm, height_mm - field.inset_mm
    return tuple(
        Hole(x_mm=x, y_mm=y, diameter_mm=field.diameter_mm)
        for x, y in ((left, low), (right, low), (right, high), (left, high))
    )


def _rounded(width_mm: float, height_mm: float, inset_mm: float, radius_mm: float) -> Ring:
    left, bottom, right, top = inset_mm, inset_mm, width_mm - inset_mm, height_mm - inset_mm
    if radius_mm <= 0:
        return ((left, bottom), (right, bottom), (right, top), (left, top))
    corners = (
        (right - radius_mm, bottom + radius_mm, -90),
        (right - radius_mm, top - radius_mm, 0),
        (left + radius_mm, top - radius_mm, 90),
        (left + radius_mm, bottom + radius_mm, 180),
    )
    return tuple(
        (x + radius_mm * math.cos(angle), y + radius_mm * math.sin(angle))
        for x, y, start in corners
        for angle in (math.radians(start + 90 * step / _ARC_STEPS) for step in range(_ARC_STEPS + 1))
    )
