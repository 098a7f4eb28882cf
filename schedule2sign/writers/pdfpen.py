"""What stands on a page as PDF operators (ISO 32000-1, annex A), written as they are to be read: nothing parses them again.

A text is the numbers of its glyphs in the whole font, a letter that is cut is a form with a name made of its outline:
what is written depends on nothing but what is drawn.
"""

import functools
import hashlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from math import cos, radians, sin

from schedule2sign.model.shape import Ring
from schedule2sign.writers.pdffont import Line, glyph_numbers, pdf_text, text_width

FONT_NAME = "F"  # of the font in contents
_ROUND = 0.5523  # of the radius: control points of a quarter of a circle
_NAME_LENGTH = 16  # 64 bits: among a million forms two of one name are as likely as 1 to 37 million


@dataclass(frozen=True, slots=True, eq=False)
class Form:
    """A picture that is stored in a document once and drawn wherever it is named.

    Attributes:
        box: left, bottom, right and top of what is drawn, in the units of where it is placed.
        characters: of its texts.
        forms: drawn in it, by name.
        shares: how much its paint covers, by the name of that state.
    """

    name: str
    box: tuple[float, float, float, float]
    content: str
    characters: frozenset[str]
    forms: dict[str, "Form"]
    shares: dict[str, float]


def make_form(box: tuple[float, float, float, float], draw: Callable[["Pen"], None]) -> Form:
    """The form of what is drawn."""
    pen = Pen()
    draw(pen)
    content = pen.content()
    name = hashlib.sha256(f"{box} {content}".encode("ascii")).hexdigest()[:_NAME_LENGTH]
    return Form(f"X{name}", box, content, frozenset(pen.characters), pen.forms, pen.shares)


class Pen:
    """Draws on one page; lengths in points, or in mm where the page was scaled for it.

    Attributes:
        recipe: hash of all that is drawn; "" where that is not known.
    """

    def __init__(self, recipe: str = "") -> None:
        self.recipe = recipe
        self.characters: set[str] = set()
        self.forms: dict[str, Form] = {}
        self.shares: dict[str, float] = {}
        self.marks: list[tuple[str, int]] = []
        self.head = ""
        self._out: list[str] = []
        self._set: dict[str, str] = {}

    def content(self) -> str:
        """All that was drawn."""
        return "\n".join(self._out)

    def take_over(self, content: str, characters: Iterable[str], forms: dict[str, Form]) -> None:
        """What was drawn in another document."""
        self._out.append(content)
        self.characters.update(characters)
        self.forms.update(forms)

    def mark(self, title: str, level: int) -> None:
        """An entry of the document's outline leads to this page."""
        self.marks.append((title, level))

    @contextmanager
    def placed(self, x: float, y: float, *, scale: float = 1.0, turned_deg: float = 0.0) -> Iterator[None]:
        """What is drawn meanwhile has its origin here; colors and widths are afterwards what they were."""
        kept = self._set.copy()
        if turned_deg:
            c, s = cos(radians(turned_deg)) * scale, sin(radians(turned_deg)) * scale
            self._out.append(f"q {c:.6f} {s:.6f} {-s:.6f} {c:.6f} {x:.3f} {y:.3f} cm")
        else:
            self._out.append(f"q {scale:.6f} 0 0 {scale:.6f} {x:.3f} {y:.3f} cm")
        yield
        self._out.append("Q")
        self._set = kept

    def fill(self, color: str) -> None:
        """Color of areas and texts."""
        self._state("rg", _color(color))

    def stroke(self, color: str) -> None:
        """Color of lines."""
        self._state("RG", _color(color))

    def line_width(self, width: float) -> None:
        """Of lines."""
        self._state("w", f"{width:.3f}")

    def _state(self, operator: str, value: str) -> None:
        if self._set.get(operator) != value:
            self._set[operator] = value
            self._out.append(f"{value} {operator}")

    def cover(self, share: float) -> None:
        """How much of what is under them areas and texts hide: 1 for all."""
        name = f"A{share * 100:.0f}"
        self.shares[name] = share
        self._state("gs", f"/{name}")

    def text(self, x: float, y: float, text: str, size_pt: float) -> None:
        """One line that starts at x."""
        self._out.append(f"BT {x:.2f} {y:.2f} Td {self._shown(text, size_pt)} Tj ET")

    def _shown(self, text: str, size_pt: float) -> str:
        """A string to show; the font is set before it."""
        self._state("Tf", f"/{FONT_NAME} {size_pt:g}")
        line, glyphs = _encode(text)
        self.characters.update(line)
        return glyphs

    def text_right(self, x: float, y: float, text: str, size_pt: float) -> None:
        """One line that ends at x."""
        self.text(x - text_width(pdf_text(text), size_pt), y, text, size_pt)

    def text_centered(self, x: float, y: float, text: str, size_pt: float) -> None:
        """One line with x in its middle."""
        self.text(x - text_width(pdf_text(text), size_pt) / 2, y, text, size_pt)

    def text_lines(self, x: float, y: float, lines: Sequence[Line], size_pt: float, leading_pt: float) -> None:
        """Lines one under another, the baseline of the first at y."""
        shown = " T* ".join([self._line(line, size_pt) for line in lines])
        leading = f"{leading_pt:.3f} TL " if len(lines) > 1 else ""
        self._out.append(f"BT {leading}{x:.2f} {y:.2f} Td {shown} ET")

    def _line(self, line: Line, size_pt: float) -> str:
        glyphs = self._shown(line.text, size_pt)
        if not line.space_pt:
            return f"{glyphs} Tj"
        # Spaces are made narrower one by one: an operator for all sees codes of one byte alone (9.3.3).
        return f"[{glyphs.replace(' ', f'> {round(line.space_pt, 3) * -1000 / size_pt:.3f} <')}] TJ"

    def rect(self, left: float, bottom: float, width: float, height: float, paint: str = "S") -> None:
        """A rectangle; paint is S (stroke), f (fill) or B (both)."""
        self._out.append(f"{left:.3f} {bottom:.3f} {width:.3f} {height:.3f} re {paint}")

    def round_rect(self, width: float, height: float, radius: float, paint: str) -> None:
        """A rectangle with round corners, its lower left one at the origin."""
        self._out.append(_round_rect(width, height, radius, paint))

    def circle(self, x: float, y: float, radius: float, paint: str) -> None:
        """A circle."""
        with self.placed(x - radius, y - radius):
            self.round_rect(2 * radius, 2 * radius, radius, paint)

    def lines(self, lines: Iterable[tuple[float, float, float, float]]) -> None:
        """Straight lines, each from x, y to x, y."""
        self._out.append(" ".join([f"{a:.2f} {b:.2f} m {c:.2f} {d:.2f} l" for a, b, c, d in lines]) + " S")

    def dots(self, centers: Iterable[tuple[float, float]], diameter: float) -> None:
        """Disks: a line of no length with round ends is the shortest way to write one (ISO 32000-1, 8.4.3.3)."""
        points = [f"{_number(x)} {_number(y)}" for x, y in centers]
        if points:
            self._state("J", "1")
            self.line_width(diameter)
            self._out.append(" ".join([f"{point} m {point} l" for point in points]) + " S")

    def rings(self, rings: Sequence[Ring]) -> None:
        """Filled polygons, even-odd: a ring in a ring is a hole."""
        parts = []
        for (x, y), *rest in rings:
            parts.append(f"{x:.3f} {y:.3f} m")
            parts += [f"{x:.3f} {y:.3f} l" for x, y in rest]
            parts.append("h")
        if parts:
            self._out.append(" ".join(parts) + " f*")

    def form(self, form: Form, x: float, y: float) -> None:
        """A stored picture with its origin here."""
        self.forms[form.name] = form
        self._out.append(f"q 1 0 0 1 {x:.3f} {y:.3f} cm /{form.name} Do Q")


@functools.lru_cache(maxsize=4096)
def _number(value: float) -> str:
    return f"{value:.3f}"  # dots stand in rows and columns: most numbers come again


@functools.lru_cache(maxsize=4096)
def _encode(text: str) -> tuple[str, str]:
    """A line as it is shown, and the numbers of its glyphs as a string of the file (9.7.6.2: two bytes each).

    White after a word means nothing in such a string (7.3.4.3); it is where a space can be made narrower.
    """
    line = pdf_text(text).replace("\n", " ")
    return line, f"<{line.translate(_codes())}>"


@functools.cache
def _codes() -> dict[int, str]:
    codes = {code: f"{glyph:04x}" for code, glyph in glyph_numbers().items()}
    codes[ord(" ")] += " "
    return codes


@functools.lru_cache(maxsize=256)
def _color(text: str) -> str:
    """ "#rrggbb" as the file says it."""
    return " ".join(f"{int(text[place : place + 2], 16) / 255:.4g}" for place in (1, 3, 5))


@functools.lru_cache(maxsize=256)
def _round_rect(width: float, height: float, radius: float, paint: str) -> str:
    r, t = radius, radius * (1 - _ROUND)
    w, h = width, height

    def numbers(*values: float) -> str:
        return " ".join(f"{value:.3f}" for value in values)

    return " ".join(
        (
            f"{numbers(r, 0)} m {numbers(w - r, 0)} l {numbers(w - t, 0, w, t, w, r)} c",
            f"{numbers(w, h - r)} l {numbers(w, h - t, w - t, h, w - r, h)} c",
            f"{numbers(r, h)} l {numbers(t, h, 0, h - t, 0, h - r)} c",
            f"{numbers(0, r)} l {numbers(0, t, t, 0, r, 0)} c h {paint}",
        )
    )
