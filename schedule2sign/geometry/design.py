"""One hash for signs that are cut alike, wherever they hang."""

import functools
import hashlib

from schedule2sign.model.shape import Outline, Ring, SignLayout

_PER_MM = 10_000  # coordinates count to 1e-4 mm


def design_hash(layout: SignLayout) -> str:
    """SHA-256 of the sign as cut: plate, text, outlines, braille, holes and material.

    Sign id, location, template name and insert text are left out: they change no cut.
    """
    build, size = layout.build, layout.cell_size
    parts = [
        f"plate {_units(layout.width_mm, layout.height_mm, layout.corner_radius_mm)}",
        f"material {build.base_color!r} {build.letter_color!r} {build.finish!r} {build.dot_shape!r}",
        f"relief {_units(build.raised_mm, build.side_deg, size.base_mm, size.height_mm)}",
    ]
    for line in layout.lines:
        parts.append(f"raised {line.text!r}")
        parts += [
            f"glyph {_outline_digest(glyph.outline)} {_point(glyph.x_mm, glyph.baseline_mm)}" for glyph in line.glyphs
        ]
    for flat in layout.visual:
        parts.append(f"visual {flat.text!r}")
        parts += [
            f"glyph {_outline_digest(glyph.outline)} {_point(glyph.x_mm, flat.baseline_mm)}" for glyph in flat.glyphs
        ]
    parts += [f"edge {_ring_text(layout.outline)}"] if layout.outline else []
    parts += [f"braille {line.cells!r}" for line in layout.braille]
    parts += [f"dot {_point(dot.x_mm, dot.y_mm)}" for dot in layout.dots]
    parts += [f"border {_ring_text(ring)}" for ring in layout.border]
    if layout.pictogram is not None:
        parts += [f"pictogram {_ring_text(ring)}" for ring in layout.pictogram.rings]
    if layout.window is not None:
        box = layout.window
        parts.append(f"window {_units(box.left_mm, box.bottom_mm, box.right_mm, box.top_mm)}")
    parts += [f"hole {_units(hole.x_mm, hole.y_mm, hole.diameter_mm)}" for hole in layout.holes]
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


@functools.lru_cache(maxsize=4096)
def _outline_digest(outline: Outline) -> str:
    # Outlines are shared by every place they stand in, so each is hashed once.
    return hashlib.sha256("\n".join(map(_ring_text, outline.rings)).encode()).hexdigest()


def _ring_text(ring: Ring) -> str:
    return " ".join([_point(x, y) for x, y in ring])


def _point(x: float, y: float) -> str:
    return f"{round(x * _PER_MM)},{round(y * _PER_MM)}"


def _units(*values: float) -> str:
    return ",".join(str(round(value * _PER_MM)) for value in values)
