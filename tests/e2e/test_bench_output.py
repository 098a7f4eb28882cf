"""What a shop gets, read back by other programs: ezdxf and shapely for the drawings, poppler for the papers.

Bench values: letters 0.035 in deep, tip 0.010 in; holes 0.042 in deep; seven clicks of 0.001 in apart (common practice, no
source). Included angle 30 degrees, drill 0.0615 in and point 118 degrees are the shipped profile's assumptions.
"""

import itertools
import json
import math
import re
import shutil
import subprocess
from collections import Counter
from functools import cache
from pathlib import Path

import ezdxf
import pytest
import shapely
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from schedule2sign.cli.main import main

IN = 25.4
GROOVE_IN = 0.010 + 2 * 0.035 * math.tan(math.radians(30 / 2))  # width at the face of a tapered cutter
DRILL_RADIUS_IN = 0.0615 / 2
NEAR_IN = 0.02 / IN  # 0.02 mm
GAP_IN, MARGIN_IN = 0.25, 0.5

SCHEDULE = """\
DOOR,ROOM NO,ROOM NAME,LEVEL,HAND
101,101,CONFERENCE ROOM,LEVEL 1,LH
102,102,MEN,LEVEL 1,RH
103,103,WOMEN,LEVEL 1,LHR
104,104,WAREHOUSE,LEVEL 1,
105,105,MEZZANINE MARKETING,LEVEL 1,RHR
201,201,BREAK ROOM,LEVEL 2,LH
202,202,STORAGE 8,LEVEL 2,PR
203,203,XQZVW,LEVEL 2,LH
204,204,KITCHEN,LEVEL 2,RH
"""
JOB = """\
[job]
id = "BT1"
title = "Bench test hall"
numbers = "final"
suffix = "door"
"""


def build(folder: Path, job: str = JOB, schedule: str = SCHEDULE) -> tuple[int, Path]:
    folder.mkdir(exist_ok=True)
    (folder / "doors.csv").write_text(schedule, encoding="utf-8")
    (folder / "job.toml").write_text(job, encoding="utf-8")
    out = folder / "out"
    arguments = ["build", folder / "doors.csv", "--job", folder / "job.toml", "-o", out, "--quiet"]
    return main([str(argument) for argument in arguments]), out


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    code, folder = build(tmp_path_factory.mktemp("bench"))
    assert code == 1  # XQZVW is held
    return folder


@pytest.fixture(scope="module")
def manifest(out: Path) -> dict:
    return json.loads((out / "manifest.json").read_text(encoding="utf-8"))


@cache
def read_dxf(path: Path) -> dict[str, list]:
    """Layer -> rings, circles (x, y, radius) and open runs, as another reader sees them; arcs flattened to 0.0001 in."""
    layers: dict[str, list] = {}
    for entity in ezdxf.readfile(path).modelspace():
        drawn = layers.setdefault(entity.dxf.layer, [])
        if entity.dxftype() == "CIRCLE":
            drawn.append((entity.dxf.center.x, entity.dxf.center.y, entity.dxf.radius))
        elif entity.closed:
            points = ezdxf.path.make_path(entity).flattening(0.0001)
            drawn.append(shapely.LinearRing([(point.x, point.y) for point in points]))
        else:
            drawn.append(shapely.LineString([(x, y) for x, y, *_ in entity.get_points()]))
    return layers


def fill(rings: list[shapely.LinearRing]) -> BaseGeometry:
    """Even-odd."""
    shape: BaseGeometry = shapely.Polygon()
    for ring in rings:
        shape = shape.symmetric_difference(shapely.Polygon(ring))
    return shape


def sign_files(out: Path) -> list[Path]:
    return sorted((out / "signs").glob("*.dxf"))


def stock_files(out: Path) -> list[Path]:
    return sorted(path for path in (out / "sheets").glob("*.dxf") if "raised-sheet" not in path.name)


class TestCutPaths:
    def test_the_groove_gives_back_the_letter(self, out):
        """Center lines buffered by the cutter at depth leave the letter within 0.02 mm, save where it cannot reach."""
        unreachable = Counter()
        assert len(sign_files(out)) >= 7
        for path in sign_files(out):
            layers = read_dxf(path)
            letters = fill(layers["RAISED_OUTLINE"] + layers.get("PICTOGRAM", []))
            lines = layers["RAISED_CUT"]
            # Between a path and its counters' paths stands what the groove leaves.
            left = fill(lines).difference(
                shapely.union_all([ring.buffer(GROOVE_IN / 2, quad_segs=32) for ring in lines])
            )
            assert letters.difference(left.buffer(NEAR_IN)).is_empty, path.name
            beyond = left.difference(letters.buffer(NEAR_IN))
            # Only an inner corner, into which no circle of the groove's width fits, may keep plastic.
            corners = letters.buffer(GROOVE_IN / 2, quad_segs=32).buffer(-GROOVE_IN / 2, quad_segs=32)
            assert beyond.difference(corners.buffer(NEAR_IN)).is_empty, path.name
            for letter in getattr(letters, "geoms", [letters]):
                share = beyond.intersection(letter.buffer(GROOVE_IN)).area / letter.area
                assert share < 0.05, (path.name, share)
                unreachable[path.name] += share > 0.001
        assert unreachable["BT1-01-105-C.dxf"] > 0  # M, N, Z and K have corners that stay round

    def test_a_path_off_by_a_thousandth_would_be_seen(self, out):
        layers = read_dxf(out / "signs" / "BT1-01-101-C.dxf")
        letters, lines = fill(layers["RAISED_OUTLINE"]), layers["RAISED_CUT"]
        wider = GROOVE_IN / 2 + 0.001
        left = fill(lines).difference(shapely.union_all([ring.buffer(wider) for ring in lines]))
        assert not letters.difference(left.buffer(NEAR_IN)).is_empty

    def test_every_path_is_on_one_side_of_the_compensation(self, out):
        """No center line lies on a finished edge, and each file says which layer is which."""
        for path in sign_files(out):
            layers = read_dxf(path)
            edges = shapely.union_all(layers["RAISED_OUTLINE"] + layers.get("PICTOGRAM", []))
            for ring in layers["RAISED_CUT"]:
                assert edges.distance(ring) == pytest.approx(GROOVE_IN / 2, abs=0.0005)
            text = path.read_text(encoding="ascii")
            assert "PATH=CENTERLINE, COMP OFF on layer RAISED_CUT" in text
            assert "PATH=EDGE on all layers but RAISED_CUT" in text
            assert "never both" in text

    def test_counters_come_before_outlines_and_corners_are_few(self, out):
        for path in sign_files(out):
            rings = read_dxf(path)["RAISED_CUT"]
            for index, ring in enumerate(rings):
                inside = [n for n, other in enumerate(rings) if n != index and shapely.Polygon(ring).contains(other)]
                assert all(n < index for n in inside), path.name
        entities = ezdxf.readfile(sign_files(out)[0]).modelspace().query("LWPOLYLINE[layer=='RAISED_CUT']")
        assert max(len(entity) for entity in entities) < 300

    def test_no_hole_breaks_into_an_edge_or_a_letter(self, out):
        drilled = 0
        for path in sign_files(out):
            layers = read_dxf(path)
            walls = shapely.union_all(
                [
                    ring
                    for name in ("PLATE_EDGE", "RAISED_OUTLINE", "PICTOGRAM", "WINDOW")
                    for ring in layers.get(name, [])
                ]
            )
            for x, y, _ in layers.get("BRAILLE_DRILL", []):
                assert walls.distance(shapely.Point(x, y)) > DRILL_RADIUS_IN
                drilled += 1
        assert drilled > 100


class TestSheets:
    def test_plates_do_not_overlap_and_keep_gap_and_margin(self, out):
        for path in stock_files(out):
            layers = read_dxf(path)
            plates = [shapely.Polygon(ring) for ring in layers["PLATE_EDGE"]]
            inside = shapely.box(MARGIN_IN, MARGIN_IN, 24 - MARGIN_IN, 24 - MARGIN_IN).buffer(1e-5)
            assert all(inside.contains(plate) for plate in plates)
            for index, plate in enumerate(plates):
                assert all(plate.distance(other) >= GAP_IN - 1e-5 for other in plates[:index])
            # The plate cutter's groove touches no plate and leaves its own edge standing.
            for ring in layers["PLATE_CUT"]:
                groove = ring.buffer(0.125 / 2)
                assert all(groove.intersection(plate.buffer(-0.0008)).is_empty for plate in plates)

    def test_every_piece_lies_on_a_sheet_with_the_operations_of_its_own_file(self, out, manifest):
        signs = {sign["id"]: sign for sign in manifest["signs"]}
        placed = Counter()
        for sheet in manifest["bench"]["sheets"]:
            layers = read_dxf(out / sheet["file"])
            if "PATCH_EDGE" in layers and "RAISED_CUT" not in layers and "PLATE_EDGE" not in layers:
                continue
            cuts, holes = layers.get("RAISED_CUT", []), layers.get("BRAILLE_DRILL", [])
            expected_cuts, expected_holes = [], []
            for plate in sheet["plates"]:
                sign_id, _, x, y, *turned = plate.split()
                if sign_id == "spare":
                    continue
                placed[sign_id] += 1
                x, y, height = float(x) / IN, float(y) / IN, signs[sign_id]["height_mm"] / IN
                # A quarter turn counter-clockwise about the corner, then moved back onto the plate's place.
                matrix = [0, -1, 1, 0, x + height, y] if turned else [1, 0, 0, 1, x, y]
                own = read_dxf(out / "signs" / f"{sign_id}.dxf")
                expected_cuts += [affine_transform(ring, matrix) for ring in own["RAISED_CUT"]]
                expected_holes += [affine_transform(shapely.Point(a, b), matrix) for a, b, _ in own["BRAILLE_DRILL"]]
            assert len(cuts) == len(expected_cuts)
            for cut, expected in zip(cuts, expected_cuts, strict=True):
                assert cut.hausdorff_distance(expected) < 1e-5
            assert len(holes) == len(expected_holes)
            drilled = shapely.MultiPoint([(x, y) for x, y, _ in holes])
            assert drilled.hausdorff_distance(shapely.MultiPoint(expected_holes)) < 1e-5
        released = {sign["id"]: sign["quantity"] for sign in manifest["signs"] if sign["status"] == "released"}
        assert placed == released

    def test_every_plate_carries_its_id_outside_itself(self, out):
        for path in stock_files(out):
            layers = read_dxf(path)
            plates = shapely.union_all([shapely.Polygon(ring) for ring in layers["PLATE_EDGE"]])
            assert layers["PLATE_ID"]
            assert all(stroke.disjoint(plates) for stroke in layers["PLATE_ID"])

    def test_patches_lie_apart_and_off_the_braille(self, out):
        apart = list((out / "sheets").glob("raised-sheet-*.dxf"))
        patches = [shapely.Polygon(ring) for path in apart for ring in read_dxf(path)["PATCH_EDGE"]]
        for path in apart:
            rings = [shapely.Polygon(ring) for ring in read_dxf(path)["PATCH_EDGE"]]
            assert all(a.intersection(b).area < 1e-9 for i, a in enumerate(rings) for b in rings[:i])
        on_plates = 0
        for path in stock_files(out):
            layers = read_dxf(path)
            laid = [shapely.Polygon(ring) for ring in layers.get("PATCH_EDGE", [])]
            on_plates += len(laid)
            cover = shapely.union_all(laid)
            assert all(cover.contains(ring) for ring in layers.get("RAISED_CUT", []))
            for x, y, _ in layers.get("BRAILLE_DRILL", []):
                assert cover.distance(shapely.Point(x, y)) > 0
        assert len(patches) == on_plates > 7

    def test_the_used_share_is_the_area(self, out, manifest):
        for sheet in manifest["bench"]["sheets"]:
            if "raised" in sheet["file"]:
                continue
            rings = read_dxf(out / sheet["file"])["PLATE_EDGE"]
            boxes = sum((r - left) * (t - b) for left, b, r, t in (ring.bounds for ring in rings))
            assert sheet["used_share"] == pytest.approx(boxes / (23 * 23), abs=1e-3)


def test_the_reference_square_is_in_every_drawing(out):
    paths = list(out.rglob("*.dxf"))
    assert len(paths) > 10
    for path in paths:
        (square,) = read_dxf(path)["REF"]
        assert square.bounds[2] - square.bounds[0] == pytest.approx(1, abs=1e-6)
        assert square.length == pytest.approx(4, abs=1e-6)


def test_the_coupon_is_a_ladder_of_three_depths(out):
    path = out / "bench" / "test-coupon.dxf"
    layers = read_dxf(path)
    text = path.read_text(encoding="ascii")
    for name, depth in (("A", "0.04 in"), ("B", "0.042 in"), ("C", "0.044 in")):
        cell = layers[f"BRAILLE_DRILL_{name}"]
        assert len(cell) == 6
        assert f"BRAILLE_DRILL_{name}: cell {name}, drilled {depth} deep" in text
        across = max(x for x, _, _ in cell) - min(x for x, _, _ in cell)
        assert 0.090 <= across <= 0.100  # 2010 ADA Standards, Table 703.3.1
    assert layers["RAISED_CUT"]


def test_a_held_sign_is_on_no_file_of_the_bench(out, manifest):
    held = [sign["id"] for sign in manifest["signs"] if sign["status"] == "held"]
    assert held == ["BT1-02-203-C"]
    for path in [*(out / "bench").iterdir(), *(out / "sheets").iterdir(), *(out / "signs").iterdir()]:
        assert held[0] not in path.name
        assert held[0].encode() not in path.read_bytes()


needs_poppler = pytest.mark.skipif(not shutil.which("pdftotext"), reason="pdftotext and pdffonts read the papers")


@cache
def text_of(path: Path) -> str:
    result = subprocess.run(["pdftotext", "-raw", path, "-"], check=True, capture_output=True, text=True)
    return re.sub(r"\s+", " ", result.stdout)


@needs_poppler
class TestPapers:
    @pytest.mark.parametrize("name", ["setup-sheet", "inspection", "packing-list", "installer-list", "labels"])
    def test_fonts_are_embedded_and_no_clock_is_in_the_file(self, out, name):
        path = out / "bench" / f"{name}.pdf"
        rows = subprocess.run(["pdffonts", path], check=True, capture_output=True, text=True).stdout.splitlines()[2:]
        assert rows
        assert all(row.split()[-5] == "yes" for row in rows), rows
        assert not re.search(
            rb"/(CreationDate|ModDate)\b|D:\d{4}", path.read_bytes()
        )  # ISO 32000-1, 7.9.4 and table 317

    def test_the_setup_sheet_sets_the_dial(self, out):
        """42 - 7 = 35: one dial setting for both cutters (common practice); dome 0.0257 by R + R/sin(P/2) - D."""
        text = text_of(out / "bench" / "setup-sheet.pdf")
        assert "42 clicks = 1 turn(s) + 17 clicks" in text
        assert "42 - 7 = 35 clicks = 0.0350 in deep" in text
        radius = 0.0625 / 2
        assert f"{radius + radius / math.sin(math.radians(59)) - 0.042:.4f} in" == "0.0257 in"
        assert "0.0257 in (window 0.025 in to 0.037 in" in text
        for said in ("vacuum OFF", "eye protection", "lock out", "Extraction", "ASSUMED", "compensation OFF"):
            assert said.lower() in text.lower()
        assert "0.070 read as milliseconds is no dwell" in text
        for sheet in (out / "sheets").iterdir():
            assert sheet.name in text

    def test_the_inspection_shows_every_sign_and_its_braille(self, out, manifest):
        path = out / "bench" / "inspection.pdf"
        text = text_of(path)
        dots = 0
        for sign in manifest["signs"]:
            if sign["status"] != "released":
                continue
            cells = "".join(line["cells"] for line in sign["braille"])
            count = sum((ord(cell) - 0x2800).bit_count() for cell in cells)
            dots += count
            assert re.search(rf"{sign['id']}: [0-9.]+ x [0-9.]+ in, {count} dots", text), sign["id"]
        assert 'reads back "conference room"' in text
        # Black disks of the page's own drawing: lines of no length as wide as a dot, drawn at real size.
        points = self.disks(path.read_bytes())
        assert len(points) == dots
        steps = Counter(round((b[0] - a[0]) / 72, 4) for a, b in itertools.pairwise(points) if a[1] == b[1])
        assert steps.most_common(1)[0][0] == pytest.approx(0.095, abs=0.001)

    def disks(self, data: bytes) -> list[tuple[float, float]]:
        """Centers of black zero-length strokes, page by page, in points."""
        color, found = "", []
        for line in data.decode("latin-1").splitlines():
            if line.endswith(" RG"):
                color = line
            for x, y, a, b in re.findall(r"([-0-9.]+) ([-0-9.]+) m ([-0-9.]+) ([-0-9.]+) l", line):
                if (x, y) == (a, b) and color.startswith("0 0 0"):
                    found.append((float(x), float(y)))
        return found

    def test_the_installer_learns_door_side_and_heights(self, out):
        text = text_of(out / "bench" / "installer-list.pdf")
        assert "as you face it from the corridor" in text
        assert "FIELD CHECK" in text  # 104 has no hand
        assert text.index("LEVEL 1") < text.index("LEVEL 2")
        assert "authority having jurisdiction" in text

    def test_labels_and_packing_list_hold_every_piece(self, out, manifest):
        pieces = [s["id"] for s in manifest["signs"] if s["status"] == "released" for _ in range(s["quantity"])]
        for name in ("labels", "packing-list"):
            text = text_of(out / "bench" / f"{name}.pdf")
            assert Counter(re.findall(r"BT1-\d\d-\d+-[A-Z]", text)) == Counter(pieces)

    def test_no_paper_promises_what_nobody_can(self, out):
        for path in (out / "bench").glob("*.pdf"):
            text = text_of(path).replace("NOT A COMPLIANCE CERTIFICATE", "")
            assert not re.search(r"(?i)complian|certif|guarante|code approved", text), path.name


@pytest.mark.skipif(not shutil.which("soffice"), reason="LibreOffice calculates the workbook")
def test_the_take_off_calculates_in_a_spreadsheet(out, manifest, tmp_path):
    """LibreOffice's results are the counts of the cells; a buyer's change of a yellow cell carries through."""
    import csv

    from openpyxl import load_workbook

    book = load_workbook(out / "take-off.xlsx")
    page = book.active
    heads = {cell.value: cell.column for cell in page[4]}
    ball = next(row for row in range(5, page.max_row) if str(page.cell(row=row, column=1).value).startswith("Ball"))
    page.cell(row=ball, column=heads["Spare at least"]).value = 1000
    page.cell(row=ball, column=heads["Unit price"]).value = 0.5
    book.save(tmp_path / "changed.xlsx")
    shutil.copy(out / "take-off.xlsx", tmp_path / "given.xlsx")
    office = ("soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless")
    subprocess.run(
        [*office, "--convert-to", "csv", "--outdir", tmp_path, tmp_path / "given.xlsx", tmp_path / "changed.xlsx"],
        check=True,
        capture_output=True,
        timeout=180,
    )
    tables = {}
    for name in ("given", "changed"):
        with (tmp_path / f"{name}.csv").open(encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))[3:]
        tables[name] = {row[0]: dict(zip(rows[0], row, strict=True)) for row in rows[1:]}
    released = [sign for sign in manifest["signs"] if sign["status"] == "released"]
    cells = [cell for sign in released for line in sign["braille"] for cell in line["cells"] * sign["quantity"]]
    dots = sum((ord(cell) - 0x2800).bit_count() for cell in cells)
    given, changed = tables["given"], tables["changed"]
    assert int(given["Pieces"]["Total"]) == sum(sign["quantity"] for sign in released)
    ball = given["Ball 0.0625 in"]
    assert int(ball["Total"]) == dots
    assert int(ball["LEVEL 1"]) + int(ball["LEVEL 2"]) == dots
    # Common practice: a tenth more and at least 200, the scrap test's 3, whole packs of 500.
    assert int(ball["To order"]) == math.ceil((dots + 3 + max(math.ceil((dots + 3) * 0.1), 200)) / 500) * 500
    order = math.ceil((dots + 3 + 1000) / 500) * 500
    assert int(changed["Ball 0.0625 in"]["To order"]) == order
    assert float(changed["Material cost"]["Cost"]) == order * 0.5
    plates = sum(int(row["To order"]) for item, row in given.items() if re.match(r"Plate \d", item))
    stock = [sheet for sheet in manifest["bench"]["sheets"] if "raised" not in sheet["file"]]
    assert plates == sum(len(sheet["plates"]) for sheet in stock)


class TestProcessInTheJobFile:
    SMALL = "DOOR,ROOM NO,ROOM NAME\n101,101,STORAGE\n"

    def run(self, tmp_path, process, capsys):
        code, out = build(tmp_path, JOB + process, self.SMALL)
        return code, out, capsys.readouterr().err

    @pytest.mark.parametrize(
        ("missing", "why"),
        [
            ("drill.point_angle_deg", "dome height"),
            ("sphere.diameter", "dome height"),
            ("letter_cutter.included_angle_deg", "how wide the cutter cuts"),
        ],
    )
    def test_a_profile_without_what_decides_is_exit_2(self, tmp_path, capsys, missing, why):
        from importlib.resources import files

        text = (files("schedule2sign.production") / "profiles" / "applique-rotary.toml").read_text(encoding="utf-8")
        section, key = missing.split(".")
        head, mark, tail = text.partition(f"[{section}]\n")
        tail = re.sub(rf"^{key} = .*\n", "", tail, count=1, flags=re.MULTILINE)
        text = (head + mark + tail).replace(f'    "{missing}",\n', "")
        (tmp_path / "own.toml").write_text(text, encoding="utf-8")
        code, out, error = self.run(tmp_path, f'\n[process]\nid = "{tmp_path / "own.toml"}"\n', capsys)
        assert code == 2
        assert f"{missing} is missing" in error
        assert why in error
        assert not out.exists()

    def test_a_wrong_key_is_exit_2(self, tmp_path, capsys):
        code, _, error = self.run(tmp_path, "\n[process.drill]\nangle = 118\n", capsys)
        assert code == 2
        assert "[drill] has 'angle'" in error

    def test_numbers_of_the_job_reach_the_file_in_either_unit(self, tmp_path, capsys):
        process = """
[process]
id = "applique-rotary"
unit = "mm"
[process.letter_cutter]
included_angle_deg = 40
[process.letter_cut]
depth = "0.9 mm"
[process.drilling]
depth = "solve"
[process.drill]
point_angle_deg = 110
"""
        code, out, error = self.run(tmp_path, process, capsys)
        assert code == 0, error
        record = json.loads((out / "manifest.json").read_text(encoding="utf-8"))["bench"]
        groove = 0.254 + 2 * 0.9 * math.tan(math.radians(20))
        assert record["paths"]["RAISED_CUT"]["offset_mm"] == pytest.approx(groove / 2, abs=1e-4)
        assert "drill.point_angle_deg" in record["process"]["said_by_the_job"]
        assert "drill.point_angle_deg" not in record["process"]["assumed"]
        assert record["dial"]["drill_clicks"] == 41  # 110 degrees, aim 0.028: 0.0414 in, common geometry
        (path,) = (out / "signs").glob("*.dxf")
        layers = read_dxf(path)
        edges = shapely.union_all(layers["RAISED_OUTLINE"])
        assert all(edges.distance(ring) * IN == pytest.approx(groove / 2, abs=0.0127) for ring in layers["RAISED_CUT"])

    def test_a_flat_drill_holds_every_sign_with_the_reason(self, tmp_path, capsys):
        """Flat bottom at 0.042: dome 0.0205, under 0.025 (2010 ADA Standards, Table 703.3.1)."""
        code, out, _ = self.run(tmp_path, "\n[process.drill]\npoint_angle_deg = 180\n", capsys)
        assert code == 1
        assert not (out / "sheets").exists()
        assert not (out / "bench").exists()
        (sign,) = json.loads((out / "manifest.json").read_text(encoding="utf-8"))["signs"]
        assert [f["code"] for f in sign["flags"] if f["severity"] == "HOLD"] == ["production/dome-outside-window"]
        assert "0.0205 in" in (out / "flagged.csv").read_text(encoding="utf-8")

    def test_assumptions_are_asked_once_a_job(self, out, manifest):
        codes = Counter(flag["code"] for flag in manifest["flags"])
        assert codes["production/assumed-values"] == 1
        assert codes["production/dome-near-edge"] == 1


class TestProcessesCommand:
    def test_list_and_one(self, capsys):
        assert main(["processes"]) == 0
        assert [line.split()[0] for line in capsys.readouterr().out.splitlines()] == [
            "applique-rotary",
            "applique-router",
            "solid-router",
        ]
        assert main(["processes", "applique-rotary", "--json"]) == 0
        document = json.loads(capsys.readouterr().out)
        values = {row["key"]: (row["value"], row["basis"]) for row in document["values"]}
        assert values["drilling.depth"] == ("0.0420 in", "process profile")
        assert values["drill.point_angle_deg"] == ("118 degrees", "ASSUMED: confirm")

    def test_with_the_job_over_it(self, tmp_path, capsys):
        (tmp_path / "job.toml").write_text("[process.drill]\npoint_angle_deg = 110\n", encoding="utf-8")
        assert main(["processes", "--job", str(tmp_path / "job.toml")]) == 0
        line = next(text for text in capsys.readouterr().out.splitlines() if text.startswith("drill.point_angle_deg"))
        assert "110 degrees" in line
        assert "said by the shop" in line

    def test_no_such_profile_is_exit_2(self, capsys):
        assert main(["processes", "nothing"]) == 2
        assert "Shipped: applique-rotary" in capsys.readouterr().err
