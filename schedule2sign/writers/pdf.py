"""Pages for people: one page setup and one embedded font for every PDF; same job, same bytes."""

import io
from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from schedule2sign.writers.drawing import ONE_LINE_CAUTION
from schedule2sign.writers.pdfblocks import ALMOST_PT, Block, Break, Head, Together, paragraph
from schedule2sign.writers.pdffont import FONT, load_font, pdf_text
from schedule2sign.writers.pdfpen import Ink, Pen

_MARGIN_PT = 36.0
_HEAD_PT, _FOOT_PT = 26.0, 22.0
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


def render_pdf(setup: PageSetup, blocks: Iterable[Block]) -> bytes:
    """The document of these blocks, with "page 1 of 9" on every page."""
    from reportlab.pdfgen.canvas import Canvas

    load_font()
    stream = io.BytesIO()
    canvas = Canvas(
        stream,
        pagesize=setup.size_pt,
        lang="en-US",
        invariant=1,  # no clock in the file
        initialFontName=FONT,  # else a font that is not embedded stands in every file
        pageCompression=0,  # compressed bytes differ from one machine to the next
    )
    canvas.setTitle(pdf_text(setup.title))
    canvas.setAuthor("schedule2sign")
    canvas.setSubject(pdf_text(setup.right))
    canvas.setCreator("schedule2sign")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    ink = Ink(canvas)
    pages = deque[Pen]()
    for page in _fill_pages(setup, ink, blocks):
        page.content()
        pages.append(page)
    count, marks = len(pages), 0
    for number in range(1, count + 1):
        page = pages.popleft()
        _add_content(canvas, page)
        if setup.watermark:
            _draw_watermark(canvas, setup, ink)
        if setup.frame:
            frame = Pen(ink)
            frame.head = page.head
            _draw_frame(frame, setup, number, count)
            _add_content(canvas, frame)
        for title, level in page.marks:
            marks += 1
            canvas.bookmarkPage(f"mark{marks}")
            canvas.addOutlineEntry(title, f"mark{marks}", level, closed=level > 0 or None)
        canvas.showPage()
    if marks:
        canvas.showOutline()
    canvas.save()
    return stream.getvalue()


def _fill_pages(setup: PageSetup, ink: Ink, blocks: Iterable[Block]) -> Iterator[Pen]:
    """Page after page; a block is asked for when there is room for it."""
    width, height = setup.body_pt
    left, top = setup.margin_pt, setup.size_pt[1] - setup.margin_pt - (_HEAD_PT if setup.frame else 0.0)
    source, waiting = iter(blocks), list[Block]()
    pen, used, after, pages = Pen(ink), 0.0, 0.0, 0
    while block := waiting.pop() if waiting else next(source, None):
        before = max(block.before_pt - after, 0.0) if used else 0.0
        room = height - used - before
        if isinstance(block, Break):
            turn, after = block.room_pt > room, 0.0
        elif isinstance(block, Head):
            pen.head, turn = block.text, False
        elif isinstance(block, Together):
            turn = block.height_pt(width) > room + ALMOST_PT
            waiting += reversed(block.blocks)
        elif (high := block.height_pt(width)) <= room + ALMOST_PT:
            turn = False
            block.draw(pen, left, top - used - before, width)
            used += before + high + block.after_pt
            after = block.after_pt
        else:
            turn = True
            if parts := block.split(width, room, height):
                parts[0].draw(pen, left, top - used - before, width)
                used = height
                waiting.append(parts[1])
            elif used:
                waiting.append(block)
            else:
                raise ValueError(f"a block {high:.0f} points high fits on no page")
        if turn and used:
            yield pen
            following = Pen(ink)
            following.head = pen.head
            pen, used, after, pages = following, 0.0, 0.0, pages + 1
    if used or not pages:
        if not used:
            paragraph("Nothing to list.").draw(pen, left, top, width)
        yield pen


def _add_content(canvas: Any, pen: Pen) -> None:
    """What was drawn, within the state it found; the library lists the forms a page uses."""
    canvas.saveState()
    canvas.addLiteral(pen.content())
    canvas.restoreState()
    canvas._formsinuse.extend(sorted(pen.forms))


def _draw_watermark(canvas: Any, setup: PageSetup, ink: Ink) -> None:
    width, height = setup.size_pt
    pen = Pen(ink)
    pen.fill("#A03000")
    with pen.placed(width / 2, height / 2, turned_deg=52):
        pen.text_centered(0, -30, setup.watermark, 90)
    canvas.saveState()
    canvas.setFillAlpha(0.14)
    _add_content(canvas, pen)
    canvas.restoreState()


def _draw_frame(pen: Pen, setup: PageSetup, number: int, count: int) -> None:
    width, height = setup.size_pt
    left, right = setup.margin_pt, width - setup.margin_pt
    top, bottom = height - setup.margin_pt, setup.margin_pt
    pen.fill("#000000")
    pen.stroke("#808890")
    pen.text(left, top - 11, setup.title, 13)
    said = " | ".join(filter(None, (pen.head, setup.right)))
    pen.text_right(right, top - 11, said, 9)
    pen.lines([(left, top - 17, right, top - 17), (left, bottom + 12, right, bottom + 12)])
    pen.text(left, bottom + 2, ONE_LINE_CAUTION, 7.5)
    if setup.bar:
        long_pt, words = (72.0, "1 in") if setup.unit == "in" else (20 * 72 / 25.4, "20 mm")
        pen.line_width(2)
        pen.lines([(right - 106 - long_pt, bottom + 4, right - 106, bottom + 4)])
        pen.text(right - 102, bottom + 2, f"{words} at real size", 7.5)
    pen.text_right(right, bottom + 2, f"page {number} of {count}", 7.5)
