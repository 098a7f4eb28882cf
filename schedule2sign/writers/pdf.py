"""Pages for people: one page setup and one embedded font for every PDF; same job, same bytes."""

import functools
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape

from schedule2sign.resources import templates_folder
from schedule2sign.writers.drawing import ONE_LINE_CAUTION
from schedule2sign.writers.text import clean_text

FONT = "schedule2sign-body"
_FONT_FILE = "RobotoCondensed-Regular.ttf"  # shipped, TrueType outlines: every page embeds what it uses of it
_MARGIN_PT = 36.0
_HEAD_PT, _FOOT_PT = 26.0, 22.0
HEADER_PT = 8.5  # type of table headers
_LEAST_PT = 90.0  # room for a heading, a header row and a first row
_SIZES_PT = {"in": (612.0, 792.0), "mm": (595.2756, 841.8898)}  # US letter, ISO 216 A4


@dataclass(frozen=True, slots=True, kw_only=True)
class PageSetup:
    """What stands around every page.

    Attributes:
        title: of the document, top left.
        right: top right: job and revision.
        unit: "in" for US letter, "mm" for A4.
        margin_pt: white around header, body and footer.
        frame: header and footer are drawn; labels have none.
        watermark: a word across every page, pale and over everything.
        bar: a bar of known length stands in the footer, to prove that the page was printed at real size.
    """

    title: str
    right: str = ""
    unit: str = "in"
    landscape: bool = False
    margin_pt: float = _MARGIN_PT
    frame: bool = True
    bar: bool = False
    watermark: str = ""

    @property
    def size_pt(self) -> tuple[float, float]:
        """Width and height of the paper."""
        width, height = _SIZES_PT[self.unit]
        return (height, width) if self.landscape else (width, height)

    @property
    def body_pt(self) -> tuple[float, float]:
        """Width and height left for the contents."""
        width, height = self.size_pt
        frame = _HEAD_PT + _FOOT_PT if self.frame else 0.0
        return width - 2 * self.margin_pt, height - 2 * self.margin_pt - frame


def render_pdf(setup: PageSetup, flowables: Sequence[Any]) -> bytes:
    """The document of reportlab flowables, with "page 1 of 9" on every page."""
    from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

    load_font()
    stream = io.BytesIO()
    document = BaseDocTemplate(
        stream,
        pagesize=setup.size_pt,
        title=pdf_text(setup.title),
        author="schedule2sign",
        subject=pdf_text(setup.right),
        creator="schedule2sign",
        lang="en-US",
        invariant=1,  # no clock in the file
        initialFontName=FONT,  # else a font that is not embedded stands in every file
        pageCompression=0,  # compressed bytes differ from one machine to the next
    )
    bottom = setup.margin_pt + (_FOOT_PT if setup.frame else 0.0)
    frame = Frame(setup.margin_pt, bottom, *setup.body_pt, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)
    document.addPageTemplates([PageTemplate(frames=[frame])])
    document.build(list(flowables) or [paragraph("Nothing to list.")], canvasmaker=_canvas_of(setup))
    return stream.getvalue()


@functools.cache
def load_font() -> None:
    """Register the shipped font under FONT; its bold and italic are itself, so that nothing asks the system for one."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    class Measured(TTFont):  # type: ignore[misc]
        """The font; a word's width is asked for many times and found once."""

        stringWidth = functools.lru_cache(maxsize=16_384)(TTFont.stringWidth)  # noqa: N815 - the library's name

    pdfmetrics.registerFont(Measured(FONT, str(templates_folder() / "fonts" / _FONT_FILE)))
    pdfmetrics.registerFontFamily(FONT, normal=FONT, bold=FONT, italic=FONT, boldItalic=FONT)


@functools.lru_cache(maxsize=256)
def color(text: str) -> Any:
    """A color as the library keeps it; read once, which it does slowly."""
    from reportlab.lib.colors import toColor

    return toColor(text)


def pdf_text(text: str) -> str:
    """The text with every character the font lacks named, never dropped: "[U+4E2D]"."""
    known = _characters()
    return "".join(c if c == "\n" or ord(c) in known else f"[U+{ord(c):04X}]" for c in clean_text(text))


@functools.cache
def _characters() -> frozenset[int]:
    from fontTools.ttLib import TTFont

    with TTFont(templates_folder() / "fonts" / _FONT_FILE, lazy=True) as font:
        return frozenset(font.getBestCmap())


def paragraph(text: str, style: str = "body") -> Any:
    """Text as a flowable; nothing in it is read as markup. Styles: title, heading, body, small, large, head."""
    from reportlab.platypus import Paragraph

    return Paragraph(escape(pdf_text(text)).replace("\n", "<br/>"), styles()[style])


@functools.cache
def styles() -> dict[str, Any]:
    """Paragraph styles by name."""
    from reportlab.lib.styles import ParagraphStyle

    load_font()
    sizes = {"title": 16.0, "heading": 12.0, "large": 11.5, "body": 9.0, "small": 7.5, "head": HEADER_PT}
    after = {"title": 6.0, "heading": 3.0, "large": 3.5}
    return {
        name: ParagraphStyle(
            name,
            fontName=FONT,
            fontSize=size,
            leading=size * 1.22,
            spaceBefore=9.0 if name == "heading" else 0.0,
            spaceAfter=after.get(name, 0.0),
            textColor=color("#FFFFFF" if name == "head" else "#000000"),
            splitLongWords=1,
        )
        for name, size in sizes.items()
    }


def _canvas_of(setup: PageSetup) -> Any:
    """A canvas class that draws header and footer at the end, when the number of pages is known."""
    from reportlab.pdfgen.canvas import Canvas

    class Pages(Canvas):  # type: ignore[misc]
        def __init__(self, *arguments: Any, **options: Any) -> None:
            super().__init__(*arguments, **options)
            self._kept: list[dict[str, Any]] = []
            self._marks: list[tuple[int, str, int]] = []
            self.setViewerPreference("DisplayDocTitle", "true")

        def note_mark(self, title: str, level: int) -> None:
            self._marks.append((len(self._kept), title, level))

        def setFillColor(self, aColor: Any, alpha: Any = None) -> None:  # noqa: N802, N803
            super().setFillColor(color(aColor) if isinstance(aColor, str) else aColor, alpha)

        def setStrokeColor(self, aColor: Any, alpha: Any = None) -> None:  # noqa: N802, N803
            super().setStrokeColor(color(aColor) if isinstance(aColor, str) else aColor, alpha)

        def showPage(self) -> None:  # noqa: N802 - the library's name
            # Joined as the library will: a page kept as one text is far smaller. It may look at the last command.
            if len(code := vars(self)["_code"]) > 1:
                code[:-1] = ["\n".join(code[:-1])]
            self._kept.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            for number, kept in enumerate(self._kept, start=1):
                self.__dict__.update(kept)
                if setup.watermark:
                    _draw_watermark(self, setup)
                if setup.frame:
                    _draw_frame(self, setup, number, len(self._kept))
                for place, (page, title, level) in enumerate(self._marks):
                    if page == number - 1:
                        self.bookmarkPage(f"mark{place}")
                        self.addOutlineEntry(title, f"mark{place}", level, closed=level > 0 or None)
                Canvas.showPage(self)
            if self._marks:
                self.showOutline()
            Canvas.save(self)

    return Pages


def _draw_watermark(canvas: Any, setup: PageSetup) -> None:
    width, height = setup.size_pt
    canvas.saveState()
    canvas.setFillColor("#A03000")
    canvas.setFillAlpha(0.14)
    canvas.setFont(FONT, 90)
    canvas.translate(width / 2, height / 2)
    canvas.rotate(52)
    canvas.drawCentredString(0, -30, pdf_text(setup.watermark))
    canvas.restoreState()


def _draw_frame(canvas: Any, setup: PageSetup, number: int, count: int) -> None:
    width, height = setup.size_pt
    left, right = setup.margin_pt, width - setup.margin_pt
    top, bottom = height - setup.margin_pt, setup.margin_pt
    canvas.setFillColor("#000000")
    canvas.setStrokeColor("#808890")
    canvas.setFont(FONT, 13)
    canvas.drawString(left, top - 11, pdf_text(setup.title))
    canvas.setFont(FONT, 9)
    canvas.drawRightString(right, top - 11, pdf_text(setup.right))
    canvas.line(left, top - 17, right, top - 17)
    canvas.line(left, bottom + 12, right, bottom + 12)
    canvas.setFont(FONT, 7.5)
    canvas.drawString(left, bottom + 2, ONE_LINE_CAUTION)
    if setup.bar:
        long_pt, words = (72.0, "1 in") if setup.unit == "in" else (20 * 72 / 25.4, "20 mm")
        canvas.setLineWidth(2)
        canvas.line(right - 106 - long_pt, bottom + 4, right - 106, bottom + 4)
        canvas.setLineWidth(1)
        canvas.drawString(right - 102, bottom + 2, f"{words} at real size")
    canvas.drawRightString(right, bottom + 2, f"page {number} of {count}")


def bookmark(title: str, level: int = 0) -> Any:
    """An entry of the document's outline that leads to this place; it takes no room."""
    from reportlab.platypus import Flowable

    class Bookmark(Flowable):  # type: ignore[misc]
        def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
            return 0.0, 0.0

        def draw(self) -> None:
            self.canv.note_mark(clean_text(title).replace("\n", " "), level)

    return Bookmark()


def page_break() -> Any:
    """What follows starts a new page."""
    from reportlab.platypus import PageBreak

    return PageBreak()


def together(flowables: Sequence[Any]) -> Any:
    """The flowables kept on one page where they fit on one."""
    from reportlab.platypus import KeepTogether

    return KeepTogether(list(flowables))


def titled(title: str, flowable: Any) -> list[Any]:
    """A heading and what stands under it; never the heading alone at the foot of a page."""
    from reportlab.platypus import CondPageBreak

    return [CondPageBreak(_LEAST_PT), paragraph(title, "heading"), flowable]


def sketch(width_pt: float, height_pt: float, draw: Callable[[Any], None]) -> Any:
    """A drawing of this size; `draw` gets the canvas with its origin at the drawing's lower left corner."""
    from reportlab.platypus import Flowable

    class Sketch(Flowable):  # type: ignore[misc]
        def wrap(self, _wide: float, _high: float) -> tuple[float, float]:
            return width_pt, height_pt

        def draw(self) -> None:
            self.canv.setFont(FONT, 7)
            draw(self.canv)

    return Sketch()


def space(height_pt: float) -> Any:
    """White between two flowables."""
    from reportlab.platypus import Spacer

    return Spacer(0, height_pt)
