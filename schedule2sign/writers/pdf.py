"""Pages for people: one page setup and one embedded font for every PDF; same job, same bytes."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial

from schedule2sign.fingerprint import digest_of, program_digest
from schedule2sign.writers.drawing import ONE_LINE_CAUTION
from schedule2sign.writers.pdfblocks import Block, Break, Head, Mark, Together, paragraph
from schedule2sign.writers.pdfdocument import About, Stamp, document_pieces
from schedule2sign.writers.pdffont import font_digest, pdf_text
from schedule2sign.writers.pdfkept import Entry, KeptPages, Sizes
from schedule2sign.writers.pdfpen import Pen, make_form
from schedule2sign.writers.pieces import Earlier, NoEarlier, Piece

_MARGIN_PT = 36.0
_HEAD_PT, _FOOT_PT = 26.0, 22.0
_RECIPE = 24  # hexadecimal digits: 96 bits
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
    """The document of these blocks, all of them drawn, as chunks of bytes."""
    return (piece.data for piece in pdf_pieces(setup, blocks, NoEarlier()))


def pdf_pieces(setup: PageSetup, blocks: Iterable[Block], earlier: Earlier) -> Iterator[Piece]:
    """The document of these blocks, with "page 1 of 9" on every page; pages that would be the same are taken over.

    A block is asked for when its page is filled, and a page is handed on before the next: what is held at a time is one
    page and what all share.

    Raises:
        ValueError: a block that cannot be parted is higher than a page.
    """
    about = About(title=pdf_text(setup.title), subject=pdf_text(setup.right))
    stamp = None
    if setup.frame or setup.watermark:
        form = make_form((0.0, 0.0, *setup.size_pt), partial(_draw_frame, setup=setup))
        stamp = Stamp(form=form, draw=partial(_number_page, setup))
    # Of the setup only what stands in the contents of a page, not what its stamp says.
    alike = digest_of(program_digest(), font_digest(), setup.margin_pt, setup.body_pt, stamp.form.name if stamp else "")
    sizes = Sizes(earlier, alike[:_RECIPE])
    kept = KeptPages(earlier, [stamp.form] if stamp else [])
    pages = (page.finish(setup, alike, kept) for page in _fill_pages(setup, blocks, sizes))
    yield from document_pieces(about, setup.size_pt, pages, stamp)
    yield sizes.piece()


class _OpenPage:
    """A page while it fills; it is drawn, or taken over, when it is known what stands on it."""

    def __init__(self, head: str = "") -> None:
        self.head = head
        self._placed: list[tuple[Block, float]] = []

    def place(self, block: Block, top: float) -> None:
        """A block with its upper edge here."""
        self._placed.append((block, top))

    def finish(self, setup: PageSetup, alike: str, kept: KeptPages) -> Pen:
        """The page as it was or as it is drawn now.

        Args:
            setup: of the page.
            alike: hash of what all documents have alike in which pages of the same blocks are the same.
            kept: pages of an earlier document.
        """
        shown = [(block.recipe, top) for block, top in self._placed if not isinstance(block, Mark)]
        recipe = digest_of(alike, shown)[:_RECIPE] if all(said for said, _ in shown) else ""
        found = kept.find(recipe) if recipe else None
        page = found or Pen(recipe)
        page.head = self.head
        left, width = setup.margin_pt, setup.body_pt[0]
        for block, top in self._placed:
            if found is None or isinstance(block, Mark):
                block.draw(page, left, top, width)
        return page


def _fill_pages(setup: PageSetup, blocks: Iterable[Block], sizes: Sizes) -> Iterator[_OpenPage]:
    """Page after page; a block is asked for when there is room for it."""
    width, height = setup.body_pt
    top = setup.size_pt[1] - setup.margin_pt - (_HEAD_PT if setup.frame else 0.0)
    source, waiting = iter(blocks), list[Block]()
    page, used, after, pages = _OpenPage(), 0.0, 0.0, 0
    while block := waiting.pop() if waiting else next(source, None):
        if isinstance(block, Entry):
            block = Together(sizes.parts(block, width))
        before = max(block.before_pt - after, 0.0) if used else 0.0
        room = height - used - before
        if isinstance(block, Break):
            turn, after = block.room_pt > room, 0.0
        elif isinstance(block, Head):
            page.head, turn = block.text, False
        elif isinstance(block, Together):
            turn = block.height_within(width, room) is None
            waiting += reversed(block.blocks)
        elif (high := block.height_within(width, room)) is not None:
            turn = False
            page.place(block, top - used - before)
            used += before + high + block.after_pt
            after = block.after_pt
        else:
            turn = True
            if parts := block.split(width, room, height):
                page.place(parts[0], top - used - before)
                used = height
                waiting.append(parts[1])
            elif used:
                waiting.append(block)
            else:
                raise ValueError(f"a block {block.height_pt(width):.0f} points high fits on no page")
        if turn and used:
            yield page
            page, used, after, pages = _OpenPage(page.head), 0.0, 0.0, pages + 1
    if used or not pages:
        if not used:
            page.place(paragraph("Nothing to list."), top)
        yield page


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
