"""Pages for people: one page setup and one embedded font for every PDF; same job, same bytes."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial

from schedule2sign.writers.drawing import ONE_LINE_CAUTION
from schedule2sign.writers.pdfblocks import Block, Break, Head, Together, paragraph
from schedule2sign.writers.pdfdocument import About, Stamp, write_document
from schedule2sign.writers.pdffont import pdf_text
from schedule2sign.writers.pdfpen import Pen, make_form

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


def render_pdf(setup: PageSetup, blocks: Iterable[Block]) -> Iterator[bytes]:
    """The document of these blocks, with "page 1 of 9" on every page, as chunks of bytes.

    A block is asked for when its page is drawn, and a page is handed on before the next: what is held at a time is one
    page and what all share.

    Raises:
        ValueError: a block that cannot be parted is higher than a page.
    """
    about = About(title=pdf_text(setup.title), subject=pdf_text(setup.right))
    stamp = None
    if setup.frame or setup.watermark:
        form = make_form((0.0, 0.0, *setup.size_pt), partial(_draw_frame, setup=setup))
        stamp = Stamp(form=form, draw=partial(_number_page, setup))
    return write_document(about, setup.size_pt, _fill_pages(setup, blocks), stamp)


def _fill_pages(setup: PageSetup, blocks: Iterable[Block]) -> Iterator[Pen]:
    """Page after page; a block is asked for when there is room for it."""
    width, height = setup.body_pt
    left, top = setup.margin_pt, setup.size_pt[1] - setup.margin_pt - (_HEAD_PT if setup.frame else 0.0)
    source, waiting = iter(blocks), list[Block]()
    pen, used, after, pages = Pen(), 0.0, 0.0, 0
    while block := waiting.pop() if waiting else next(source, None):
        before = max(block.before_pt - after, 0.0) if used else 0.0
        room = height - used - before
        if isinstance(block, Break):
            turn, after = block.room_pt > room, 0.0
        elif isinstance(block, Head):
            pen.head, turn = block.text, False
        elif isinstance(block, Together):
            turn = block.height_within(width, room) is None
            waiting += reversed(block.blocks)
        elif (high := block.height_within(width, room)) is not None:
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
                raise ValueError(f"a block {block.height_pt(width):.0f} points high fits on no page")
        if turn and used:
            yield pen
            following = Pen()
            following.head = pen.head
            pen, used, after, pages = following, 0.0, 0.0, pages + 1
    if used or not pages:
        if not used:
            paragraph("Nothing to list.").draw(pen, left, top, width)
        yield pen


def _draw_frame(pen: Pen, setup: PageSetup) -> None:
    """What is the same on every page."""
    if setup.watermark:
        width, height = setup.size_pt
        with pen.placed(width / 2, height / 2, turned_deg=52):
            pen.cover(0.14)
            pen.fill("#A03000")
            pen.text_centered(0, -30, setup.watermark, 90)
    if not setup.frame:
        return
    left, right, top, bottom = _edges(setup)
    pen.fill("#000000")
    pen.stroke("#808890")
    pen.text(left, top - 11, setup.title, 13)
    pen.lines([(left, top - 17, right, top - 17), (left, bottom + 12, right, bottom + 12)])
    pen.text(left, bottom + 2, ONE_LINE_CAUTION, 7.5)
    if setup.bar:
        long_pt, words = (72.0, "1 in") if setup.unit == "in" else (20 * 72 / 25.4, "20 mm")
        pen.line_width(2)
        pen.lines([(right - 106 - long_pt, bottom + 4, right - 106, bottom + 4)])
        pen.text(right - 102, bottom + 2, f"{words} at real size", 7.5)


def _number_page(setup: PageSetup, pen: Pen, head: str, number: int, count: int) -> None:
    """What each page says of itself."""
    if not setup.frame:
        return
    _, right, top, bottom = _edges(setup)
    pen.fill("#000000")
    pen.text_right(right, top - 11, " | ".join(filter(None, (head, setup.right))), 9)
    pen.text_right(right, bottom + 2, f"page {number} of {count}", 7.5)


def _edges(setup: PageSetup) -> tuple[float, float, float, float]:
    """Left, right, top and bottom of what is printed."""
    width, height = setup.size_pt
    return setup.margin_pt, width - setup.margin_pt, height - setup.margin_pt, setup.margin_pt
