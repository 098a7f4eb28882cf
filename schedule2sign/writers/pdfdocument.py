"""A PDF of pages, piece after piece: a page as soon as it is drawn, what knows all pages at the end.

Clauses are those of ISO 32000-1:2008. What a page draws depends on nothing but what stands on it: glyphs have the
numbers of the whole font and forms names made of their content, so the same page has the same bytes in any document.
In memory stay of a page its number and the words of its head, however much is drawn on it.
"""

from array import array
from collections.abc import Callable, Iterable, Iterator, Mapping, Set
from dataclasses import dataclass

from schedule2sign.writers.pdffile import PdfFile, text_string
from schedule2sign.writers.pdfoutline import Outline
from schedule2sign.writers.pdfpen import FONT_NAME, Form, Pen
from schedule2sign.writers.pdfsubset import write_font
from schedule2sign.writers.pieces import Piece

_KIDS = 64  # pages of a node of the tree: readers find a page of a long book without reading all (7.7.3.2)


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What the document says about itself (14.3.3)."""

    title: str
    subject: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamp:
    """What stands on every page over its contents, and is known only when all pages are.

    Attributes:
        form: the same on every page.
        draw: the rest, of texts and lines: on this pen, with the head of the page, its number and the count of pages.
    """

    form: Form
    draw: Callable[[Pen, str, int, int], None]


def write_document(
    about: About, size_pt: tuple[float, float], pages: Iterable[Pen], stamp: Stamp | None = None
) -> Iterator[bytes]:
    """The bytes of the file; the next page is asked for when the one before it is written."""
    return (piece.data for piece in document_pieces(about, size_pt, pages, stamp))


def document_pieces(
    about: About, size_pt: tuple[float, float], pages: Iterable[Pen], stamp: Stamp | None = None
) -> Iterator[Piece]:
    """The file in pieces: one a page that has a recipe, its contents and itself, and one a form; facts are characters."""
    file = PdfFile()
    document = _Document(file, size_pt)
    yield Piece(file.start())
    for page in pages:
        yield from document.add_page(page, stamp)
    if stamp is not None:
        yield from map(Piece, document.add_stamps(stamp))
    yield from map(Piece, document.end(about))


class _Document:
    def __init__(self, file: PdfFile, size_pt: tuple[float, float]) -> None:
        self._file, self._size_pt = file, size_pt
        self._outline = Outline(file)
        self._tree, self._font = file.reserve(), 0  # of a document without a text there is no font
        self._characters = set[str]()
        self._forms: dict[str, int] = {}
        self._nodes: list[int] = []
        self._kids: list[int] = []  # of the last node
        self._pages = array("Q")
        self._heads: list[str] = []

    def add_page(self, page: Pen, stamp: Stamp | None) -> Iterator[Piece]:
        """Its contents, and the page itself; the number after it is kept for its stamp."""
        forms = page.forms if stamp is None else {**page.forms, stamp.form.name: stamp.form}
        for form in forms.values():
            yield from self._add_form(form)
        contents = self._file.reserve(2 if stamp is None else 3)
        number = contents + 1
        drawn = self._add_content(contents, page)
        if not self._kids:
            self._nodes.append(self._file.reserve())
        self._kids.append(number)
        self._pages.append(number)
        self._heads.append(page.head)
        parts = f"{contents} 0 R" if stamp is None else f"{contents} 0 R {number + 1} 0 R"
        resources = self._resources(forms, page.shares, has_text=stamp is not None or bool(page.characters))
        itself = self._file.object(
            number, f"<< /Type /Page /Parent {self._nodes[-1]} 0 R /Contents [{parts}] /Resources << {resources}>> >>"
        )
        yield _piece(drawn + itself, page.recipe, page.characters, page.shares)
        for title, level in page.marks:
            yield from map(Piece, self._outline.add(title, level, number))
        if len(self._kids) == _KIDS:
            yield from map(Piece, self._end_node())

    def add_stamps(self, stamp: Stamp) -> Iterator[bytes]:
        """What was left open of every page."""
        for number, (page, head) in enumerate(zip(self._pages, self._heads, strict=True), start=1):
            pen = Pen()
            pen.form(stamp.form, 0, 0)
            stamp.draw(pen, head, number, len(self._pages))
            yield self._add_content(page + 1, pen)

    def end(self, about: About) -> Iterator[bytes]:
        """What all pages share, and where all objects are."""
        file = self._file
        yield from self._end_node()
        width, height = self._size_pt
        kids = " ".join(f"{node} 0 R" for node in self._nodes)
        yield file.object(
            self._tree,
            f"<< /Type /Pages /Count {len(self._pages)} /MediaBox [0 0 {width:.7g} {height:.7g}] /Kids [{kids}] >>",
        )
        yield from self._outline.end()
        if self._font:
            yield from write_font(file, self._font, self._characters)
        outline = self._outline.number
        shown = f"/Outlines {outline} 0 R /PageMode /UseOutlines " if outline else ""
        catalog = file.reserve(2)
        yield file.object(
            catalog,
            f"<< /Type /Catalog /Pages {self._tree} 0 R {shown}/Lang (en-US) "
            "/ViewerPreferences << /DisplayDocTitle true >> >>",
        )
        ours = text_string("schedule2sign")
        yield file.object(
            catalog + 1,
            f"<< /Title {text_string(about.title)} /Author {ours} /Subject {text_string(about.subject)} "
            f"/Creator {ours} /Producer {ours} >>",
        )
        yield file.end(catalog, catalog + 1)

    def _end_node(self) -> Iterator[bytes]:
        if self._kids:
            kids = " ".join(f"{kid} 0 R" for kid in self._kids)
            yield self._file.object(
                self._nodes[-1],
                f"<< /Type /Pages /Parent {self._tree} 0 R /Count {len(self._kids)} /Kids [{kids}] >>",
            )
            self._kids = []

    def _add_content(self, number: int, page: Pen) -> bytes:
        self._characters |= page.characters
        # Contents of a page are read as one (7.8.2): each leaves the state as it found it.
        return self._file.stream(number, "", f"q\n{page.content()}\nQ".encode("ascii"))

    def _add_form(self, form: Form) -> Iterator[Piece]:
        """A form (8.10.2), once a document, and those drawn in it before it."""
        if form.name in self._forms:
            return
        for inner in form.forms.values():
            yield from self._add_form(inner)
        number = self._forms[form.name] = self._file.reserve()
        self._characters |= form.characters
        box = " ".join(f"{corner:.7g}" for corner in form.box)
        resources = self._resources(form.forms, form.shares, has_text=bool(form.characters))
        entries = f"/Type /XObject /Subtype /Form /BBox [{box}] /Resources << {resources}>> "
        data = self._file.stream(number, entries, form.content.encode("ascii"))
        yield _piece(data, form.name, form.characters, form.shares)

    def _resources(self, forms: Iterable[str], shares: Mapping[str, float], *, has_text: bool) -> str:
        """What contents may name (7.8.3)."""
        if has_text and not self._font:
            self._font = self._file.reserve()
        kinds = {
            "Font": [f"/{FONT_NAME} {self._font} 0 R"] if has_text else [],
            "ExtGState": [f"/{name} << /ca {share:g} >>" for name, share in sorted(shares.items())],
            "XObject": [f"/{name} {self._forms[name]} 0 R" for name in sorted(forms)],
        }
        return "".join(f"/{kind} << {' '.join(named)} >> " for kind, named in kinds.items() if named)


def _piece(data: bytes, recipe: str, characters: Set[str], shares: Mapping[str, float]) -> Piece:
    """What covers things in part is made anew every time: the bytes do not say what it names."""
    return Piece(data) if shares else Piece(data, recipe, "".join(sorted(characters)) or None)
