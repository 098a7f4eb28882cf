"""How the PDFs break lines and pages: nothing is lost, nothing wider than its column, rows and headings whole."""

import re
import shutil
import subprocess
from collections.abc import Iterable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from schedule2sign.resources import templates_folder
from schedule2sign.writers.pdf import PageSetup, render_pdf
from schedule2sign.writers.pdfblocks import Block, Sketch, Space, paragraph, titled
from schedule2sign.writers.pdffont import break_lines, text_width
from schedule2sign.writers.pdftable import grid

needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler is not installed")
SETUP = PageSetup(title="T")
# FreeType's measure of the font, unhinted: at a size of the units of the em a pixel is a unit.
UNITS = 2048
FREETYPE = ImageFont.truetype(
    templates_folder() / "fonts" / "RobotoCondensed-Regular.ttf", UNITS, layout_engine=ImageFont.Layout.BASIC
)


def measure(text: str, size_pt: float) -> float:
    return FREETYPE.getlength(text) * size_pt / UNITS


def render(setup: PageSetup, blocks: Iterable[Block]) -> bytes:
    return b"".join(render_pdf(setup, blocks))


def pages(data: bytes, folder: Path) -> list[str]:
    (folder / "a.pdf").write_bytes(data)
    command = ["pdftotext", "-raw", str(folder / "a.pdf"), "-"]
    return subprocess.run(command, check=True, capture_output=True, timeout=60).stdout.decode().split("\f")[:-1]


@given(st.text("abcWil.,-\u00e9 \n", max_size=120), st.floats(30, 200))
def test_lines_hold_every_letter_in_order_and_are_not_too_wide(text: str, width_pt: float) -> None:
    lines = break_lines(text, 9, width_pt)
    assert "".join("".join(line.text.split()) for line in lines) == "".join(text.split())
    for line in lines:
        # A space may be narrowed by a twentieth, no more.
        assert line.space_pt >= -0.05 * measure(" ", 9) * 2
        wide = measure(line.text, 9) + line.space_pt * line.text.count(" ")
        assert wide <= width_pt + 1e-6
        assert text_width(line.text, 9) == pytest.approx(measure(line.text, 9))


@needs_poppler
def test_a_row_is_parted_only_where_no_page_holds_it_and_its_heading_goes_with_it(tmp_path: Path) -> None:
    words = " ".join(f"w{number}" for number in range(400))
    for white in (300, 560, 600, 640):
        texts = pages(
            render(SETUP, [Space(white), *titled("Heading", grid(("A", "B"), [("x", words)], 540))]), tmp_path
        )
        (page,) = [text for text in texts if "Heading" in text]
        assert "w0 " in page
        assert re.findall(r"w\d+", "\n".join(texts)) == words.split()
        assert sum("w1 " in text or "w398" in text for text in texts) == 1
    longer = " ".join(f"w{number}" for number in range(6000))
    texts = pages(render(SETUP, [Space(300), *titled("Heading", grid(("A", "B"), [("x", longer)], 540))]), tmp_path)
    assert len(texts) > 2
    assert sum("Heading" in text and "w1 " in text for text in texts) == 1
    assert re.findall(r"w\d+", "\n".join(texts)) == longer.split()
    assert all(re.search(r"(?m)^A\s+B$", text) for text in texts[1:])  # headers on every page


@needs_poppler
def test_letters_outside_ascii_and_brackets_are_read_back(tmp_path: Path) -> None:
    text = "(a\\b) Caf\u00e9 \u00d1and\u00fa \u2014 \u0416"
    (page,) = pages(render(SETUP, [paragraph(text), grid(("A",), [(text,)], 300)]), tmp_path)
    assert page.count(text) == 2


def test_what_fits_on_no_page_is_said_not_lost() -> None:
    with pytest.raises(ValueError, match="9000 points high fits on no page"):
        render(SETUP, [Sketch(10, 9000, lambda pen: pen.rect(0, 0, 10, 9000))])


def test_the_reader_shows_the_title_and_the_language_is_stated() -> None:
    # ISO 32000-1, 12.2 (DisplayDocTitle) and 14.9.2 (Lang); a tagged file would need a structure tree, not made.
    data = render(PageSetup(title="A title"), [paragraph("a")])
    assert b"/DisplayDocTitle true" in data
    assert b"/Lang (en-US)" in data
    assert b"/Title (A title)" in data
