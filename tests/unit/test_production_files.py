"""Writers of the bench on hand-made jobs: quantities, borders, spare blanks, odd names, pages that hold any text."""

import importlib.util
import io
import itertools
import math
import re
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path

import ezdxf
import pytest
import shapely

from schedule2sign.errors import InputError
from schedule2sign.production.keys import nest_keys
from schedule2sign.production.nesting import Piece, check_stock, nest_plates, safe_name
from schedule2sign.production.plan import plan_bench
from schedule2sign.production.process import load_process
from schedule2sign.production.touring import shorten_tour
from schedule2sign.settings import load_settings
from schedule2sign.writers.bench_papers import BenchPapers
from schedule2sign.writers.bench_record import describe_bench
from schedule2sign.writers.coupon import CouponDxf
from schedule2sign.writers.pdf import PageSetup, render_pdf
from schedule2sign.writers.pdfblocks import paragraph
from schedule2sign.writers.pdffont import pdf_text
from schedule2sign.writers.pdftable import grid
from schedule2sign.writers.rings import split_paths
from schedule2sign.writers.sheets import Sheets
from schedule2sign.writers.sign_dxf import SignDxf
from schedule2sign.writers.strokes import write_strokes
from schedule2sign.writers.take_off import TakeOff

IN = 25.4


@cache
def sample():
    path = Path(__file__).resolve().parents[1] / "golden" / "sample_job.py"
    spec = importlib.util.spec_from_file_location("production_files_sample_job", path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@cache
def planned(**overrides):
    process = load_process(overrides=dict(overrides))
    job = sample().made_with(sample().sample_job(), process)
    return replace(job, bench=plan_bench(job, process))


def files_of(job, *writers):
    return {file.path: file.data for writer in writers for file in writer.render(job)}


def read(data: bytes):
    return ezdxf.read(io.StringIO(data.decode("ascii"), newline=None)).modelspace()


class TestSheets:
    def test_each_copy_lies_on_a_sheet_under_its_own_number(self):
        job = planned()
        labels = [
            f"{plate.sign_id} {plate.copy}"
            for nest in job.bench.nests
            for sheet in nest.sheets
            for plate in sheet.plates
            if plate.sign_id
        ]
        assert sorted(labels) == ["HH-01-101-C 1", "HH-01-101-C 2", "HH-01-102-C 1"]
        files = files_of(job, Sheets())
        assert list(files) == [
            f"sheets/{s.name}.dxf" for n in (*job.bench.nests, *job.bench.patch_nests) for s in n.sheets
        ]

    def test_a_border_and_a_pictogram_are_cut_too(self):
        job = planned()
        (path,) = [path for path in files_of(job, SignDxf()) if "102" in path]
        space = read(files_of(job, SignDxf())[path])
        outlines = len(space.query("LWPOLYLINE[layer=='RAISED_OUTLINE' | layer=='PICTOGRAM']"))
        assert len(space.query("LWPOLYLINE[layer=='RAISED_CUT']")) == outlines

    def test_without_a_plan_the_sign_has_edges_only(self):
        job = sample().sample_job()
        data = next(iter(files_of(job, SignDxf()).values()))
        assert {e.dxf.layer for e in read(data)}.isdisjoint({"RAISED_CUT", "PLATE_CUT"})
        assert b"PATH=EDGE: paths are the true finished edges" in data
        assert files_of(job, Sheets(), CouponDxf(), BenchPapers(), TakeOff()) == {}
        assert describe_bench(job) is None

    def test_braille_stands_in_drilling_order(self):
        """Line by line, in a line row by row from the top, in a row left to right: no dot is reached from the right."""
        job = planned()
        for data in files_of(job, SignDxf()).values():
            dots = [circle.dxf.center for circle in read(data).query("CIRCLE[layer=='BRAILLE_DRILL']")]
            rows = [(round(dot.y, 5), dot.x) for dot in dots]
            assert rows == sorted(rows, key=lambda row: (-row[0], row[1]))

    def test_stocks_that_would_share_a_name_do_not(self):
        plates = [
            Piece(sign_id=f"A-{number}", copy=1, width_mm=100, height_mm=100, stock=stock)
            for number, stock in enumerate(("dark/blue, 3 mm", "dark blue; 3 mm", "Dark Blue 3 MM"))
        ]
        names = [sheet.name for nest in nest_plates(plates, load_process().stock) for sheet in nest.sheets]
        assert names == ["dark-blue-3-mm-01", "dark-blue-3-mm-2x-01", "dark-blue-3-mm-3x-01"]

    @pytest.mark.parametrize("name", ["../../etc", "CON", "белый, 3 mm", "", "a" * 300, "x:y*z?"])
    def test_a_name_is_safe_on_any_disk(self, name):
        assert re.fullmatch(r"[a-z0-9][a-z0-9-]{0,31}", safe_name(name))

    def test_a_plate_no_sheet_can_hold_is_held_not_a_crash(self):
        (flag,) = check_stock("plate", 30 * IN, 4 * IN, load_process().stock)
        assert (flag.code, flag.severity) == ("production/plate-too-large", "HOLD")
        assert "30.00 in" in flag.measured
        assert check_stock("plate", 11 * IN, 23 * IN, load_process().stock) == ()


class TestTour:
    def test_shorter_than_the_order_given_and_a_permutation(self):
        points = [(float(7 * i % 11), float(5 * i % 13)) for i in range(20)]
        order = shorten_tour(points)
        assert sorted(order) == list(range(20))

        def way(indices):
            return sum(math.dist(points[a], points[b]) for a, b in itertools.pairwise(indices))

        assert way(order) < way(range(20))

    def test_four_corners_are_walked_round(self):
        """From the corner (0, 0) the best open way along a rectangle leaves out one long side (computed)."""
        assert shorten_tour([(0, 0), (10, 3), (10, 0), (0, 3)]) == (0, 3, 1, 2)

    def test_nothing_and_one(self):
        assert shorten_tour([]) == ()
        assert shorten_tour([(5, 5)]) == (0,)


class TestStrokes:
    def runs_of(self, text: str, height: float) -> list[list[list[float]]]:
        strokes = write_strokes(text, "X", 0, 0, height, 100)
        return [run.tolist() for run in split_paths(strokes.corners, strokes.lengths)]

    def test_every_character_of_a_sign_id_has_strokes(self):
        for character in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.()":
            runs = self.runs_of(character, 0.6)
            assert runs
            ring = ((0, 0), (0.4, 0), (0.4, 0.6), (0, 0.6))
            inside = shapely.Polygon(ring).buffer(1e-9)
            assert all(inside.contains(shapely.LineString(run)) for run in runs)

    def test_all_look_different(self):
        drawn = {str(self.runs_of(c, 6)) for c in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"}
        assert len(drawn) == 36

    def test_an_unknown_character_is_a_box_and_a_long_id_is_made_to_fit(self):
        (box,) = self.runs_of("É", 0.6)
        assert len(box) == 5
        assert box[0] == box[-1]
        right, _ = write_strokes("AP26-01-113-C", "X", 1, 0, 0.12, 0.5).corners.max(axis=0)
        assert right == pytest.approx(1.5)

    def test_an_empty_text_has_no_strokes(self):
        assert self.runs_of("", 0.6) == self.runs_of(" ", 0.6) == []


class TestPages:
    def test_same_pages_same_bytes_and_no_date(self):
        setup = PageSetup(title="Sheet", right="J revision 1")
        made = [b"".join(render_pdf(setup, [grid(("A", "B"), [("x", "")], 500)])) for _ in range(2)]
        assert made[0] == made[1]
        assert b"Date" not in made[0]  # ISO 32000-1, table 317: the dates are optional

    def test_what_the_font_lacks_is_named(self):
        assert pdf_text("A\u4e2d\x07B") == "A[U+4E2D]B"
        assert pdf_text("\u00d1and\u00fa \u017bubr \u0416") == "\u00d1and\u00fa \u017bubr \u0416"

    @pytest.mark.parametrize("text", ["<b>&amp;</para>", "W" * 3000, "line\nline", " ", "=cmd()"])
    def test_any_text_fits_a_cell(self, text):
        rows = [(text, "1"), ("", text)]
        blocks = [paragraph(text), grid(("One", "Two"), rows, 540, tall=True)]
        data = b"".join(render_pdf(PageSetup(title=text[:50]), blocks))
        assert data.startswith(b"%PDF")

    def test_papers_hold_hostile_texts(self):
        job = planned()
        mountings = tuple(replace(row, text="</para><b>" + "LONG " * 200, door="") for row in job.bench.mountings)
        job = replace(job, bench=replace(job.bench, mountings=mountings))
        assert set(files_of(job, BenchPapers())) == {
            f"bench/{name}.pdf" for name in ("setup-sheet", "inspection", "packing-list", "installer-list", "labels")
        }

    def test_paper_of_the_unit(self):
        assert PageSetup(title="", unit="mm").size_pt == pytest.approx(
            (210 / IN * 72, 297 / IN * 72), abs=0.01
        )  # ISO 216
        assert PageSetup(title="", landscape=True).size_pt == (11 * 72, 8.5 * 72)


class TestJobFile:
    def load(self, tmp_path, text):
        (tmp_path / "job.toml").write_text(text, encoding="utf-8")
        return load_settings(tmp_path / "job.toml")

    def test_the_process_table_becomes_dotted_keys(self, tmp_path):
        settings = self.load(
            tmp_path,
            '[process]\nid = "applique-router"\nunit = "mm"\n[process.letter_cut]\npasses = 3\ndepth = "0.9 mm"\nstay_down = false\n',
        )
        assert settings.process == "applique-router"
        assert dict(settings.process_values) == {
            "unit": "mm",
            "letter_cut.passes": 3,
            "letter_cut.depth": "0.9 mm",
            "letter_cut.stay_down": False,
        }
        process = load_process(settings.process, nest_keys(settings.process_values))
        assert (process.letter_cut.passes, process.letter_cut.depth_mm, process.letter_cut.stay_down) == (3, 0.9, False)

    def test_nothing_said_is_the_shipped_profile(self, tmp_path):
        settings = self.load(tmp_path, "")
        assert (settings.process, settings.process_values) == ("applique-rotary", ())
        assert (settings.raised_mm, settings.side_deg) == (None, None)

    @pytest.mark.parametrize("text", ["[process]\nassumed = []\n", "[process]\nid = 3\n", "process = 3\n"])
    def test_mistakes_are_exit_2(self, tmp_path, text):
        with pytest.raises(InputError, match="process"):
            self.load(tmp_path, text)
