"""What a PDF takes over from an earlier document: pages as they are, and how high the blocks of the others are."""

import re
from collections.abc import Callable, Iterable, Sequence
from functools import cached_property

from schedule2sign.writers.pdfblocks import Block
from schedule2sign.writers.pdfpen import Form, Pen
from schedule2sign.writers.pieces import Earlier, Facts, Piece

_Size = tuple[float, float, float]  # white before, height, white after
_PAGE = re.compile(rb"\d+ 0 obj\n<< /Length (\d+) >>\nstream\nq\n")
_FORM = re.compile(rb"\d+ 0 obj\n<< [^<>]*/BBox \[([^]]*)\] .*/Length (\d+) >>\nstream\n")
_NAMED = re.compile(rb"/(X\w+) \d+ 0 R")  # in the resources
_DRAWN = re.compile(rb"/(X\w+) Do ")


class Entry(Block):
    """Blocks that stand on one page where they fit on one; they are made only where that is not known, or to be drawn.

    Attributes:
        recipe: hash of all they are made of; "" where that is not known.
        marks: entries of the outline that lead to it.
    """

    def __init__(self, recipe: str, make: Callable[[], Sequence[Block]], marks: Sequence[Block] = ()) -> None:
        self._recipe, self._make, self.marks = recipe, make, marks

    @property
    def recipe(self) -> str:
        return self._recipe

    @cached_property
    def blocks(self) -> Sequence[Block]:
        """Made once."""
        return self._make()


class _StandIn(Block):
    """A block of an entry; it is known how high it is, whatever it shows."""

    def __init__(self, entry: Entry, place: int, size: _Size) -> None:
        self._entry, self._place = entry, place
        self.before_pt, self._height_pt, self.after_pt = size

    @property
    def recipe(self) -> str:
        recipe = self._entry.recipe
        return f"{recipe} {self._place}" if recipe else ""

    def height_pt(self, width_pt: float) -> float:  # noqa: ARG002
        return self._height_pt

    def draw(self, pen: Pen, left: float, top: float, width_pt: float) -> None:
        self._entry.blocks[self._place].draw(pen, left, top, width_pt)

    def split(self, width_pt: float, room_pt: float, page_pt: float) -> tuple[Block, Block] | None:
        return self._entry.blocks[self._place].split(width_pt, room_pt, page_pt)


class Sizes:
    """How high the entries of a document are.

    Args:
        recipe: hash of what all documents have alike in which entries are as high.
    """

    def __init__(self, earlier: Earlier, recipe: str) -> None:
        found = earlier.find(recipe)
        self._recipe, self._known = recipe, _read_sizes(found.facts) if found else {}
        self._sizes: dict[tuple[_Size, ...], list[str]] = {}

    def parts(self, entry: Entry, width_pt: float) -> list[Block]:
        """What stands for the entry until it is drawn."""
        sizes = self._known.get(entry.recipe) if entry.recipe else None
        if sizes is None:
            sizes = tuple([_size_of(block, width_pt) for block in entry.blocks])
        if entry.recipe:
            self._sizes.setdefault(sizes, []).append(entry.recipe)
        return [*entry.marks, *(_StandIn(entry, place, size) for place, size in enumerate(sizes))]

    def piece(self) -> Piece:
        """No bytes: what a later run asks for. Thousands of entries have few sizes."""
        return Piece(b"", self._recipe, list(self._sizes.items()))


def _size_of(block: Block, width_pt: float) -> _Size:
    # As it is read later: of an integer a text has no point.
    return float(block.before_pt), float(block.height_pt(width_pt)), float(block.after_pt)


def _read_sizes(facts: Facts) -> dict[str, tuple[_Size, ...]]:
    """By the recipe of the entry; none where the facts are not such a list."""
    found: dict[str, tuple[_Size, ...]] = {}
    try:
        for sizes, recipes in facts:
            read = tuple([(float(before), float(height), float(after)) for before, height, after in sizes])
            found.update(dict.fromkeys(recipes, read))
    except (TypeError, ValueError):
        return {}
    return found


class KeptPages:
    """The pages of an earlier document, and the forms drawn on them.

    Args:
        known: forms that stand on every page beside what is taken over.
    """

    def __init__(self, earlier: Earlier, known: Sequence[Form] = ()) -> None:
        self._earlier = earlier
        self._forms = {form.name.encode("ascii"): form for form in known}
        self._placed = {*self._forms}  # names of those that stand on a page that was found

    def find(self, recipe: str) -> Pen | None:
        """The page with this recipe; None where it or a form of it is not there."""
        piece = self._earlier.find(recipe)
        match = _PAGE.match(piece.data) if piece else None
        if piece is None or match is None:
            return None
        end = match.end() - len(b"q\n") + int(match[1])
        content, names = piece.data[match.end() : end - len(b"\nQ")], {*_NAMED.findall(piece.data, end)}
        # New forms are numbered as the contents name them; to look for that in every page takes long.
        forms = self._find_forms(names if names <= self._placed else _drawn(content))
        if forms is None:
            return None
        self._placed |= names
        page = Pen(recipe)
        page.take_over(content.decode("ascii"), piece.facts or "", forms)
        return page

    def _find_forms(self, names: Iterable[bytes]) -> dict[str, Form] | None:
        forms = [self._find_form(name) for name in names]
        return None if None in forms else {form.name: form for form in forms if form}

    def _find_form(self, name: bytes) -> Form | None:
        if name not in self._forms:
            piece = self._earlier.find(name.decode("ascii"))
            match = _FORM.match(piece.data) if piece else None
            if piece is None or match is None:
                return None
            content = piece.data[match.end() : match.end() + int(match[2])]
            inner = self._find_forms(_drawn(content))
            if inner is None:
                return None
            left, bottom, right, top = map(float, match[1].split())
            box, characters = (left, bottom, right, top), frozenset(piece.facts or "")
            self._forms[name] = Form(name.decode("ascii"), box, content.decode("ascii"), characters, inner, {})
        return self._forms[name]


def _drawn(content: bytes) -> Iterable[bytes]:
    """Names of the forms that contents name, in this order."""
    return dict.fromkeys(_DRAWN.findall(content))
