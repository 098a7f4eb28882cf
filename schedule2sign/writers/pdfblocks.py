"""Blocks a PDF is made of: each knows how high it is at a width, draws itself, and may go on over the page."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from schedule2sign.writers.pdffont import Line, break_lines, pdf_text
from schedule2sign.writers.pdfpen import Pen
from schedule2sign.writers.text import clean_text

HEADER_PT = 8.5  # type of table headers
LEADING = 1.22  # line to line, of the type size
ALMOST_PT = 1e-6
_LEAST_PT = 90.0  # room for a heading and a few lines


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """Type of a text: size, white before and after it, color; and all of it in words, which is asked for often."""

    size_pt: float
    before_pt: float = 0.0
    after_pt: float = 0.0
    color: str = "#000000"
    said: str = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "said", f"{self.size_pt} {self.before_pt} {self.after_pt} {self.color}")

    @property
    def leading_pt(self) -> float:
        """Line to line."""
        return self.size_pt * LEADING


STYLES = {
    "title": Style(size_pt=16.0, after_pt=6.0),
    "heading": Style(size_pt=12.0, before_pt=9.0, after_pt=3.0),
    "large": Style(size_pt=11.5, after_pt=3.5),
    "body": Style(size_pt=9.0),
    "small": Style(size_pt=7.5),
    "head": Style(size_pt=HEADER_PT, color="#FFFFFF"),
}


class Block:
    """What stands on a page, over its whole width.

    Attributes:
        before_pt: white over it; not at the top of a page, and never twice with the white under the one before.
        after_pt: white under it.
        least_pt: height of what should not be parted at its top.
    """

    before_pt = 0.0
    after_pt = 0.0
    least_pt = 0.0

    @property
    def recipe(self) -> str:
        """Says all that its looks depend on beside width and place; "" where that is not known."""
        return ""

    def height_pt(self, width_pt: float) -> float:  # noqa: ARG002
        """At this width."""
        return 0.0

    def height_within(self, width_pt: float, room_pt: float) -> float | None:
        """Its height where it stands whole in a room as high as this."""
        height = self.height_pt(width_pt)
        return height if height <= room_pt + ALMOST_PT else None

    def draw(self, pen: Pen, left: float, top: float, width_pt: float) -> None:
        """With its upper left corner here."""

    def split(self, width_pt: float, room_pt: float, page_pt: float) -> "tuple[Block, Block] | None":  # noqa: ARG002
        """What fits into the room, and the rest; None where nothing does.

        Args:
            width_pt: of the block.
            room_pt: height left.
            page_pt: height of a whole page; what should not be parted is where no page holds it.
        """
        return None


class Break(Block):
    """What follows starts a new page, unless there is this much room left on the one before."""

    def __init__(self, room_pt: float = float("inf")) -> None:
        self.room_pt = room_pt


class Head(Block):
    """What the head of the page says beside the job, here and on the pages after, until another says else."""

    def __init__(self, text: str) -> None:
        self.text = text


class Text(Block):
    """A paragraph."""

    def __init__(self, text: str, style: Style) -> None:
        self.style, self._text = style, text
        self.before_pt, self.after_pt = style.before_pt, style.after_pt
        self._width_pt = -1.0
        self._lines: tuple[Line, ...] = ()

    @property
    def recipe(self) -> str:
        return f"{self.style.said} {self._text}"

    def lines(self, width_pt: float) -> tuple[Line, ...]:
        """Its lines at this width."""
        if width_pt != self._width_pt:
            self._lines, self._width_pt = break_lines(self._text, self.style.size_pt, width_pt), width_pt
        return self._lines

    def height_pt(self, width_pt: float) -> float:
        return len(self.lines(width_pt)) * self.style.leading_pt

    def draw(self, pen: Pen, left: float, top: float, width_pt: float) -> None:
        if lines := self.lines(width_pt):
            size = self.style.size_pt
            pen.fill(self.style.color)
            pen.text_lines(left, top - size, lines, size, self.style.leading_pt)

    def split(self, width_pt: float, room_pt: float, page_pt: float) -> tuple[Block, Block] | None:  # noqa: ARG002
        count = int((room_pt + ALMOST_PT) // self.style.leading_pt)
        lines = self.lines(width_pt)
        if not 0 < count < len(lines):
            return None
        first, rest = ("\n".join(line.text for line in part) for part in (lines[:count], lines[count:]))
        return Text(first, self.style), Text(rest, self.style)


class Space(Block):
    """White."""

    def __init__(self, height_pt: float) -> None:
        self._height_pt = height_pt

    @property
    def recipe(self) -> str:
        return f"white {self._height_pt}"

    def height_pt(self, width_pt: float) -> float:  # noqa: ARG002
        return self._height_pt


class Sketch(Block):
    """A drawing; its painter has the origin at the drawing's lower left corner.

    Args:
        width_pt: of the drawing.
        height_pt: of the drawing.
        paint: draws it.
        recipe: says all that it shows; "" where that is not known.
    """

    def __init__(self, width_pt: float, height_pt: float, paint: Callable[[Pen], None], recipe: str = "") -> None:
        self.width_pt, self._height_pt, self._paint, self._recipe = width_pt, height_pt, paint, recipe

    @property
    def recipe(self) -> str:
        return self._recipe and f"{self.width_pt} {self._height_pt} {self._recipe}"

    def height_pt(self, width_pt: float) -> float:  # noqa: ARG002
        return self._height_pt

    def draw(self, pen: Pen, left: float, top: float, width_pt: float) -> None:  # noqa: ARG002
        with pen.placed(left, top - self._height_pt):
            self._paint(pen)


class Mark(Block):
    """An entry of the document's outline that leads to this place; it takes no room."""

    def __init__(self, title: str, level: int) -> None:
        self._title, self._level = title, level

    def draw(self, pen: Pen, left: float, top: float, width_pt: float) -> None:  # noqa: ARG002
        pen.mark(self._title, self._level)


class Together(Block):
    """Blocks that stand on one page where they fit on one."""

    def __init__(self, blocks: Sequence[Block]) -> None:
        self.blocks = blocks

    def height_pt(self, width_pt: float) -> float:
        return stack_height(self.blocks, width_pt)


def stack_height(blocks: Sequence[Block], width_pt: float) -> float:
    """Of blocks one under another, without the white over the first and under the last."""
    if len(blocks) == 1:
        return blocks[0].height_pt(width_pt)
    height, after = 0.0, blocks[0].before_pt if blocks else 0.0
    top_pt = after
    for block in blocks:
        height += max(after, block.before_pt) + block.height_pt(width_pt)
        after = block.after_pt
    return height - top_pt


def draw_stack(blocks: Sequence[Block], pen: Pen, left: float, top: float, width_pt: float) -> None:
    """Blocks one under another."""
    after = blocks[0].before_pt if blocks else 0.0
    top += after
    for block in blocks:
        top -= max(after, block.before_pt)
        block.draw(pen, left, top, width_pt)
        top -= block.height_pt(width_pt)
        after = block.after_pt


def split_stack(
    blocks: Sequence[Block], width_pt: float, room_pt: float, page_pt: float
) -> tuple[list[Block], list[Block]]:
    """The blocks, and where one can be parted the part of a block, that fit into the room; and the rest."""
    for count in range(len(blocks), -1, -1):
        if stack_height(blocks[:count], width_pt) <= room_pt + ALMOST_PT:
            break
    fit, rest = list(blocks[:count]), list(blocks[count:])
    if rest:
        used = stack_height(fit, width_pt) + max(fit[-1].after_pt, rest[0].before_pt) if fit else 0.0
        if parts := rest[0].split(width_pt, room_pt - used, page_pt):
            fit.append(parts[0])
            rest[0] = parts[1]
    return fit, rest


def paragraph(text: str, style: str = "body") -> Block:
    """Text in a style: title, heading, body, small, large, head."""
    return Text(pdf_text(text), STYLES[style])


def bookmark(title: str, level: int = 0) -> Block:
    """An entry of the document's outline that leads to this place; it takes no room."""
    return Mark(clean_text(title).replace("\n", " "), level)


def titled(title: str, block: Block) -> list[Block]:
    """A heading and what stands under it; never the heading alone at the foot of a page."""
    style = STYLES["heading"]
    heading_pt = style.before_pt + style.leading_pt + style.after_pt
    return [Break(max(_LEAST_PT, heading_pt + block.least_pt)), paragraph(title, "heading"), block]
