"""The sign family against pictures kept in the repository: tests/golden/pictures/family-*.png.

After a change of looks that is meant: `python tests/golden/test_family_pictures.py` draws them anew; look at them.
"""

import base64
import re
import shutil
import subprocess
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageFilter

from schedule2sign.layout.gallery import sample_request
from schedule2sign.model.settings import Settings
from schedule2sign.signmaker import find_templates, make_samples
from schedule2sign.writers.sign_svg import render_sign

PICTURES = Path(__file__).parent / "pictures"
STYLES = ("signs", "signs-framed")
CELL_IN, COLUMNS, DPI = 12.5, 5, 20
APART = 64  # gray levels; a blurred edge drawn by another release of a renderer stays under it

needs_rsvg = pytest.mark.skipif(shutil.which("rsvg-convert") is None, reason="rsvg-convert draws the pictures")


def draw_signs(settings: Settings) -> dict[str, bytes]:
    """The SVG of every template's sample, by name."""
    templates = find_templates(settings)
    records = make_samples([sample_request(template) for template in templates.values()], settings)
    return {
        record.request.template: render_sign(record, record.layout, "0")
        for record in records
        if record.layout is not None
    }


def lay_sheet(signs: dict[str, bytes], dpi: int = DPI) -> bytes:
    """One SVG with a sign in each cell of a grid, without any text a system font would draw."""
    images = []
    for place, name in enumerate(sorted(signs)):
        row, column = divmod(place, COLUMNS)
        text = signs[name].decode()
        width, height = (float(re.search(rf'{side}="([\d.]+)in"', text)[1]) for side in ("width", "height"))
        images.append(
            f'<image x="{column * CELL_IN}" y="{row * CELL_IN}" width="{width}" height="{height}" '
            f'href="data:image/svg+xml;base64,{base64.b64encode(signs[name]).decode()}"/>'
        )
    wide, high = COLUMNS * CELL_IN, -(-len(signs) // COLUMNS) * CELL_IN
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide * dpi:.0f}" height="{high * dpi:.0f}" '
        f'viewBox="0 0 {wide} {high}"><rect width="100%" height="100%" fill="#ffffff"/>{"".join(images)}</svg>'
    ).encode()


def paint(sheet: bytes, target: Path) -> Image.Image:
    subprocess.run(["rsvg-convert", "-o", target], input=sheet, check=True)
    return Image.open(target).convert("L")


def cells_apart(ours: Image.Image, theirs: Image.Image, names: list[str]) -> dict[str, int]:
    """Pixels of each sign that differ by more than a blurred edge; signs that agree are left out."""
    assert ours.size == theirs.size, "the family has grown or shrunk: draw the pictures anew"
    difference = ImageChops.difference(ours, theirs).point(lambda level: 255 if level > APART else 0)
    side, found = round(CELL_IN * DPI), {}
    for place, name in enumerate(names):
        row, column = divmod(place, COLUMNS)
        cell = difference.crop((column * side, row * side, (column + 1) * side, (row + 1) * side))
        if count := cell.histogram()[255]:
            found[name] = count
    return found


@needs_rsvg
@pytest.mark.parametrize("style", STYLES)
def test_the_family_looks_as_it_did(style: str, tmp_path: Path) -> None:
    signs = draw_signs(Settings(templates=style))
    ours = paint(lay_sheet(signs), tmp_path / "now.png")
    kept = Image.open(PICTURES / f"family-{style}.png").convert("L")
    apart = cells_apart(ours, kept, sorted(signs))
    assert all(count <= 3 for count in apart.values()), apart


@needs_rsvg
def test_a_changed_sign_is_seen_and_named(tmp_path: Path) -> None:
    """A picture that would pass whatever is drawn proves nothing: one sign in another typeface must be found."""
    signs = draw_signs(Settings())
    names = sorted(signs)
    kept = Image.open(PICTURES / "family-signs.png").convert("L")
    signs["name"] = draw_signs(Settings(font="Lato-Regular.ttf"))["name"]
    apart = cells_apart(paint(lay_sheet(signs), tmp_path / "damaged.png"), kept, names)
    assert [name for name, count in apart.items() if count > 3] == ["name"]


@needs_rsvg
@pytest.mark.skipif(shutil.which("chromium") is None, reason="chromium draws the picture to compare")
def test_a_browser_shows_what_the_other_renderer_shows(tmp_path: Path) -> None:
    shown = ("all-gender", "door-all", "exterior", "hours", "room")  # every kind of shape: rings, arcs, circles
    sheet = lay_sheet({name: svg for name, svg in draw_signs(Settings()).items() if name in shown}, dpi=40)
    ours = paint(sheet, tmp_path / "rsvg.png")
    (tmp_path / "sheet.svg").write_bytes(sheet)
    subprocess.run(
        [
            "chromium", "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
            f"--user-data-dir={tmp_path / 'profile'}", f"--screenshot={tmp_path / 'browser.png'}",
            f"--window-size={ours.width},{ours.height}", f"file://{tmp_path / 'sheet.svg'}",
        ],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    theirs = Image.open(tmp_path / "browser.png").convert("L")
    # Within a pixel: what differs is only where an edge runs, never a shape.
    for a, b in ((ours, theirs), (theirs, ours)):
        light, dark = b.filter(ImageFilter.MaxFilter(3)), b.filter(ImageFilter.MinFilter(3))
        too_light = ImageChops.subtract(a, light).point(lambda level: 255 if level > APART else 0)
        too_dark = ImageChops.subtract(dark, a).point(lambda level: 255 if level > APART else 0)
        assert too_light.histogram()[255] == 0
        assert too_dark.histogram()[255] == 0


if __name__ == "__main__":
    for style in STYLES:
        target = PICTURES / f"family-{style}.png"
        paint(lay_sheet(draw_signs(Settings(templates=style))), target).quantize(32).save(target, optimize=True)
        print(target)  # noqa: T201
