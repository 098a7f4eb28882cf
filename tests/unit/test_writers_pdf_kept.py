"""Pages taken over from an earlier PDF: whatever changed, the bytes are those of a document that is drawn as a whole."""

import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedule2sign.keeping import KeptPieces
from schedule2sign.writers import pdf
from schedule2sign.writers.pdf import PageSetup, pdf_pieces
from schedule2sign.writers.pdfblocks import Block, Head, Sketch, bookmark, paragraph, titled
from schedule2sign.writers.pdfkept import Entry
from schedule2sign.writers.pdfpen import Form, Pen, make_form
from schedule2sign.writers.pdftable import grid
from schedule2sign.writers.pieces import Earlier, NoEarlier, PieceRecord

SETUP = PageSetup(title="T", right="revision A")
LABELS = PageSetup(title="T", frame=False)
# The name of a sign, the lines of its text, the letters drawn beside it.
Spec = tuple[str, int, str]
ROOMS: tuple[Spec, ...] = tuple((f"S{number}", 12, "ab") for number in range(40))
Made = list[str]


def letter(name: str) -> Form:
    """One form for each letter; that of a capital has the small one in it, that of & covers in part."""

    def draw(pen: Pen) -> None:
        if name == "&":
            pen.cover(0.25)
        pen.rings((((0, 0), (ord(name), 0), (5, 5)),))
        if name.isupper():
            pen.form(letter(name.lower()), 1, 1)
            pen.text(0, 0, f"{name}\u0416", 5)

    return make_form((0.0, -0.5, 7.25, 9.0), draw)


def draw_letters(pen: Pen, letters: str) -> None:
    for place, name in enumerate(letters):
        if name == "%":
            pen.cover(0.5)
        else:
            pen.form(letter(name), place * 9.0, 0)


def entry(spec: Spec, made: Made) -> Entry:
    name, count, letters = spec

    def make() -> list[Block]:
        made.append(name)
        text = "\n".join(f"{name}: line {number} of {count}, caf\u00e9" for number in range(count))
        picture = Sketch(100, 20, partial(draw_letters, letters=letters))
        wide = paragraph("word " * 27)  # two lines on A4, one on US letter
        return [paragraph(name, "heading"), wide, picture, grid(("What", "Value"), [(name, paragraph(text))], 500)]

    return Entry(repr(spec), make, [bookmark(name, 1)])


def blocks(specs: Sequence[Spec], made: Made) -> Iterator[Block]:
    yield Head("Level 1")
    yield bookmark("Level 1")
    yield from (entry(spec, made) for spec in specs)
    yield Head("")
    yield from titled("End", grid(("No.", "Sign"), [(str(len(specs)), "all")], 300))


def render(
    specs: Sequence[Spec], earlier: Earlier | None = None, setup: PageSetup = SETUP
) -> tuple[bytes, dict[str, Any], Made]:
    """The document, what is on record of its pieces, and the entries whose blocks were made."""
    record, made = PieceRecord(), Made()
    data = b"".join(record.follow(pdf_pieces(setup, blocks(specs, made), earlier or NoEarlier())))
    return data, json.loads(json.dumps(record.plain())), made


@contextmanager
def kept(folder: Path, data: bytes, record: dict[str, Any]) -> Iterator[KeptPieces]:
    path = folder / "earlier.pdf"
    path.write_bytes(data)
    with path.open("rb") as file:
        yield KeptPieces.of(record, file.fileno())


def again(
    folder: Path, before: Sequence[Spec], after: Sequence[Spec], setup: PageSetup = SETUP, later: PageSetup = SETUP
) -> Made:
    """The entries that are made where the earlier document is of other signs; the bytes are those of a full one."""
    data, record, _ = render(before, setup=setup)
    with kept(folder, data, record) as earlier:
        found = render(after, earlier, later)
    full = render(after, setup=later)
    assert found[:2] == full[:2]
    return found[2]


def test_of_the_same_document_nothing_is_made(tmp_path: Path) -> None:
    assert again(tmp_path, ROOMS, ROOMS) == []


def test_where_one_sign_is_another_only_its_page_is_drawn(tmp_path: Path) -> None:
    changed = (*ROOMS[:9], ("S9x", 12, "ba"), *ROOMS[10:])
    made = again(tmp_path, ROOMS, changed)
    assert "S9x" in made
    places = [int(name.strip("Sx")) for name in made]
    # The signs of a page follow one another.
    assert sorted(places) == list(range(min(places), min(places) + len(places)))
    assert len(places) <= 4


@pytest.mark.parametrize("count", [1, 11, 13, 40, 120])
def test_a_sign_of_another_height_shifts_those_after_it(count: int, tmp_path: Path) -> None:
    """Of 120 lines it goes on over the page."""
    changed = (*ROOMS[:9], ("S9", count, "ab"), *ROOMS[10:])
    made = again(tmp_path, ROOMS, changed)
    assert "S9" in made
    assert not {"S0", "S1", "S2"} & {*made}


@pytest.mark.parametrize(
    "change",
    [lambda rooms: rooms[1:], lambda rooms: rooms[::-1], lambda rooms: (("new", 3, "z"), *rooms), lambda _: ()],
    ids=["one less", "turned round", "one more", "none"],
)
def test_signs_come_go_and_change_places(change: Callable[[Sequence[Spec]], Sequence[Spec]], tmp_path: Path) -> None:
    again(tmp_path, ROOMS, change(ROOMS))


def test_forms_have_the_numbers_of_the_pages_they_stand_on_now(tmp_path: Path) -> None:
    """Before, b was drawn first and a after it; without that page a is."""
    first = tuple((f"F{number}", 50, "Ba") for number in range(2))
    rest = tuple((f"R{number}", 50, "acAB") for number in range(3))
    assert again(tmp_path, (*first, *rest), rest) == []
    assert again(tmp_path, (*first, *rest), (*rest, *first)) == []


@pytest.mark.parametrize("letters", ["a%b", "c&defgh"])
def test_what_covers_in_part_is_drawn_every_time(letters: str, tmp_path: Path) -> None:
    # After a page that cannot be taken whole come others, which number its forms in their own order.
    rooms = (("P", 40, letters), *ROOMS[:20], ("Q", 40, "hgfedc"))
    made = again(tmp_path, rooms, rooms)
    assert "P" in made
    assert "S19" not in made


@pytest.mark.parametrize(
    ("setup", "later", "taken"),
    [
        (SETUP, PageSetup(title="T", right="revision B"), True),  # the stamp alone says it, which is drawn every time
        (SETUP, PageSetup(title="U", right="revision A"), False),
        (SETUP, PageSetup(title="T", unit="mm"), False),
        (SETUP, LABELS, False),
        (LABELS, LABELS, True),
        (LABELS, PageSetup(title="T", frame=False, unit="mm"), False),
        (SETUP, PageSetup(title="T", watermark="PROVISIONAL"), False),
    ],
)
def test_pages_are_taken_only_onto_the_same_paper(
    setup: PageSetup, later: PageSetup, taken: bool, tmp_path: Path
) -> None:
    made = again(tmp_path, ROOMS, ROOMS, setup, later)
    assert (made == []) is taken


@pytest.mark.parametrize("name", ["program_digest", "font_digest"])
def test_another_program_or_font_draws_all(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    data, record, _ = render(ROOMS)
    monkeypatch.setattr(pdf, name, lambda: "another")
    with kept(tmp_path, data, record) as earlier:
        assert len(render(ROOMS, earlier)[2]) == len(ROOMS)


def test_an_entry_without_a_recipe_is_made_every_time(tmp_path: Path) -> None:
    def document(earlier: Earlier) -> tuple[bytes, dict[str, Any], Made]:
        record, made = PieceRecord(), Made()
        unknown = [Entry("", entry(spec, made)._make) for spec in ROOMS[:5]]
        data = b"".join(record.follow(pdf_pieces(SETUP, unknown, earlier)))
        return data, record.plain(), made

    data, record, made = document(NoEarlier())
    with kept(tmp_path, data, json.loads(json.dumps(record))) as earlier:
        assert document(earlier) == (data, record, made)
    assert len(made) == 5


def _facts(change: Callable[[Any], Any]) -> Callable[[bytes, dict[str, Any]], tuple[bytes, dict[str, Any]]]:
    """Change what is known of sizes: the last piece."""

    def spoil(data: bytes, record: dict[str, Any]) -> tuple[bytes, dict[str, Any]]:
        last = str(len(record["recipes"]) - 1)
        return data, {**record, "facts": {**record["facts"], last: change(record["facts"][last])}}

    return spoil


DAMAGE: dict[str, Callable[[bytes, dict[str, Any]], tuple[bytes, dict[str, Any]]]] = {
    "sizes gone": _facts(lambda _: None),
    "sizes a text": _facts(lambda _: "text"),
    "sizes a table": _facts(lambda _: {"a": 1}),
    "sizes of other things": _facts(lambda facts: [[["a"], names] for _, names in facts]),
    "recipes no texts": _facts(lambda facts: [[sizes, [[1]]] for sizes, _ in facts]),
    "no page where one was": lambda data, record: (bytes(len(data)), record),
    "cut off": lambda data, record: (data[: len(data) // 3], record),
    "no forms": lambda data, record: (
        data,
        {**record, "recipes": [name if not name.startswith("X") else "Y" for name in record["recipes"]]},
    ),
}


@pytest.mark.parametrize("damage", DAMAGE)
def test_what_is_damaged_is_drawn_again(damage: str, tmp_path: Path) -> None:
    data, record, _ = render(ROOMS)
    with kept(tmp_path, *DAMAGE[damage](data, record)) as earlier:
        found = render(ROOMS, earlier)
    assert found[:2] == (data, record)
    assert len(found[2]) > len(ROOMS) / 2


SPECS = st.lists(
    st.tuples(
        st.sampled_from("QRSTUV"),
        st.sampled_from([1, 5, 12, 40, 90]),
        st.sampled_from(["", "ab", "bA", "Bcd", "a%", "de&"]),
    ),
    max_size=12,
)


@given(before=SPECS, after=SPECS)
def test_any_document_over_any_other_has_the_bytes_of_a_full_one(
    before: list[Spec], after: list[Spec], tmp_path_factory: pytest.TempPathFactory
) -> None:
    again(tmp_path_factory.getbasetemp(), before, after)
