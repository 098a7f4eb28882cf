"""The file a PDF is: objects one after another, and at its end the table that says where each begins.

Clauses are those of ISO 32000-1:2008. Every object is handed on as soon as it is made; what stays in memory is where it
begins. Nothing is compressed (compressed bytes differ from one machine to the next) and nothing knows the time.
"""

import hashlib
from array import array

# 7.5.2: four bytes over 127 tell whoever copies the file that it is not text.
_HEADER = b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n"
_ESCAPES = str.maketrans({"\\": "\\\\", "(": "\\(", ")": "\\)", "\n": "\\n"})


class PdfFile:
    """Numbers the objects; what a method gives is the next piece of the file, to be written before the one after it."""

    def __init__(self) -> None:
        self._begins = array("Q", [0])  # by object number; 0 is no object
        self._length = 0
        self._digest = hashlib.sha256()

    def start(self) -> bytes:
        """The header."""
        return self._count(_HEADER)

    def reserve(self, count: int = 1) -> int:
        """The first of so many new object numbers; their objects may be written in any order."""
        first = len(self._begins)
        self._begins.extend([0] * count)
        return first

    def object(self, number: int, body: str) -> bytes:
        """An object in ASCII (7.3.10)."""
        self._begins[number] = self._length
        return self._count(b"%d 0 obj\n%s\nendobj\n" % (number, body.encode("ascii")))

    def stream(self, number: int, entries: str, data: bytes) -> bytes:
        """A stream (7.3.8); the entries of its dictionary are those beside the length."""
        self._begins[number] = self._length
        head = f"{number} 0 obj\n<< {entries}/Length {len(data)} >>\nstream\n".encode("ascii")
        return self._count(b"%s%s\nendstream\nendobj\n" % (head, data))

    def end(self, catalog: int, info: int) -> bytes:
        """The cross-reference table (7.5.4) and the trailer (7.5.5); the identifier (14.4) is made of all bytes before.

        Raises:
            ValueError: a number was reserved and its object never written (our bug).
        """
        if not all(self._begins[1:]):
            raise ValueError(f"object {self._begins.index(0, 1)} of the PDF was never written")
        count, begin, identifier = len(self._begins), self._length, self._digest.hexdigest()[:32]
        lines = [f"xref\n0 {count}\n0000000000 65535 f \n", *(f"{at:010d} 00000 n \n" for at in self._begins[1:])]
        lines.append(f"trailer\n<< /Size {count} /Root {catalog} 0 R /Info {info} 0 R ")
        lines.append(f"/ID [<{identifier}> <{identifier}>] >>\nstartxref\n{begin}\n%%EOF\n")
        return self._count("".join(lines).encode("ascii"))

    def _count(self, data: bytes) -> bytes:
        self._length += len(data)
        self._digest.update(data)
        return data


def text_string(text: str) -> str:
    """A text outside the pages (7.9.2.2): a title, an entry of the outline."""
    if text.isascii():
        return f"({text.translate(_ESCAPES)})"
    return f"<feff{text.encode('utf-16-be').hex()}>"
