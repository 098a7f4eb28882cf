"""The PDF as a file, read strictly by ISO 32000-1:2008: every byte is accounted for, every number leads where it says."""

import importlib.util
import io
import re
import shutil
import subprocess
import tracemalloc
from collections.abc import Iterator
from pathlib import Path
from typing import cast

import pytest
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont

from schedule2sign.model.job import Job
from schedule2sign.resources import templates_folder
from schedule2sign.writers.pdf import PageSetup, render_pdf
from schedule2sign.writers.pdfblocks import Block, Break, Head, Sketch, bookmark, paragraph
from schedule2sign.writers.pdfdocument import About, write_document
from schedule2sign.writers.pdffile import PdfFile, text_string
from schedule2sign.writers.pdfpen import Pen, make_form
from schedule2sign.writers.pdftable import grid
from schedule2sign.writers.proof import Proof
from schedule2sign.writers.sign_pdf import render_sign_pdf

HEADER = b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n"
ENTRY = re.compile(rb"(\d{10}) (\d{5}) ([nf]) \n")  # 7.5.4: twenty bytes, the end of the line two of them
TRAILER = re.compile(rb"trailer\n<< (.*?) >>\nstartxref\n(\d+)\n%%EOF\n")
OBJECT = re.compile(rb"(\d+) 0 obj\n(.*)\nendobj\n", re.DOTALL)
STREAM = re.compile(rb"<< (.*?)/Length (\d+) >>\nstream\n(.*)\nendstream", re.DOTALL)
REFERENCE = re.compile(rb"(\d+) 0 R\b")
LONG = " ".join(f"word{number}" for number in range(900))


class Read:
    """The objects of a file: dictionaries with what they say, streams apart."""

    def __init__(self, data: bytes) -> None:
        assert data.startswith(HEADER)  # 7.5.2
        match = TRAILER.search(data)
        assert match is not None
        assert match.end() == len(data)
        self.trailer, begin = match[1], int(match[2])  # 7.5.5
        assert data[begin:].startswith(b"xref\n0 ")
        head, _, rest = data[begin : match.start()].partition(b"\n")[2].partition(b"\n")
        count = int(head.split()[1])
        assert len(rest) == 20 * count
        entries = [ENTRY.fullmatch(rest[at : at + 20]) for at in range(0, len(rest), 20)]
        assert entries[0] is not None
        assert entries[0].groups() == (b"0000000000", b"65535", b"f")
        places = {}
        for number, entry in enumerate(entries[1:], start=1):
            assert entry is not None
            assert entry[2] + entry[3] == b"00000n"
            places[int(entry[1])] = number
        # Objects stand end to end: what no entry leads to does not exist.
        starts = sorted(places)
        assert len(starts) == count - 1
        assert starts[0] == len(HEADER)
        self.bodies: dict[int, bytes] = {}
        self.streams: dict[int, bytes] = {}
        for start, end in zip(starts, [*starts[1:], begin], strict=True):
            found = OBJECT.fullmatch(data[start:end])
            assert found is not None
            assert int(found[1]) == places[start]
            body = found[2]
            if stream := STREAM.fullmatch(body):  # 7.3.8.1: the length counts what is between the two ends of line
                assert len(stream[3]) == int(stream[2])
                self.streams[places[start]] = stream[3]
                body = stream[1]
            self.bodies[places[start]] = body
        assert dict(re.findall(rb"/(Size) (\d+)", self.trailer)) == {b"Size": b"%d" % count}
        for body in (self.trailer, *self.bodies.values()):
            assert {int(number) for number in REFERENCE.findall(body)} <= self.bodies.keys()
        self.root = self.one(self.trailer, b"Root")

    def one(self, body: bytes, key: bytes) -> int:
        match = re.search(rb"/%s (\d+) 0 R" % key, body)
        assert match is not None, (key, body)
        return int(match[1])

    def many(self, body: bytes, key: bytes) -> list[int]:
        match = re.search(rb"/%s \[([^]]*)\]" % key, body)
        assert match is not None, (key, body)
        return [int(number) for number in REFERENCE.findall(match[1])]

    def count(self, body: bytes) -> int:
        return int(re.search(rb"/Count (-?\d+)", body)[1])  # type: ignore[index]

    def pages(self) -> list[int]:
        """7.7.3: every node names its parent and counts its leaves."""

        def leaves(number: int, parent: int) -> Iterator[int]:
            body = self.bodies[number]
            assert (b"/Parent " in body) == bool(parent)
            if parent:
                assert self.one(body, b"Parent") == parent
            if b"/Type /Pages" in body:
                found = [leaf for kid in self.many(body, b"Kids") for leaf in leaves(kid, number)]
                assert self.count(body) == len(found)
                yield from found
            else:
                assert b"/Type /Page " in body
                yield number

        catalog = self.bodies[self.root]
        assert b"/Type /Catalog" in catalog
        return list(leaves(self.one(catalog, b"Pages"), 0))

    def contents(self) -> list[bytes]:
        """Of every page what is drawn on it, without its header and footer."""
        return [self.streams[self.many(self.bodies[page], b"Contents")[0]] for page in self.pages()]


def book(setup: PageSetup, blocks: list[Block]) -> Read:
    return Read(b"".join(render_pdf(setup, blocks)))


def draw_letter(pen: Pen) -> None:
    pen.rings((((0, 0), (5, 0), (5, 5)),))


def mixed(count: int) -> Iterator[Block]:
    """A cell in the font of the pages, a form, a text beyond ASCII, entries of the outline, a table over two pages."""
    for number in range(count):
        yield bookmark(f"Level {number}")
        yield paragraph(f"Page {number}: caf\u00e9 (a\\b) \u2014 \u0416 {LONG[: 300 + number % 7]}")
        yield bookmark(f"\u00c9tage {number} (1)", 1)
        yield Sketch(100, 100, lambda pen: pen.form(make_form((0, 0, 5, 5), draw_letter), 10, 10))
        yield Break()


@pytest.mark.parametrize(
    ("setup", "count"),
    [
        (PageSetup(title="One", right="J revision A"), 1),
        (PageSetup(title="A (title) \u00d1", right="\u0416", bar=True, watermark="PROVISIONAL"), 3),
        (PageSetup(title="Labels", unit="mm", frame=False), 2),
        (PageSetup(title="Word alone", frame=False, watermark="DRAFT"), 2),
        (PageSetup(title="Long", landscape=True), 200),
    ],
)
def test_every_object_is_where_the_table_says_and_the_tree_counts_its_pages(setup: PageSetup, count: int) -> None:
    read = book(setup, list(mixed(count)))
    assert len(read.pages()) == count
    for page in read.pages():
        body = read.bodies[page]
        content = b"\n".join(read.streams[number] for number in read.many(body, b"Contents"))
        # 7.8.3: what contents name is in the resources, and nothing else is.
        named = set(re.findall(rb"/(X[0-9a-f]+) Do", content)) | set(re.findall(rb"/(F) [\d.]+ Tf", content))
        assert named == set(re.findall(rb"/(X[0-9a-f]+|F) \d+ 0 R", body))
        for number in read.many(body, b"Contents"):  # 8.4.2: each puts the state back
            assert re.match(rb"q\n.*\nQ$", read.streams[number], re.DOTALL)
            tokens = read.streams[number].split()
            assert tokens.count(b"q") == tokens.count(b"Q")
    kinds = [b"/Subtype /Form" in body for body in read.bodies.values()]
    assert sum(kinds) == 1 + (setup.frame or bool(setup.watermark))  # a picture that repeats is stored once


def sample_job() -> Job:
    path = Path(__file__).resolve().parents[1] / "golden" / "sample_job.py"
    spec = importlib.util.spec_from_file_location("sample_job_for_pdf", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return cast("Job", module.sample_job())


def test_the_book_of_a_job_and_the_picture_of_a_sign_are_read_as_strictly() -> None:
    job = sample_job()
    (file,) = Proof().render(job)
    read = Read(file.data)
    said = b"".join(read.bodies.values())
    for record in job.signs:
        assert b"/Title %s /Dest" % text_string(record.request.sign_id).encode() in said
    layout = next(record.layout for record in job.signs if record.layout is not None)
    (page,) = Read(render_sign_pdf(layout, "A (sign)")).contents()
    assert page.count(b" f*") >= 2  # the plate and its letters


@pytest.mark.parametrize(
    ("found", "instead"),
    [
        (b" 00000 n \n", b" 00000 n\n"),
        (b"endobj\n", b"endobj\n\n"),
        (b"/Length ", b"/Length 1"),
        (b"/Count 1 ", b"/Count 2 "),
        (b"startxref\n", b"startxref\n1"),
        (b"/Parent ", b"/Parent 9"),
    ],
)
def test_the_reader_of_these_tests_refuses_a_file_that_is_off(found: bytes, instead: bytes) -> None:
    data = b"".join(render_pdf(PageSetup(title="T"), [paragraph("a")]))
    assert len(Read(data).pages()) == 1
    assert found in data
    with pytest.raises((AssertionError, KeyError)):
        Read(data.replace(found, instead, 1)).pages()


def test_a_document_without_a_text_has_no_font() -> None:
    pen = Pen()
    pen.rect(0, 0, 10, 10)
    read = Read(b"".join(write_document(About(title="t"), (20, 30), [pen])))
    assert len(read.pages()) == 1
    assert not any(b"/Font" in body for body in read.bodies.values())
    assert b"/MediaBox [0 0 20 30]" in b"".join(read.bodies.values())


def test_a_number_without_an_object_is_never_written() -> None:
    file = PdfFile()
    file.start()
    first = file.reserve(2)
    file.object(first + 1, "<< >>")
    with pytest.raises(ValueError, match=r"object 1 .* never written"):
        file.end(first, first + 1)


def test_a_page_has_the_same_bytes_alone_and_in_a_book() -> None:
    setup = PageSetup(title="T", watermark="W")
    blocks = [list(mixed(number + 1))[5 * number :] for number in range(5)]
    blocks.insert(2, [Head("LEVEL 9"), grid(("A", "\u20ac"), [(LONG, "x")] * 2, 540), Break()])
    whole = book(setup, [block for part in blocks for block in part])
    alone = [page for part in blocks for page in book(setup, part).contents()]
    assert len(alone) >= 6
    assert whole.contents() == alone
    turned = book(setup, [block for part in reversed(blocks) for block in part])
    assert sorted(turned.contents()) == sorted(alone)


def test_a_form_has_a_name_of_its_own_by_what_is_drawn() -> None:
    forms = [
        make_form((0, 0, 5, 5), draw_letter),
        make_form((0, 0, 5, 5), draw_letter),
        make_form((0, 0, 5, 6), draw_letter),
        make_form((0, 0, 5, 5), lambda pen: pen.text(0, 0, "a", 5)),
        make_form((0, 0, 5, 5), lambda pen: pen.text(0, 0, "b", 5)),
    ]
    assert [[one.name == other.name for other in forms] for one in forms] == [
        [one in same and other in same if one != other else True for other in range(5)]
        for one in range(5)
        for same in [{0, 1}]
    ]


def test_the_outline_is_chained_and_counted() -> None:
    # 12.3.3 and table 153: neighbors name each other, a closed entry counts below zero and hides what it counts.
    levels = [("a", 0), ("b", 0), ("b1", 1), ("b2", 1), ("b2x", 2), ("c", 0), ("c1", 1), ("\u00e9", 5), ("d", 0)]
    read = book(PageSetup(title="T"), [block for entry in levels for block in (bookmark(*entry), paragraph("x"))])
    (page,) = read.pages()

    def told(number: int, parent: int) -> list[object]:
        body = read.bodies[number]
        if b"/First " not in body:
            assert b"/Last " not in body
            assert b"/Count " not in body
            return []
        first, last = read.one(body, b"First"), read.one(body, b"Last")
        found: list[object] = []
        at, before = first, 0
        while True:
            entry = read.bodies[at]
            assert read.one(entry, b"Parent") == number
            assert b"/Dest [%d 0 R /Fit]" % page in entry
            assert (read.one(entry, b"Prev") if b"/Prev " in entry else 0) == before
            title = re.search(rb"/Title (\(.*?\)|<.*?>)", entry)[1].decode()  # type: ignore[index]
            count = read.count(entry) if b"/Count " in entry else 0
            found.append((title, count, told(at, number)))
            if b"/Next " not in entry:
                assert at == last
                return found
            at, before = read.one(entry, b"Next"), at

    catalog = read.bodies[read.root]
    assert b"/PageMode /UseOutlines" in catalog
    root = read.one(catalog, b"Outlines")
    assert read.count(read.bodies[root]) == 7
    assert told(root, 0) == [
        ("(a)", 0, []),
        ("(b)", 2, [("(b1)", 0, []), ("(b2)", -1, [("(b2x)", 0, [])])]),
        ("(c)", 1, [("(c1)", -1, [("<feff00e9>", 0, [])])]),  # 7.9.2.2: UTF-16BE after its mark
        ("(d)", 0, []),
    ]


def drawn(font: TTFont, name: str) -> list[object]:
    pen = DecomposingRecordingPen(font.getGlyphSet())
    font.getGlyphSet()[name].draw(pen)
    return pen.value


def test_the_font_in_the_file_has_the_outlines_and_widths_of_the_whole_one() -> None:
    # 9.7.4.2 and 9.9: glyph numbers of the whole font; tables glyf, head, hhea, hmtx, loca and maxp.
    text = "AWl. \u00e9\u00d1\u0416\u20ac\U0001f16b"
    read = book(PageSetup(title="T", frame=False), [paragraph(text)])
    (program,) = [read.streams[n] for n, body in read.bodies.items() if b"/Length1" in body]
    assert any(b"/Length1 %d " % len(program) in body for body in read.bodies.values())
    whole = TTFont(templates_folder() / "fonts" / "RobotoCondensed-Regular.ttf")
    part = TTFont(io.BytesIO(program), checkChecksums=2)  # a table whose sum is wrong is refused
    assert set(part.reader.keys()) == {"glyf", "head", "hhea", "hmtx", "loca", "maxp"}
    part.setGlyphOrder(whole.getGlyphOrder()[: part["maxp"].numGlyphs])
    (descendant,) = [body for body in read.bodies.values() if b"/CIDFontType2" in body]
    widths = dict(re.findall(rb"(\d+) \[([\d.]+)\]", descendant))
    (meaning,) = [stream for stream in read.streams.values() if b"begincmap" in stream]
    names = whole.getBestCmap()
    assert len(widths) == len(set(text))
    for character in set(text):
        name = names[ord(character)]
        glyph = whole.getGlyphID(name)
        assert part["hmtx"][name] == whole["hmtx"][name]
        assert drawn(part, name) == drawn(whole, name)
        assert float(widths[b"%d" % glyph]) == pytest.approx(whole["hmtx"][name][0] / 2.048, abs=1e-3)
        assert f"<{glyph:04x}> <{character.encode('utf-16-be').hex()}>".encode() in meaning  # 9.10.3
        assert f"{glyph:04x}" in read.contents()[0].decode()
    used = {name for name in part.getGlyphOrder() if part["glyf"][name].numberOfContours}
    assert len(used) < 20  # the parts of letters with marks, and .notdef


@pytest.mark.skipif(shutil.which("pdffonts") is None, reason="poppler is not installed")
def test_an_independent_reader_sees_an_embedded_subset_and_no_fault(tmp_path: Path) -> None:
    text = "AW (l) \\ caf\u00e9 \u00d1 \u0416 \u20ac"
    (tmp_path / "a.pdf").write_bytes(
        b"".join(render_pdf(PageSetup(title="\u00d1", right="(r)", watermark="W"), [paragraph(text)]))
    )

    def say(*command: str) -> str:
        run = subprocess.run(command, cwd=tmp_path, check=True, capture_output=True, text=True, timeout=60)
        assert run.stderr == ""  # it names what it has to guess or repair
        return run.stdout

    (row,) = say("pdffonts", "a.pdf").splitlines()[2:]
    assert re.fullmatch(r"[A-Z]{6}\+RobotoCondensed-Regular +CID TrueType +Identity-H +yes yes yes +\d+ +0", row)
    assert text in say("pdftotext", "-layout", "a.pdf", "-")
    info = dict(re.findall(r"(?m)^(\w+): +(.*)$", say("pdfinfo", "a.pdf")))
    assert {key: info[key] for key in ("Title", "Subject", "Author", "Creator", "Pages")} == {
        "Title": "\u00d1",
        "Subject": "(r)",
        "Author": "schedule2sign",
        "Creator": "schedule2sign",
        "Pages": "1",
    }
    say("pdftoppm", "-r", "20", "a.pdf", "a")


def test_the_identifier_is_of_the_content() -> None:
    def identifier(title: str) -> bytes:
        return re.search(rb"/ID \[<([0-9a-f]{32})> <\1>\]", book(PageSetup(title=title), [paragraph("x")]).trailer)[1]  # type: ignore[index]

    assert identifier("a") == identifier("a") != identifier("b")  # 14.4


def painted(count: int, asked: list[int]) -> Iterator[Block]:
    """Pages of 20 kB each."""

    def paint(pen: Pen) -> None:
        pen.lines((x, x, x + 1, x) for x in range(1000))

    for number in range(count):
        asked.append(number)
        yield Sketch(400, 600, paint)


def test_a_page_is_handed_on_before_the_next_is_drawn() -> None:
    asked: list[int] = []
    chunks = render_pdf(PageSetup(title="T"), painted(9, asked))
    size = 0
    while size < 10_000:
        size += len(next(chunks))
    assert len(asked) <= 2  # the second is asked for to know that it does not fit


def test_memory_does_not_grow_with_what_is_drawn() -> None:
    def peak(count: int) -> int:
        tracemalloc.start()
        total = sum(map(len, render_pdf(PageSetup(title="T"), painted(count, []))))
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        assert total > 15_000 * count
        return most

    peak(1)
    # Of 20 kB a page stay the numbers of its objects, and texts that are remembered up to a limit.
    assert peak(100) - peak(10) < 90 * 20_000 / 4
