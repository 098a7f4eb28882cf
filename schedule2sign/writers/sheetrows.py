"""A long worksheet part taken apart, so that its rows are in memory a block at a time.

As elements a cell takes a kilobyte. The rest of the sheet, with a mark where the rows were, is edited as any part is;
each block of rows is parsed in the same surroundings, so that what is written is what the whole sheet would give.
"""

import io
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from xml.parsers import expat

_BLOCK = 250  # rows
MARK = "rows of this sheet"
_MARK = f"<!--{MARK}-->".encode()
_ONE_BYTE = ("utf-8", "us-ascii", "ascii")  # encodings in which the signs of the markup are found as bytes


@dataclass(frozen=True, slots=True)
class Block:
    """Rows with the numbers from `first` on, up to the next block's; as a worksheet of its own."""

    first: int
    text: bytes


@dataclass(frozen=True, slots=True)
class LongSheet:
    """A worksheet part: `frame` is all but the rows, with the mark in their place."""

    frame: bytes
    _data: bytes
    _starts: tuple[tuple[int, int], ...]  # number and place of the first row of each block
    _end: int
    _close: bytes

    def share_out(self, rows: Iterable[int]) -> list[list[int]]:
        """Row numbers by the block they are in or would be put into."""
        shares: list[list[int]] = [[] for _ in self._starts]
        for row in rows:
            shares[max(bisect_right(self._starts, (row, self._end)) - 1, 0)].append(row)
        return shares

    def blocks(self) -> Iterator[Block]:
        """All blocks, in their order."""
        head = self._data[: self._starts[0][1]]
        ends = (*(place for _, place in self._starts[1:]), self._end)
        for (number, start), end in zip(self._starts, ends, strict=True):
            yield Block(number, head + self._data[start:end] + self._close)


def between_marks(text: bytes) -> bytes:
    """The rows of a block that has a mark before the first and after the last of them."""
    return text.split(_MARK)[1]


def around_mark(text: bytes) -> tuple[bytes, bytes]:
    """What stands before the rows of a frame, and after them."""
    before, _, after = text.partition(_MARK)
    return before, after


def take_apart(data: bytes) -> LongSheet | None:
    """The sheet in blocks; None where it is short, or not as plain as nearly all are: it is then edited as a whole."""
    if _MARK in data or b"\0" in data[:4]:
        return None
    reader = _Reader()
    try:
        reader.read(data)
    except (expat.ExpatError, _OddError, ValueError):
        return None  # who edits it as a whole says what is wrong
    if len(reader.starts) < 2 or not reader.end:
        return None
    inner_end, end = data.index(b">", reader.end) + 1, reader.root_end
    return LongSheet(
        data[: reader.starts[0][1]] + _MARK + data[reader.end :],
        data,
        tuple(reader.starts),
        reader.end,
        data[reader.end : inner_end] + data[end:],
    )


class _OddError(Exception):
    """The sheet is not one that can be taken apart."""


class _Reader:
    """Finds where blocks of rows begin and where the rows and the sheet end, in bytes."""

    def __init__(self) -> None:
        self.starts: list[tuple[int, int]] = []
        self.end = self.root_end = 0
        self._depth = self._rows = self._number = 0
        self._inside = False
        self._parser = expat.ParserCreate(namespace_separator=" ")

    def read(self, data: bytes) -> None:
        parser = self._parser
        parser.XmlDeclHandler, parser.StartDoctypeDeclHandler = self._declare, self._refuse
        parser.StartElementHandler, parser.EndElementHandler = self._open, self._close
        parser.ParseFile(io.BytesIO(data))

    def _declare(self, _version: str, encoding: str | None, _standalone: int) -> None:
        if encoding is not None and encoding.lower() not in _ONE_BYTE:
            raise _OddError

    def _refuse(self, *_of_doctype: object) -> None:
        raise _OddError

    def _open(self, name: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        if self._depth == 2 and name.endswith(" sheetData"):
            if self.end:
                raise _OddError
            self._inside = True
        elif self._depth == 3 and self._inside:
            self._open_row(name, attributes)

    def _open_row(self, name: str, attributes: dict[str, str]) -> None:
        number = int(attributes.get("r") or self._number + 1)
        if not name.endswith(" row") or number <= self._number:
            raise _OddError
        if self._rows % _BLOCK == 0:
            self.starts.append((number, self._parser.CurrentByteIndex))
        self._rows, self._number = self._rows + 1, number

    def _close(self, _name: str) -> None:
        if self._depth == 2 and self._inside:
            self.end, self._inside = self._parser.CurrentByteIndex, False
        elif self._depth == 1:
            self.root_end = self._parser.CurrentByteIndex
        self._depth -= 1
