"""The outline of a PDF (ISO 32000-1, 12.3.3), written while its pages are: an entry as soon as the one after it is known."""

from collections.abc import Iterator
from dataclasses import dataclass

from schedule2sign.writers.pdffile import PdfFile, text_string


@dataclass(slots=True)
class _Entry:
    """An entry that may still get entries under it; number 0 stands for none.

    Attributes:
        shown: entries under it that are seen where it is open.
    """

    number: int
    text: str = ""
    previous: int = 0
    first: int = 0
    last: int = 0
    shown: int = 0


class Outline:
    """Entries in the order of the pages; of the first level all are open, of the others none."""

    def __init__(self, file: PdfFile) -> None:
        self._file = file
        self._open: list[_Entry] = []  # the outline itself, and the last entry of each level

    @property
    def number(self) -> int:
        """Of its object; 0 where there is no entry."""
        return self._open[0].number if self._open else 0

    def add(self, title: str, level: int, page: int) -> Iterator[bytes]:
        """An entry that leads to a page, under the last one of the level before; level 0 is the first."""
        if not self._open:
            self._open.append(_Entry(self._file.reserve()))
        depth = min(level + 1, len(self._open))
        number, previous = self._file.reserve(), self._open[depth].number if depth < len(self._open) else 0
        yield from self._close(depth, number)
        self._open.append(_Entry(number, f"/Title {text_string(title)} /Dest [{page} 0 R /Fit] ", previous))
        over = self._open[depth - 1]
        over.first, over.last = over.first or number, number

    def end(self) -> Iterator[bytes]:
        """What was still open, and the outline itself."""
        if self._open:
            yield from self._close(1, 0)
            root = self._open[0]
            yield self._file.object(
                root.number, f"<< /Type /Outlines /First {root.first} 0 R /Last {root.last} 0 R /Count {root.shown} >>"
            )

    def _close(self, depth: int, following: int) -> Iterator[bytes]:
        """Write the last entries of this level, which one more follows, and of all deeper ones."""
        while len(self._open) > depth:
            entry = self._open.pop()
            over, is_open = self._open[-1], len(self._open) == 1
            over.shown += 1 + (entry.shown if is_open else 0)
            parts = ["<< ", entry.text, f"/Parent {over.number} 0 R "]
            if entry.previous:
                parts.append(f"/Prev {entry.previous} 0 R ")
            if following and len(self._open) == depth:
                parts.append(f"/Next {following} 0 R ")
            if entry.first:
                # A negative count says that the entry is closed (table 153).
                count = entry.shown if is_open else -entry.shown
                parts.append(f"/First {entry.first} 0 R /Last {entry.last} 0 R /Count {count} ")
            yield self._file.object(entry.number, "".join([*parts, ">>"]))
