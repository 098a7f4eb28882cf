"""One sign as a page of its own size: the SVG's shapes and colors, for people and printers without an SVG viewer."""

import io
from typing import Any

from schedule2sign.model.shape import SignLayout
from schedule2sign.writers.colors import find_colors, mix
from schedule2sign.writers.drawing import (
    BRAILLE_DRILL,
    FIXING_HOLES,
    PICTOGRAM,
    PLATE_EDGE,
    RAISED_OUTLINE,
    VISUAL_TEXT,
    WINDOW,
    draw_sign,
)
from schedule2sign.writers.inches import STEPS
from schedule2sign.writers.rings import Path

_POINTS = 72.0  # an inch
_EVEN_ODD = 0


def render_sign_pdf(layout: SignLayout, title: str) -> bytes:
    """A page as large as the plate; the same sign gives the same bytes."""
    from reportlab.pdfgen.canvas import Canvas

    stream = io.BytesIO()
    size = (layout.width_mm / 25.4 * _POINTS, layout.height_mm / 25.4 * _POINTS)
    canvas = Canvas(stream, pagesize=size, invariant=1)
    canvas.setTitle(title)
    canvas.scale(_POINTS, _POINTS)
    paint_sign(canvas, layout)
    canvas.showPage()
    canvas.save()
    return stream.getvalue()


def paint_sign(canvas: Any, layout: SignLayout) -> None:
    """Paint a sign on a canvas whose unit is the inch, the plate's bottom left corner at its origin."""
    drawing = draw_sign(layout)
    base, letter, _ = find_colors(layout.build)
    paint = {
        PLATE_EDGE: base,
        RAISED_OUTLINE: letter,
        PICTOGRAM: letter,
        VISUAL_TEXT: letter,
        WINDOW: "#ffffff",
        FIXING_HOLES: "#ffffff",
        BRAILLE_DRILL: mix(base, "#ffffff", 0.5),
    }
    for shape in drawing.shapes:
        if shape.layer in paint:
            canvas.setFillColor(paint[shape.layer])
            outline = canvas.beginPath()
            for path in shape.paths:
                _trace(outline, path)
            canvas.drawPath(outline, stroke=0, fill=1, fillMode=_EVEN_ODD)
    for circles in drawing.circles:
        for x, y in (circles.centers / STEPS).tolist():
            canvas.setFillColor(paint[circles.layer])
            canvas.circle(x, y, circles.radius, stroke=0, fill=1)


def _trace(outline: Any, path: Path) -> None:
    first, *others = (path / STEPS).tolist()
    outline.moveTo(*first)
    for corner in others:
        outline.lineTo(*corner)
    outline.close()
