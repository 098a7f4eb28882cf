"""One sign of every template, drawn by programs that are not ours: LibreCAD prints the DXF, Chromium shows the SVG.

Only outlines are compared, at 96 pixels to the inch: no line of either picture may be far from a line of the other.
"""

import os
import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy
import pytest
from PIL import Image

from schedule2sign.layout.gallery import sample_request
from schedule2sign.model.job import Status
from schedule2sign.model.settings import Settings
from schedule2sign.pipeline import build_job
from schedule2sign.signmaker import find_templates, make_samples
from schedule2sign.writers.sign_dxf import SignDxf
from schedule2sign.writers.sign_svg import SignSvg

TOOLS = ("librecad", "chromium", "pdftoppm")
DPI = 96  # one CSS inch, CSS Values 3, 6.2
REACH = 2  # pixels: one for the rounding of each program
SVG = "{http://www.w3.org/2000/svg}"

pytestmark = pytest.mark.skipif(not all(map(shutil.which, TOOLS)), reason=f"{', '.join(TOOLS)} draw the pictures")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """S-<template>.dxf and .svg of every template, and both pictures of each as .npy."""
    folder = tmp_path_factory.mktemp("pictures")
    schedule = folder / "doors.csv"
    schedule.write_text("DOOR,ROOM NO,ROOM NAME\n101,101,CLASSROOM\n", encoding="utf-8")
    settings = Settings(templates="signs-framed")
    templates = find_templates(settings)
    requests = [replace(sample_request(template), sign_id=f"S-{name}") for name, template in templates.items()]
    records = tuple(
        replace(
            record,
            status=Status.RELEASED,
            flags=(),
            drawn_as=("signs/{id}.dxf", "signs/{id}.svg"),
        )
        for record in make_samples(requests, settings)
    )
    job = replace(build_job([schedule], settings), signs=records, bench=None)
    for writer in (SignDxf(), SignSvg()):
        for file in writer.render(job):
            (folder / Path(file.path).name).write_bytes(file.data)
    print_dxfs(folder)
    show_svgs(folder)
    return folder


def print_dxfs(folder: Path) -> None:
    """Each DXF at its true size on the sheet it declares."""
    names = sorted(path.name for path in folder.glob("S-*.dxf"))
    subprocess.run(
        ["librecad", "dxf2pdf", "-m", "-s", "1", *names],
        cwd=folder,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen", "XDG_RUNTIME_DIR": str(folder), "HOME": str(folder)},
        check=True,
        capture_output=True,
        timeout=300,
    )
    for name in names:
        stem = name.removesuffix(".dxf")
        subprocess.run(
            ["pdftoppm", "-r", str(DPI), "-gray", "-singlefile", f"{stem}.pdf", f"{stem}-dxf"], cwd=folder, check=True
        )


def show_svgs(folder: Path) -> None:
    """All SVGs on one page under each other, outlines only, on sheets as large as the DXFs declare theirs."""
    page, places, top = [], {}, 0
    for path in sorted(folder.glob("S-*.svg")):
        root = ElementTree.parse(path).getroot()
        width, height = (float(root.get("viewBox").split()[i]) for i in (2, 3))
        sheet = width + 1.5, max(height, 1.0)  # plate, half an inch, reference square
        root.set("viewBox", f"0 {height - sheet[1]} {sheet[0]} {sheet[1]}")
        root.set("width", f"{sheet[0]}in")
        root.set("height", f"{sheet[1]}in")
        root.set("style", f"position:absolute;left:0;top:{top}px")
        for group in root.iter(f"{SVG}g"):
            group.set("visibility", "visible")
            group.set("style", "fill:none;stroke:#000;stroke-width:0.012")
        page.append(ElementTree.tostring(root, encoding="unicode"))
        places[path.stem] = (top, round(sheet[1] * DPI), round(sheet[0] * DPI))
        top += round(sheet[1] * DPI) + 10
    page_text = f'<html xmlns="http://www.w3.org/1999/xhtml"><body style="margin:0">{"".join(page)}</body></html>'
    (folder / "page.xhtml").write_text(page_text, encoding="utf-8")
    columns = max(width for _, _, width in places.values())
    subprocess.run(
        [
            "chromium", "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
            f"--user-data-dir={folder / 'profile'}", f"--screenshot={folder / 'page.png'}",
            f"--window-size={columns},{top}", f"file://{folder / 'page.xhtml'}",
        ],
        check=True, capture_output=True, timeout=300,
    )  # fmt: skip
    Image.MAX_IMAGE_PIXELS = None
    picture = Image.open(folder / "page.png").convert("L")
    assert picture.size == (columns, top)
    for stem, (start, rows, width) in places.items():
        picture.crop((0, start, width, start + rows)).save(folder / f"{stem}-svg.png")


def ink(path: Path) -> numpy.ndarray:
    return numpy.asarray(Image.open(path).convert("L")) < 200


def grown(picture: numpy.ndarray, by: int) -> numpy.ndarray:
    result = numpy.zeros_like(picture)
    padded = numpy.pad(picture, by)
    rows, columns = picture.shape
    for down in range(2 * by + 1):
        for right in range(2 * by + 1):
            result |= padded[down : down + rows, right : right + columns]
    return result


def stray(folder: Path, template: str) -> tuple[int, int]:
    """Pixels of the DXF's lines far from any of the SVG's, and the other way round."""
    theirs, ours = ink(folder / f"S-{template}-dxf.pgm"), ink(folder / f"S-{template}-svg.png")
    assert abs(theirs.shape[1] - ours.shape[1]) <= 1
    rows, columns = numpy.minimum(theirs.shape, ours.shape)
    # A triangle's rounded tip does not reach its plate's height, which the SVG states and the DXF does not.
    assert not theirs[: -rows - REACH].any()
    assert not ours[: -rows - REACH].any()
    theirs, ours = theirs[-rows:, :columns], ours[-rows:, :columns]
    assert min(theirs.sum(), ours.sum()) > 1000
    # Half of a line on the edge of the sheet falls off it, and either program may drop the other half.
    inside = numpy.s_[4:-4, 4:-4]
    return (
        int((theirs & ~grown(ours, REACH))[inside].sum()),
        int((ours & ~grown(theirs, REACH))[inside].sum()),
    )


TEMPLATES = sorted(find_templates(Settings(templates="signs-framed")))


@pytest.mark.parametrize("template", TEMPLATES)
def test_two_unrelated_programs_draw_the_same_sign(folder: Path, template: str) -> None:
    assert stray(folder, template) == (0, 0)


def test_a_letter_half_a_millimeter_off_would_be_seen(folder: Path) -> None:
    """The pictures can fail: the same comparison with the SVG's letters moved by three pixels."""
    path = folder / "S-room-svg.png"
    kept = path.read_bytes()
    picture = numpy.asarray(Image.open(path)).copy()
    rows = slice(picture.shape[0] // 4, picture.shape[0] // 2)
    picture[rows] = numpy.roll(picture[rows], 4, axis=1)
    Image.fromarray(picture).save(path)
    try:
        assert min(stray(folder, "room")) > 10
    finally:
        path.write_bytes(kept)


def test_every_template_is_drawn(folder: Path) -> None:
    assert {re.sub(r"^S-", "", path.stem) for path in folder.glob("S-*.dxf")} == set(TEMPLATES)
