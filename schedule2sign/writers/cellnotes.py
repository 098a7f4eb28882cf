"""Notes put on cells of a worksheet part: the comments part and the drawing part that gives each note its box."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

from lxml import etree
from openpyxl.utils import coordinate_to_tuple

from schedule2sign.writers.package import Package, PackageError, serialize
from schedule2sign.writers.sheetrows import MARK, between_marks
from schedule2sign.writers.squeezed import Squeezed

AUTHOR = "schedule2sign"
_COMMENTS_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.comments+xml"
_DRAWING_TYPE = "application/vnd.openxmlformats-officedocument.vmlDrawing"
_SPACE = "{http://www.w3.org/XML/1998/namespace}space"
_SHAPE_ID = re.compile(rb"_x0000_s(\d+)")
_BOX_TYPE = (
    '<v:shapetype id="_x0000_t202" coordsize="21600,21600" o:spt="202" path="m,l,21600r21600,l21600,xe">'
    '<v:stroke joinstyle="miter"/><v:path gradientshapeok="t" o:connecttype="rect"/></v:shapetype>'
)
_BOX = (
    '<v:shape id="_x0000_s{id}" type="#_x0000_t202" style="position:absolute;width:240pt;height:{height}pt;'
    'z-index:1;visibility:hidden" fillcolor="#ffffe1" o:insetmode="auto"><v:fill color2="#ffffe1"/>'
    '<v:shadow color="black" obscured="t"/><v:path o:connecttype="none"/>'
    '<v:textbox style="mso-direction-alt:auto"><div style="text-align:left"></div></v:textbox>'
    '<x:ClientData ObjectType="Note"><x:MoveWithCells/><x:SizeWithCells/><x:Anchor>{anchor}</x:Anchor>'
    "<x:AutoFill>False</x:AutoFill><x:Row>{row}</x:Row><x:Column>{column}</x:Column></x:ClientData></v:shape>"
)
_SPACES = {
    "v": "urn:schemas-microsoft-com:vml",
    "o": "urn:schemas-microsoft-com:office:office",
    "x": "urn:schemas-microsoft-com:office:excel",
}
_LAST_COLUMN, _LAST_ROW = 16_383, 1_048_575
_LINE_LENGTH = 44  # characters of a line of a note, about
_MOST_LINES = 28
_FEW = 200  # comments that are in memory as elements
# Children of a worksheet that may stand after legacyDrawing (ISO/IEC 29500-1, 18.3.1.99).
_AFTER_DRAWING = ("legacyDrawingHF", "drawingHF", "picture", "oleObjects", "controls", "webPublishItems", "tableParts")


@dataclass(frozen=True, slots=True)
class Note:
    """A note on the cell `ref` ("C5")."""

    ref: str
    text: str


class NotedSheet:
    """A worksheet part, its comments and their boxes; what the customer wrote is kept.

    Args:
        part: name of the worksheet part.
        space: namespace of worksheet elements.
        kinds: what every relationship type of the workbook starts with; also the namespace of r:id.
    """

    def __init__(self, package: Package, part: str, space: str, kinds: str) -> None:
        self._package, self._part, self._space, self._kinds = package, part, space, kinds
        self._comments = self._related("/comments")
        self._threads = self._threaded_cells()

    def add(self, notes: Sequence[Note]) -> None:
        """Put every note on its cell, after what the customer's own note says."""
        root = self._comment_root()
        listed = root.find(self._tag("commentList"))
        author = self._author(root)
        present = {comment.get("ref"): comment for comment in listed}
        new: dict[str, list[str]] = {}
        for note in notes:
            if note.ref in present:
                self._append_text(present[note.ref], note.text)
            else:
                new.setdefault(note.ref, []).append(note.text)
        if new:
            self._add_comments(root, listed, author, list(new.items()))
            self._add_boxes([Note(ref, texts[0]) for ref, texts in new.items()])

    def is_thread(self, ref: str) -> bool:
        """True where a conversation stands on the cell: it hides any note there."""
        return ref in self._threads

    def _threaded_cells(self) -> frozenset[str]:
        found = next((r.target for r in self._package.relations(self._part) if r.type.endswith("/threadedComment")), "")
        root = self._package.view(found) if found in self._package else ()
        return frozenset(element.get("ref", "") for element in root)

    def _related(self, kind: str) -> str:
        return next((r.target for r in self._package.relations(self._part) if r.type == self._kinds + kind), "")

    def _tag(self, name: str) -> str:
        return f"{{{self._space}}}{name}"

    def _comment_root(self) -> Any:
        if not self._comments:
            empty = f'<comments xmlns="{self._space}"><authors/><commentList/></comments>'
            self._comments = self._package.add("xl/comments", ".xml", empty.encode(), _COMMENTS_TYPE)
            self._package.relate(self._part, f"{self._kinds}/comments", self._comments)
        root = self._package.edit(self._comments)
        if root.find(self._tag("authors")) is None or root.find(self._tag("commentList")) is None:
            raise PackageError(f"its notes in {self._comments} are not as the standard says")
        return root

    def _author(self, root: Any) -> int:
        authors = root.find(self._tag("authors"))
        names = [element.text for element in authors]
        if AUTHOR not in names:
            etree.SubElement(authors, self._tag("author")).text = AUTHOR
            names.append(AUTHOR)
        return names.index(AUTHOR)

    def _add_comments(self, root: Any, listed: Any, author: int, new: Sequence[tuple[str, Sequence[str]]]) -> None:
        """Comments on cells that had none, after all others: as elements no more than a few of them at a time."""
        if MARK in (found.text for found in root.iter(etree.Comment)):
            self._fill(listed, author, new)
            return
        shell = etree.Element(root.tag, nsmap=root.nsmap)
        part = etree.SubElement(shell, listed.tag, nsmap=listed.nsmap)

        def written() -> Iterator[bytes]:
            for first in range(0, len(new), _FEW):
                part[:] = [etree.Comment(MARK)]
                self._fill(part, author, new[first : first + _FEW])
                part.append(etree.Comment(MARK))
                yield between_marks(serialize(shell))

        listed.append(etree.Comment(MARK))
        self._package.take_rows(self._comments, serialize(root), Squeezed(written()))

    def _fill(self, listed: Any, author: int, new: Sequence[tuple[str, Sequence[str]]]) -> None:
        for ref, texts in new:
            comment = etree.SubElement(listed, self._tag("comment"), ref=ref, authorId=str(author))
            for text in texts:
                self._append_text(comment, text)

    def _append_text(self, comment: Any, text: str) -> None:
        body = comment.find(self._tag("text"))
        if body is None:
            body = etree.Element(self._tag("text"))
            comment.insert(0, body)
        plain = body.find(self._tag("t"))
        if plain is not None:  # plain text becomes a run, so that ours can follow it
            run = etree.Element(self._tag("r"))
            body.replace(plain, run)
            run.append(plain)
        runs = body.findall(self._tag("r"))
        new = etree.Element(self._tag("r"))
        style = etree.SubElement(new, self._tag("rPr"))
        etree.SubElement(style, self._tag("sz"), val="9")
        etree.SubElement(style, self._tag("rFont"), val="Tahoma")
        words = etree.SubElement(new, self._tag("t"))
        words.text = f"\n\n{AUTHOR}:\n{text}" if runs else text
        words.set(_SPACE, "preserve")
        body.insert(len(runs), new)

    def _add_boxes(self, notes: Sequence[Note]) -> None:
        sheet = self._package.view(self._part)
        old = sheet.find(self._tag("legacyDrawing"))
        if old is None:
            part = self._new_drawing()
        else:
            wanted = old.get(f"{{{self._kinds}}}id")
            part = next((r.target for r in self._package.relations(self._part) if r.id == wanted), "")
        data = self._package.bytes_of(part)
        end = data.rfind(b"</xml>")
        if end < 0:
            raise PackageError(f"its drawing {part} is written in a way no box can be added to")
        first = max((int(number) for number in _SHAPE_ID.findall(data)), default=1024) + 1
        kinds = () if b'"_x0000_t202"' in data.replace(b"'", b'"') else (_BOX_TYPE,)
        boxes = chain(kinds, (_box(note, first + place) for place, note in enumerate(notes)))
        spaced = (text.encode() for text in _spaced(boxes, data))
        self._package.set_bytes(part, Squeezed(chain((data[:end],), spaced, (data[end:],))))

    def _new_drawing(self) -> str:
        self._package.declare_extension("vml", _DRAWING_TYPE)
        part = self._package.add("xl/drawings/vmlDrawingS", ".vml", _empty_drawing(), _DRAWING_TYPE)
        new = self._package.relate(self._part, f"{self._kinds}/vmlDrawing", part)
        sheet = self._package.edit(self._part)
        drawing = etree.Element(self._tag("legacyDrawing"))
        drawing.set(f"{{{self._kinds}}}id", new)
        after = {self._tag(name) for name in (*_AFTER_DRAWING, "extLst")}
        place = next((n for n, child in enumerate(sheet) if child.tag in after), len(sheet))
        # Objects and controls are often wrapped for other readers; the wrapped ones come after us too.
        while place and etree.QName(sheet[place - 1]).localname == "AlternateContent":
            place -= 1
        sheet.insert(place, drawing)
        return part


def _empty_drawing() -> bytes:
    spaces = " ".join(f'xmlns:{prefix}="{name}"' for prefix, name in _SPACES.items())
    return (
        f'<xml {spaces}><o:shapelayout v:ext="edit"><o:idmap v:ext="edit" data="1"/></o:shapelayout></xml>'
    ).encode()


def _spaced(boxes: Iterable[str], drawing: bytes) -> Iterable[str]:
    """The boxes with the prefixes they use declared, unless the drawing does so at its top."""
    missing = [f'xmlns:{p}="{name}"' for p, name in _SPACES.items() if f"xmlns:{p}=".encode() not in drawing]
    if not missing:
        return boxes
    declared = " ".join(missing)
    return (re.sub(r"<(v:shape|v:shapetype) ", rf"<\1 {declared} ", box) for box in boxes)


def _box(note: Note, shape_id: int) -> str:
    row, column = coordinate_to_tuple(note.ref)
    row, column = row - 1, column - 1
    lines = min(sum(1 + len(line) // _LINE_LENGTH for line in note.text.split("\n")) + 1, _MOST_LINES)
    top, left = max(row - 1, 0), min(column + 1, _LAST_COLUMN - 4)
    bottom = min(top + lines, _LAST_ROW)
    anchor = f"{left}, 15, {top}, 10, {left + 4}, 15, {bottom}, 4"
    return _BOX.format(id=shape_id, height=lines * 13, anchor=anchor, row=row, column=column)
