"""One sign as a page of its own size: the SVG's shapes and colors, for people and printers without an SVG viewer."""

from schedule2sign.model.measure import MM_PER_INCH
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
from schedule2sign.writers.pdfdocument import About, write_document
from schedule2sign.writers.pdffont import pdf_text
from schedule2sign.writers.pdfpen import Pen

_POINTS = 72.0  # an inch


def render_sign_pdf(layout: SignLayout, title: str) -> bytes:
    """A page as large as the plate; the same sign gives the same bytes."""
    size = (layout.width_mm / MM_PER_INCH * _POINTS, layout.height_mm / MM_PER_INCH * _POINTS)
    pen = Pen()
    _paint_sign(pen, layout)
    return b"".join(write_document(About(title=pdf_text(title)), size, [pen]))


def _paint_sign(pen: Pen, layout: SignLayout) -> None:
    """The plate's bottom left corner is the origin."""
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
            pen.fill(paint[shape.layer])
            pen.rings([(path * (_POINTS / STEPS)).tolist() for path in shape.paths])
    for circles in drawing.circles:
        pen.fill(paint[circles.layer])
        for x, y in (circles.centers * (_POINTS / STEPS)).tolist():
            pen.circle(x, y, circles.radius * _POINTS, "f")
