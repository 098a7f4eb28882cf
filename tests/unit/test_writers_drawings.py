"""DXF and SVG of a sign, read back by programs that know nothing of ours."""

import hashlib
import importlib.util
import io
import math
import os
import re
import shutil
import subprocess
import sys
from collections import Counter
from dataclasses import fields, replace
from itertools import pairwise
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree

import ezdxf
import ezdxf.bbox
import ezdxf.path
import numpy
import pytest

from schedule2sign.geometry.design import design_hash
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import InHand, Job, Status
from schedule2sign.model.shape import Box, Hole, Outline, SignLayout, VisualLine
from schedule2sign.production.drilling import drill_rows
from schedule2sign.production.plan import plan_bench
from schedule2sign.production.process import load_process
from schedule2sign.writers.drawing import Drawing, draw_sign, draw_signs
from schedule2sign.writers.inches import STEPS
from schedule2sign.writers.sign_dxf import SignDxf
from schedule2sign.writers.sign_svg import SignSvg

INCH_MM = 25.4
SVG = "{http://www.w3.org/2000/svg}"
# Operations of a shop drawing (common practice, no source).
LAYERS = {
    "PLATE_EDGE",
    "RAISED_OUTLINE",
    "BRAILLE_DRILL",
    "PICTOGRAM",
    "VISUAL_TEXT",
    "WINDOW",
    "FIXING_HOLES",
    "REF",
    "NOTES",
}


def load_sample() -> ModuleType:
    path = Path(__file__).resolve().parents[1] / "golden" / "sample_job.py"
    spec = importlib.util.spec_from_file_location("sample_job", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


sample = load_sample()


@pytest.fixture(scope="module")
def job() -> Job:
    return sample.sample_job()


@pytest.fixture(scope="module")
def drawings(job: Job) -> dict[str, bytes]:
    return {file.path: file.data for writer in (SignDxf(), SignSvg()) for file in writer.render(job)}


def read_dxf(data: bytes) -> "ezdxf.document.Drawing":
    return ezdxf.read(io.StringIO(data.decode("ascii"), newline=None))


def with_layout(job: Job, **changes: object) -> Job:
    """The job with its first sign's layout changed."""
    first = job.signs[0]
    return replace(job, signs=(sample.with_layout(first, replace(first.layout, **changes)), *job.signs[1:]))


def test_released_signs_get_both_files_and_held_signs_none(drawings: dict[str, bytes]) -> None:
    assert set(drawings) == {
        f"signs/{sign}{suffix}" for sign in ("HH-01-101-C", "HH-01-102-C") for suffix in (".dxf", ".svg")
    }


@pytest.mark.parametrize("sign", ["HH-01-101-C", "HH-01-102-C"])
def test_every_dxf_passes_an_audit_and_holds_only_closed_paths_and_circles(
    drawings: dict[str, bytes], sign: str
) -> None:
    document = read_dxf(drawings[f"signs/{sign}.dxf"])
    audit = document.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert document.header["$INSUNITS"] == 1  # inches, DXF reference, header section
    assert document.dxfversion >= "AC1015"
    assert {layer.dxf.name for layer in document.layers} >= LAYERS
    handles = [entity.dxf.handle for entity in document.modelspace()]
    assert len(set(handles)) == len(handles)
    assert int(document.header["$HANDSEED"], 16) > max(int(handle, 16) for handle in handles)
    for entity in document.modelspace():
        assert entity.dxf.layer in LAYERS
        if entity.dxftype() == "CIRCLE":
            assert entity.dxf.layer in {"BRAILLE_DRILL", "FIXING_HOLES"}
            assert entity.dxf.radius > 0
            continue
        assert entity.dxftype() == "LWPOLYLINE"
        assert entity.closed
        points = [(x, y) for x, y, *_ in entity]
        assert len(points) > 2
        for a, b in zip(points, [*points[1:], points[0]], strict=True):
            assert math.dist(a, b) > 0


def test_the_dxf_says_what_a_shop_must_know_before_cutting(drawings: dict[str, bytes]) -> None:
    text = drawings["signs/HH-01-102-C.dxf"].decode("ascii")
    comments = re.findall(r"^999\r\n(.*)\r$", text, re.MULTILINE)
    assert any("PATH=EDGE" in line for line in comments)
    assert any("UNITS=INCHES" in line for line in comments)
    assert "NOT A COMPLIANCE CERTIFICATE. CHECK CODE, BRAILLE AND FIRST ARTICLE BEFORE RELEASE." in comments
    assert "SIGN HH-01-102-C, revision B, quantity 1" in comments
    assert "RAISED TEXT 102 / NI\\U+00D1OS" in comments  # DXF notation of a character outside ASCII
    assert not re.search(r"^(TEXT|MTEXT)\r$", text, re.MULTILINE)


def test_plate_and_letters_are_where_the_layout_puts_them(job: Job, drawings: dict[str, bytes]) -> None:
    space = read_dxf(drawings["signs/HH-01-101-C.dxf"]).modelspace()
    plate = space.query('LWPOLYLINE[layer=="PLATE_EDGE"]')
    assert len(plate) == 1
    # 8 x 4 in with 1/8 in corners, as chords: some programs misread an arc (group code 42) that ends on an axis.
    corners = [tuple(corner) for corner in plate[0].get_points("xyb")]
    assert {bulge for *_, bulge in corners} == {0.0}
    on_corner = [math.hypot(4 - abs(x - 4) - 0.125, 2 - abs(y - 2) - 0.125) for x, y, _ in corners]
    assert on_corner == pytest.approx([0.125] * len(corners), abs=2e-6)
    chords = [math.dist(a[:2], b[:2]) for a, b in pairwise(corners) if math.dist(a[:2], b[:2]) < 0.125]
    assert max(0.125 - math.sqrt(0.125**2 - (chord / 2) ** 2) for chord in chords) <= 0.0002
    box = ezdxf.bbox.extents(plate)
    assert (box.extmin.x, box.extmin.y, box.extmax.x, box.extmax.y) == pytest.approx((0, 0, 8, 4), abs=1e-6)
    outline = list(ezdxf.path.make_path(plate[0]).flattening(1e-5))
    # The rounding takes away four squares and gives back a polygon with as many corners as the quarters have chords.
    chords_around = len(corners) - 4
    polygon = chords_around / 2 * math.sin(2 * math.pi / chords_around) * 0.125**2
    assert abs(_area(outline)) == pytest.approx(32 - 4 * 0.125**2 + polygon, abs=1e-5)
    # Letters: boxes in inches straight from the layout's outlines.
    raised = space.query('LWPOLYLINE[layer=="RAISED_OUTLINE"]')
    wanted = [ring for line in job.signs[0].layout.lines for glyph in line.glyphs for ring in glyph.rings]
    assert len(raised) == len(wanted)
    for path, ring in zip(raised, wanted, strict=True):
        for (x, y, *_), (x_mm, y_mm) in zip(path, ring, strict=True):
            assert (x * INCH_MM, y * INCH_MM) == pytest.approx((x_mm, y_mm), abs=2e-5)


def _area(points: list) -> float:
    """Signed area; counter-clockwise is positive."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, [*points[1:], points[0]], strict=True)) / 2


def test_counters_run_against_outer_edges(drawings: dict[str, bytes]) -> None:
    space = read_dxf(drawings["signs/HH-01-101-C.dxf"]).modelspace()
    areas = [_area([(x, y) for x, y, *_ in path]) for path in space.query('LWPOLYLINE[layer=="RAISED_OUTLINE"]')]
    assert sum(area > 0 for area in areas) == 8  # 1 0 1 L O B B Y
    assert sum(area < 0 for area in areas) == 4  # 0 O B B


def test_reference_square_is_one_inch_beside_the_plate(drawings: dict[str, bytes]) -> None:
    square = read_dxf(drawings["signs/HH-01-102-C.dxf"]).modelspace().query('LWPOLYLINE[layer=="REF"]')
    box = ezdxf.bbox.extents(square)
    assert (box.size.x, box.size.y) == pytest.approx((1, 1), abs=1e-9)
    assert box.extmin.x > 8
    assert box.extmin.y == 0


def decode(centers: list[tuple[float, float]], dot_pitch: float, cell_pitch: float, line_pitch: float) -> list[str]:
    """Read braille from dot centers, by the numbering of a cell (dots 1 2 3 down the left, 4 5 6 down the right).

    Needs a top-row dot in each line and a left-column dot in each line's first cell.
    """
    lines: list[str] = []
    rest = sorted(centers, key=lambda center: -center[1])
    while rest:
        top = rest[0][1]
        line = [center for center in rest if top - center[1] < (line_pitch + 2 * dot_pitch) / 2]
        rest = [center for center in rest if center not in line]
        left = min(x for x, _ in line)
        cells: dict[int, int] = {}
        for x, y in line:
            index, across = divmod(x - left + 1e-6, cell_pitch)
            number = round((top - y) / dot_pitch) + (3 if across > dot_pitch / 2 else 0)
            cells[int(index)] = cells.get(int(index), 0x2800) | 1 << number
        lines.append("".join(chr(cells.get(place, 0x2800)) for place in range(max(cells) + 1)))
    return lines


@pytest.mark.parametrize("place", [0, 1])
def test_braille_read_from_the_circles_is_the_braille_of_the_record(
    job: Job, drawings: dict[str, bytes], place: int
) -> None:
    record = job.signs[place]
    circles = read_dxf(drawings[record.files[0]]).modelspace().query('CIRCLE[layer=="BRAILLE_DRILL"]')
    centers = [(circle.dxf.center.x, circle.dxf.center.y) for circle in circles]
    # ADA 2010 Table 703.3.1, middle of each range, in inches.
    assert decode(centers, 0.095, 0.270, 0.3975) == [line.cells for line in record.braille]
    assert {circle.dxf.radius for circle in circles} == {0.0305}  # base diameter 0.061 in


def test_fixing_holes_are_circles_of_their_diameter(drawings: dict[str, bytes]) -> None:
    holes = read_dxf(drawings["signs/HH-01-102-C.dxf"]).modelspace().query('CIRCLE[layer=="FIXING_HOLES"]')
    assert sorted((hole.dxf.center.x, hole.dxf.center.y, hole.dxf.radius) for hole in holes) == [
        (0.375, 0.375, 0.09375),
        (0.375, 9.625, 0.09375),
        (7.625, 0.375, 0.09375),
        (7.625, 9.625, 0.09375),
    ]


def test_a_window_is_a_closed_path_on_its_own_layer(job: Job) -> None:
    windowed = with_layout(job, window=Box(left_mm=50.8, bottom_mm=76.2, right_mm=152.4, top_mm=88.9))
    first, *_ = SignDxf().render(windowed)
    (path,) = read_dxf(first.data).modelspace().query('LWPOLYLINE[layer=="WINDOW"]')
    assert path.closed
    assert [(x, y) for x, y, *_ in path] == [(2, 3), (6, 3), (6, 3.5), (2, 3.5)]


def test_every_field_of_a_layout_is_drawn_or_known_to_need_no_drawing() -> None:
    drawn = {
        "width_mm",
        "height_mm",
        "corner_radius_mm",
        "lines",
        "dots",
        "cell_size",
        "pictogram",
        "border",
        "holes",
        "window",
        "outline",
        "visual",
    }
    not_drawn = {"request", "template", "braille", "font", "build", "remedies", "flags", "fixing"}
    # A new field fails here, so that no writer can pass over a new kind of shape.
    assert {field.name for field in fields(SignLayout)} == drawn | not_drawn


def test_visual_text_has_its_own_layer_and_an_odd_plate_its_own_edge(job: Job) -> None:
    line = job.signs[0].layout.lines[0]
    flat = VisualLine(text=line.text, height_mm=line.height_mm, baseline_mm=line.baseline_mm, glyphs=line.glyphs)
    edge = ((0.0, 0.0), (203.2, 0.0), (101.6, 101.6))
    first, *_ = SignDxf().render(with_layout(job, lines=(), dots=(), visual=(flat,), outline=edge))
    space = read_dxf(first.data).modelspace()
    assert not space.query('LWPOLYLINE[layer=="RAISED_OUTLINE"]')
    assert len(space.query('LWPOLYLINE[layer=="VISUAL_TEXT"]')) == sum(len(g.outline.rings) for g in line.glyphs)
    (path,) = space.query('LWPOLYLINE[layer=="PLATE_EDGE"]')
    assert [(x, y) for x, y, *_ in path] == [(0, 0), (8, 0), (4, 4)]


def test_square_corners_and_full_round_corners(job: Job) -> None:
    square = draw_sign(replace(job.signs[0].layout, corner_radius_mm=0.0)).shapes[0].paths[0] / STEPS
    assert square.tolist() == [[0, 0], [8, 0], [8, 4], [0, 4]]
    slot = draw_sign(replace(job.signs[0].layout, corner_radius_mm=50.8)).shapes[0].paths[0] / STEPS
    ends = [math.hypot(max(abs(x - 4) - 2, 0), y - 2) for x, y in slot.tolist()]
    assert ends == pytest.approx([2.0] * len(slot), abs=2e-6)  # 8 x 4 in: two straight sides between two half circles


def _shown(drawing: Drawing) -> list[object]:
    return [
        (drawing.width, drawing.height),
        *((shape.layer, [path.tolist() for path in shape.paths]) for shape in drawing.shapes),
        *((group.layer, group.centers.tolist(), group.radius) for group in drawing.circles),
    ]


def test_signs_drawn_together_are_as_each_is_alone(job: Job) -> None:
    first, second = (record.layout for record in job.signs[:2])
    bare = replace(first, lines=(), dots=(), holes=(), pictogram=None, border=())
    layouts = [bare, second, first, bare]
    assert [_shown(drawing) for drawing in draw_signs(layouts)] == [_shown(draw_sign(layout)) for layout in layouts]
    assert draw_signs([]) == []


@pytest.mark.parametrize("writer", [SignDxf(), SignSvg()])
def test_one_hole_without_a_diameter_stops_the_writer(job: Job, writer: SignDxf) -> None:
    holes = (Hole(x_mm=25.4, y_mm=50.8, diameter_mm=0.0),)
    bad = sample.with_layout(job.signs[1], replace(job.signs[1].layout, holes=holes))
    with pytest.raises(ValueError, match=r"a hole at \(1.0, 2.0\) in has no diameter"):
        list(writer.render(replace(job, signs=(job.signs[0], bad))))


def test_holes_drilled_elsewhere_than_drawn_stop_the_writer(job: Job) -> None:
    bench = plan_bench(job, load_process())
    first = job.signs[0]
    made = first.work.holder.open()
    moved = InHand(made=replace(made, drilled=drill_rows(first.layout.dots[1:])))
    assert list(SignDxf().render(replace(job, bench=bench)))
    with pytest.raises(ValueError, match="in drilling order are not those of its braille"):
        list(
            SignDxf().render(replace(job, bench=bench, signs=(replace(first, work=replace(first.work, holder=moved)),)))
        )


@pytest.mark.parametrize(
    "bad_ring",
    [
        ((0.0, 0.0), (5.0, 0.0)),
        ((0.0, 0.0), (5.0, 0.0), (2.0, 0.0)),
        ((0.0, 0.0), (25.4, 50.8), (76.2, 152.4)),
        ((0.0, 0.0), (5.0, 0.0), (math.nan, 3.0)),
        (),
    ],
)
@pytest.mark.parametrize("writer", [SignDxf(), SignSvg()])
def test_a_shape_that_cannot_be_cut_stops_the_writer(job: Job, writer: SignDxf, bad_ring: tuple) -> None:
    first = job.signs[0].layout.lines[0]
    glyph = first.glyphs[0]
    outline = Outline(char="X", height_mm=10, rings=(bad_ring,), box=glyph.outline.box)
    line = replace(first, glyphs=(replace(glyph, outline=outline),))
    with pytest.raises(ValueError, match=r"cannot be cut|coordinate is nan"):
        list(writer.render(with_layout(job, lines=(line,))))


def test_repeated_points_are_not_written_twice(job: Job) -> None:
    first = job.signs[0].layout.lines[0]
    glyph = first.glyphs[0]
    ring = ((0.0, 0.0), (5.0, 0.0), (5.0, 1e-9), (5.0, 5.0), (0.0, 5.0), (0.0, 0.0))
    outline = Outline(char="X", height_mm=10, rings=(ring,), box=glyph.outline.box)
    layout = with_layout(job, lines=(replace(first, glyphs=(replace(glyph, outline=outline),)),)).signs[0].layout
    path = next(shape for shape in draw_sign(layout).shapes if shape.layer == "RAISED_OUTLINE").paths[0]
    assert len(path) == 4


@pytest.mark.parametrize(
    "change",
    [
        {"work": sample.no_work()},
        {"drawn_as": ()},
        {"flags": (Flag(code="rules/x", severity=Severity.HOLD, message="held"),)},
    ],
)
@pytest.mark.parametrize("writer", [SignDxf(), SignSvg()])
def test_a_contradictory_release_is_refused(job: Job, writer: SignDxf, change: dict) -> None:
    assert job.signs[0].status is Status.RELEASED
    with pytest.raises(ValueError, match="HH-01-101-C"):
        list(writer.render(replace(job, signs=(replace(job.signs[0], **change),))))


def test_svg_is_real_size_with_the_layer_names_and_words(drawings: dict[str, bytes]) -> None:
    root = ElementTree.fromstring(drawings["signs/HH-01-102-C.svg"])
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("8in", "10in", "0 0 8 10")
    assert {group.get("id") for group in root.iter(f"{SVG}g")} == LAYERS
    assert root.findtext(f"{SVG}title") == "HH-01-102-C"
    description = root.findtext(f"{SVG}desc") or ""
    assert description.startswith("102 / NIÑOS\n⠼⠁⠚⠃ / ⠝⠊⠻⠕⠎\n")
    assert "NOT A COMPLIANCE CERTIFICATE" in description
    assert not list(root.iter(f"{SVG}text"))
    assert not list(root.iter(f"{SVG}image"))


def test_svg_and_dxf_hold_the_same_corners_and_circles(drawings: dict[str, bytes]) -> None:
    for sign, height in (("HH-01-101-C", 4), ("HH-01-102-C", 10)):
        space = read_dxf(drawings[f"signs/{sign}.dxf"]).modelspace()
        root = ElementTree.fromstring(drawings[f"signs/{sign}.svg"])
        for group in root.iter(f"{SVG}g"):
            layer = group.get("id")
            circles = Counter(
                (round(float(c.get("cx")), 6), round(height - float(c.get("cy")), 6), round(float(c.get("r")), 6))
                for c in group.iter(f"{SVG}circle")
            )
            assert circles == Counter(
                (round(c.dxf.center.x, 6), round(c.dxf.center.y, 6), round(c.dxf.radius, 6))
                for c in space.query(f'CIRCLE[layer=="{layer}"]')
            )
            corners = Counter(
                (round(float(x), 6), round(height - float(y), 6))
                for path in group.iter(f"{SVG}path")
                for x, y in re.findall(r"([\d.-]+) ([\d.-]+)(?=[LAZM])", path.get("d"))
            )
            assert corners == Counter(
                (round(x, 6), round(y, 6)) for path in space.query(f'LWPOLYLINE[layer=="{layer}"]') for x, y, *_ in path
            )


needs_picture_tools = pytest.mark.skipif(
    not all(map(shutil.which, ("librecad", "rsvg-convert", "pdftoppm"))),
    reason="librecad, rsvg-convert and pdftoppm draw the pictures to compare",
)
DPI = 100


@needs_picture_tools
@pytest.mark.parametrize(("sign", "height"), [("HH-01-101-C", 4), ("HH-01-102-C", 10)])
def test_an_unrelated_cad_program_draws_what_the_svg_shows(
    drawings: dict[str, bytes], tmp_path: Path, sign: str, height: int
) -> None:
    """LibreCAD prints the DXF 1:1, librsvg draws the SVG's outlines; no ink of either is far from ink of the other."""
    (tmp_path / "dxf.dxf").write_bytes(drawings[f"signs/{sign}.dxf"])
    subprocess.run(
        ["librecad", "dxf2pdf", "-m", "-s", "1", "dxf.dxf"],
        cwd=tmp_path,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen", "XDG_RUNTIME_DIR": str(tmp_path), "HOME": str(tmp_path)},
        check=True,
        capture_output=True,
        timeout=120,
    )
    root = ElementTree.fromstring(drawings[f"signs/{sign}.svg"])
    # Plate, half an inch, reference square: the sheet the DXF declares.
    root.set("width", "9.5in")
    root.set("viewBox", f"0 0 9.5 {height}")
    for group in root.iter(f"{SVG}g"):
        group.set("visibility", "visible")
        group.set("style", "fill:none;stroke:#000;stroke-width:0.012")
    (tmp_path / "svg.svg").write_bytes(ElementTree.tostring(root))
    subprocess.run(["rsvg-convert", "-f", "pdf", "-o", "svg.pdf", "svg.svg"], cwd=tmp_path, check=True)
    ours, theirs = (_ink(tmp_path, name) for name in ("svg", "dxf"))
    assert ours.shape == theirs.shape
    assert ours.sum() > 1000
    assert theirs.sum() > 1000
    for a, b in ((ours, theirs), (theirs, ours)):
        stray = a & ~_grown(b, 3)  # 3 pixels at 100 to the inch: two line widths and the rounding of both
        # Half of a line on the edge of the sheet falls off it, and either program may drop the other half.
        assert stray[4:-4, 4:-4].sum() == 0


def _ink(folder: Path, name: str) -> numpy.ndarray:
    subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", f"{name}.pdf", name], cwd=folder, check=True)
    (path,) = folder.glob(f"{name}-*.pgm")
    header = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", path.read_bytes())
    assert header
    pixels = numpy.frombuffer(path.read_bytes()[header.end() :], dtype=numpy.uint8)
    return pixels.reshape(int(header[2]), int(header[1])) < 200


def _grown(ink: numpy.ndarray, by: int) -> numpy.ndarray:
    grown = numpy.zeros_like(ink)
    padded = numpy.pad(ink, by)
    rows, columns = ink.shape
    for down in range(2 * by + 1):
        for right in range(2 * by + 1):
            grown |= padded[down : down + rows, right : right + columns]
    return grown


@pytest.mark.skipif(not shutil.which("rsvg-convert"), reason="rsvg-convert draws the picture")
def test_the_picture_shows_light_letters_with_open_counters_on_a_dark_plate(
    drawings: dict[str, bytes], tmp_path: Path
) -> None:
    (tmp_path / "sign.svg").write_bytes(drawings["signs/HH-01-101-C.svg"])
    subprocess.run(["rsvg-convert", "-f", "pdf", "-o", "sign.pdf", "sign.svg"], cwd=tmp_path, check=True)
    subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", "sign.pdf", "sign"], cwd=tmp_path, check=True)
    (path,) = tmp_path.glob("sign-*.pgm")
    header = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", path.read_bytes())
    assert header
    assert (int(header[1]), int(header[2])) == (800, 400)  # 8 x 4 in at real size
    pixels = numpy.frombuffer(path.read_bytes()[header.end() :], dtype=numpy.uint8).reshape(400, 800)
    # The 0 of 101 stands in the middle: stroke, counter, stroke across its half height.
    row = pixels[400 - round((101.6 - 12.7 - 7.9) / 25.4 * 100), 370:430]
    runs = [light for light, before in zip(row > 200, [None, *(row[:-1] > 200)], strict=True) if light != before]
    assert [bool(light) for light in runs] == [False, True, False, True, False]
    assert pixels[5, 400] < 100
    assert pixels[0, 0] > 200  # outside the round corner


def test_the_same_job_gives_the_same_bytes_under_any_hash_seed(drawings: dict[str, bytes]) -> None:
    program = (
        "import hashlib, sys\n"
        f"sys.path.insert(0, {str(Path(__file__).resolve().parents[1] / 'golden')!r})\n"
        "from sample_job import sample_job\n"
        "from schedule2sign.writers.registry import WRITERS\n"
        "for writer in WRITERS:\n"
        "    for file in writer.render(sample_job()):\n"
        "        print(hashlib.sha256(file.data).hexdigest(), file.path)\n"
    )
    runs = {
        subprocess.run(
            [sys.executable, "-c", program],
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": locale},
            check=True,
            capture_output=True,
            text=True,
        ).stdout
        for seed, zone, locale in (("1", "UTC", "C.UTF-8"), ("2", "Pacific/Auckland", "C"))
    }
    assert len(runs) == 1
    listed = runs.pop()
    for path, data in drawings.items():
        assert f"{hashlib.sha256(data).hexdigest()} {path}" in listed


def test_design_hash_knows_what_is_cut_and_nothing_else(job: Job) -> None:
    layout = job.signs[0].layout
    elsewhere = replace(layout, request=replace(layout.request, sign_id="HH-02-201-C", door="201"), template="other")
    assert design_hash(elsewhere) == design_hash(layout)
    line = layout.lines[0]
    glyph = line.glyphs[0]
    outline = replace(glyph.outline, rings=(tuple((x, y + 0.001) for x, y in glyph.outline.rings[0]),))
    changed = [
        replace(layout, width_mm=layout.width_mm + 0.001),
        replace(layout, corner_radius_mm=0.0),
        replace(layout, lines=(replace(line, text="1O1"), *layout.lines[1:])),
        replace(layout, lines=(replace(line, glyphs=(replace(glyph, x_mm=glyph.x_mm + 0.001),)), *layout.lines[1:])),
        replace(layout, lines=(replace(line, glyphs=(replace(glyph, outline=outline),)), *layout.lines[1:])),
        replace(layout, dots=layout.dots[1:]),
        replace(layout, braille=layout.braille[1:]),
        replace(layout, build=replace(layout.build, base_color="navy")),
        replace(layout, build=replace(layout.build, raised_mm=1.0)),
        replace(layout, holes=job.signs[1].layout.holes),
        replace(layout, border=job.signs[1].layout.border),
        replace(layout, pictogram=job.signs[1].layout.pictogram),
        replace(layout, window=Box(left_mm=50, bottom_mm=60, right_mm=150, top_mm=80)),
    ]
    hashes = {design_hash(layout), *map(design_hash, changed)}
    assert len(hashes) == len(changed) + 1
    finer = replace(layout, width_mm=layout.width_mm + 1e-6)
    assert design_hash(finer) == design_hash(layout)
