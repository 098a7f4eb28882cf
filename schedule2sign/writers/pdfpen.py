"""What stands on a page as PDF operators (ISO 32000-1, annex A), written as they are to be read: nothing parses them again.

The library that writes the file formats every number and encodes every text anew, which takes most of the time of a
book. Here a letter is a form of the document drawn once, and a text in ASCII stands in the page as it is.
"""

import functools
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from math import cos, radians, sin
from typing import Any

from schedule2sign.model.shape import Ring
from schedule2sign.writers.pdffont import Line, load_font, pdf_text, text_width

_ESCAPES = str.maketrans({"\\": "\\\\", "(": "\\(", ")": "\\)"})
_ROUND = 0.5523  # of the radius: control points of a quarter of a circle


class Ink:
    """What the pages of one document share: the subsets of the font, pictures that repeat, entries of the outline."""

    def __init__(self, canvas: Any) -> None:
        self._canvas = canvas
        self._font = load_font()
        # The library gives a character its code in a subset of the font; printing ASCII keeps its own, in the first.
        self._document = canvas._doc
        self._first = self._font.getSubsetInternalName(0, self._document)
        self._forms: dict[Any, str] = {}

    def shown(self, text: str, size_pt: float) -> str:
        """Operators that show a line of text."""
        text = pdf_text(text).replace("\n", " ")
        if text.isascii():
            return f"{self._first} {size_pt:g} Tf ({text.translate(_ESCAPES)}) Tj"
        return " ".join(
            f"{self._font.getSubsetInternalName(subset, self._document)} {size_pt:g} Tf ({_octal(codes)}) Tj"
            for subset, codes in self._font.splitString(text, self._document)
        )

    def form(self, key: Any, box: tuple[float, float, float, float], draw: Callable[["Pen"], None]) -> str:
        """The name of a picture that is stored in the document once, by its key."""
        name = self._forms.get(key)
        if name is None:
            name = self._forms[key] = f"p{len(self._forms)}"
            pen = Pen(self)
            draw(pen)
            self._canvas.beginForm(name, *box)
            self._canvas.addLiteral(pen.content())
            self._canvas.endForm()
        return name


class Pen:
    """Draws on one page; lengths in points, or in mm where the page was scaled for it."""

    def __init__(self, ink: Ink) -> None:
        self.ink = ink
        self.forms: set[str] = set()
        self.marks: list[tuple[str, int]] = []
        self.head = ""
        self._out: list[str] = []
        self._set: dict[str, str] = {}

    def content(self) -> str:
        """All that was drawn, kept as one text from now on, which takes less memory than its pieces."""
        self._out = ["\n".join(self._out)]
        return self._out[0]

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

    def text(self, x: float, y: float, text: str, size_pt: float) -> None:
        """One line that starts at x."""
        self._out.append(f"BT {x:.2f} {y:.2f} Td {self.ink.shown(text, size_pt)} ET")

    def text_right(self, x: float, y: float, text: str, size_pt: float) -> None:
        """One line that ends at x."""
        self.text(x - text_width(pdf_text(text), size_pt), y, text, size_pt)

    def text_centered(self, x: float, y: float, text: str, size_pt: float) -> None:
        """One line with x in its middle."""
        self.text(x - text_width(pdf_text(text), size_pt) / 2, y, text, size_pt)

    def text_lines(self, x: float, y: float, lines: Sequence[Line], size_pt: float, leading_pt: float) -> None:
        """Lines one under another, the baseline of the first at y."""
        shown = " T* ".join(
            [
                f"{space:.3f} Tw {self.ink.shown(text, size_pt)} 0 Tw" if space else self.ink.shown(text, size_pt)
                for text, space in lines
            ]
        )
        leading = f"{leading_pt:.3f} TL " if len(lines) > 1 else ""
        self._out.append(f"BT {leading}{x:.2f} {y:.2f} Td {shown} ET")

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
        points = [f"{x:.3f} {y:.3f}" for x, y in centers]
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

    def form(self, name: str, x: float, y: float) -> None:
        """A stored picture with its origin here."""
        self.forms.add(name)
        self._out.append(f"q 1 0 0 1 {x:.3f} {y:.3f} cm /{_object_name(name)} Do Q")


def _octal(codes: bytes) -> str:
    return "".join(chr(c) if 31 < c < 127 and c not in b"()\\" else f"\\{c:03o}" for c in codes)


@functools.lru_cache(maxsize=256)
def _color(text: str) -> str:
    from reportlab.lib.colors import toColor

    color = toColor(text)
    return f"{color.red:.4g} {color.green:.4g} {color.blue:.4g}"


@functools.cache
def _object_name(name: str) -> str:
    """What the library calls a form in the file."""
    from reportlab.pdfbase.pdfdoc import xObjectName

    return str(xObjectName(name))


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
