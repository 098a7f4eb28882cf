"""The whole bench plan of a finished job: nothing released is missing, nothing held is made, every number adds up."""

import importlib.util
import re
import sys
from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import shapely

from schedule2sign.model.bench import PlannedSign
from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import Box, Dot, Hole, Outline, PlacedGlyph
from schedule2sign.model.sign import Side
from schedule2sign.production.cutpath import plan_edge, plan_paths
from schedule2sign.production.cutwidth import plan_cut
from schedule2sign.production.mounting import plan_mounting, say_side, swings_to_reader
from schedule2sign.production.plan import plan_bench
from schedule2sign.production.plate import describe_plate
from schedule2sign.production.process import list_processes, load_process
from schedule2sign.production.setupsheet import CONFIRM
from schedule2sign.production.signplan import check_for_bench, check_process
from schedule2sign.production.takeoff import patches
from schedule2sign.production.walking import floor_key, natural_key

IN = 25.4


@cache
def sample():
    path = Path(__file__).resolve().parents[1] / "golden" / "sample_job.py"
    spec = importlib.util.spec_from_file_location("production_sample_job", path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def layout():
    return sample().room_sign().layout


def make_plan(job, process):
    return plan_bench(sample().made_with(job, process), process)


def hang(*layouts):
    made = sample().room_sign()
    return plan_mounting(
        [PlannedSign(request=sign.request, plate=describe_plate(sign, load_process()), made=made) for sign in layouts]
    )


def codes(layout, **overrides):
    return {flag.code for flag in check_for_bench(layout, load_process(overrides=overrides))}


def test_only_released_signs_and_all_their_copies():
    job = sample().sample_job()
    plan = make_plan(job, load_process())
    pieces = {"HH-01-101-C": 2, "HH-01-102-C": 1}
    assert [sign.sign_id for sign in plan.signs] == list(pieces)
    placed = Counter(plate.sign_id for nest in plan.nests for sheet in nest.sheets for plate in sheet.plates)
    assert placed.pop("") == 4  # two spare blanks of each of two sizes
    assert placed == pieces
    assert {row.sign_id: row.quantity for row in plan.mountings} == pieces
    packing = next(paper for paper in plan.papers if paper.name == "packing-list")
    assert Counter(row[2] for table in packing.tables for row in table.rows) == pieces
    total = plan.needs[-1]
    dots = {"HH-01-101-C": 24, "HH-01-102-C": 27}  # counted in the UEB cells of the sample
    assert total.dots == sum(dots[sign] * count for sign, count in pieces.items())
    assert total.pieces == 3
    for name in ("pieces", "signs", "dots", "inserts", "fixing_holes"):
        assert sum(getattr(need, name) for need in plan.needs[:-1]) == getattr(total, name)
    assert total.plate_mm2 == pytest.approx(2 * 203.2 * 101.6 + 203.2 * 254)


def test_same_plan_twice():
    job, process = sample().sample_job(), load_process()
    assert make_plan(job, process) == make_plan(job, process)


def test_a_job_with_nothing_released():
    job = replace(sample().sample_job(), signs=(sample().held_sign(),))
    plan = make_plan(job, load_process())
    assert (plan.signs, plan.nests, plan.mountings, plan.coupon) == ((), (), (), None)
    assert plan.needs[-1].pieces == 0


@pytest.mark.parametrize("name", list_processes())
def test_every_assumption_is_on_the_setup_sheet(name):
    process = load_process(name)
    plan = make_plan(sample().sample_job(), process)
    setup = next(paper for paper in plan.papers if paper.name == "setup-sheet")
    settings = next(table for table in setup.tables if table.title == "Settings")
    assert sum(CONFIRM in row for row in settings.rows) == len(process.assumed) > 0
    assert "production/assumed-values" in {flag.code for flag in plan.flags}
    assert any("vacuum OFF" in caution for caution in setup.cautions)
    for paper in plan.papers:
        for table in paper.tables:
            assert {len(row) for row in table.rows} <= {len(table.columns)}
            assert set(table.fill_in) <= set(table.columns)


def test_no_paper_promises_what_nobody_can():
    for paper in make_plan(sample().sample_job(), load_process()).papers:
        assert not re.search(r"(?i)compliant|certified|guarante|code approved", repr(paper))


def test_units_of_the_papers():
    plan = make_plan(sample().sample_job(), load_process(overrides={"unit": "mm"}))
    setup = next(paper for paper in plan.papers if paper.name == "setup-sheet")
    settings = dict(row[:2] for row in next(table for table in setup.tables if table.title == "Settings").rows)
    assert settings["Ball, diameter"] == "1.587 mm" or settings["Ball, diameter"] == "1.588 mm"


def test_offset_paths_keep_clear_of_every_letter():
    """No path comes nearer to a raised part than the offset, and each one touches its letter."""
    sign, process = sample().restroom_sign().layout, load_process()
    cut = plan_cut(process.letter_cutter, process.letter_cut)
    raised = shapely.union_all(
        [shapely.Polygon(ring) for line in sign.lines for glyph in line.glyphs for ring in glyph.rings[:1]]
    )
    paths = plan_paths(sign, cut, process.letter_cut.direction)
    for path in paths:
        if path.part not in ("border", "pair") and path.kind.value == "outline":
            assert raised.distance(shapely.LinearRing(path.ring)) == pytest.approx(cut.offset_mm, abs=0.01)
    assert [path.part for path in paths if path.part == "border"] == [p.part for p in paths[-2:]]
    lines = [path.y_mm for path in paths if path.part not in ("border", "pair")]
    assert lines == sorted(lines, reverse=True)  # bottom line last


def test_plate_edge_leaves_the_plate():
    sign, process = layout(), load_process()
    edge = plan_edge(sign, process.stock.plate_cutter_mm, process.letter_cut.direction)
    left = shapely.Polygon(edge.ring).difference(shapely.LinearRing(edge.ring).buffer(0.0625 * IN, quad_segs=64))
    radius = sign.corner_radius_mm
    plate = shapely.box(radius, radius, sign.width_mm - radius, sign.height_mm - radius).buffer(radius, quad_segs=64)
    assert left.symmetric_difference(plate).buffer(-0.01).is_empty


def test_holes_on_the_sheet_are_the_dots_of_its_plates():
    """Each hole of a sheet lies on its plate where the sign has a dot, turned or not (shapely transforms the check)."""
    job, process = sample().sample_job(), load_process()
    by_id = {record.request.sign_id: record.layout for record in job.signs if record.layout}
    drilled_of = {record.request.sign_id: record.drilled for record in job.signs if record.plate}
    for nest in make_plan(job, process).nests:
        for sheet in nest.sheets:
            wanted = []
            for plate in sheet.plates:
                if not plate.sign_id:
                    continue
                dots = shapely.MultiPoint([(dot.x_mm, dot.y_mm) for dot in by_id[plate.sign_id].dots])
                if plate.turned:
                    dots = shapely.affinity.rotate(dots, 90, origin=(0, 0))
                    dots = shapely.affinity.translate(dots, plate.width_mm, 0)
                dots = shapely.affinity.translate(dots, plate.x_mm, plate.y_mm)
                wanted += [(round(p.x, 6), round(p.y, 6)) for p in dots.geoms]
            drilled = [(round(x, 6), round(y, 6)) for x, y in sheet.drill_holes(drilled_of.__getitem__)]
            assert sorted(wanted) == sorted(drilled)
            assert len(wanted) == len(set(wanted)) == sheet.holes


class TestSignChecks:
    def test_a_good_sign(self):
        assert codes(layout()) == set()

    def test_build_the_rules_did_not_see(self):
        sign = layout()
        assert codes(sign, letter_cutter={"included_angle_deg": 40}) == {"production/side-differs"}
        assert codes(sign, material={"sheet": "0.032 in"}) >= {"production/raised-differs"}

    def test_setup_that_makes_bad_dots_holds_every_sign(self):
        assert "production/dome-outside-window" in codes(layout(), drilling={"depth": "0.045 in"})

    @pytest.mark.parametrize(
        ("x", "y", "what"),
        [(0.5, 50, "plate's edge"), (203.0, 50, "plate's edge"), (1.0, 1.0, "plate's edge"), (-3, 50, "plate's edge")],
    )
    def test_hole_at_the_edge(self, x, y, what):
        sign = layout()
        sign = replace(sign, dots=(*sign.dots, Dot(x_mm=x, y_mm=y, line=0, cell=0, number=1)))
        found = [flag for flag in check_for_bench(sign, load_process()) if flag.code == "production/hole-too-near"]
        assert [what in flag.message for flag in found] == [True]
        assert found[0].severity is Severity.HOLD
        assert found[0].sign_id == sign.request.sign_id

    def test_a_door_symbol_is_not_cut_from_thin_stock(self):
        """California: circles and triangles on doors are 1/4 in thick (CBC 11B-703.7.2.6, read second hand)."""
        ring = ((0.0, 0.0), (300.0, 0.0), (150.0, 260.0))
        symbol = replace(layout(), outline=ring, width_mm=300.0, height_mm=260.0, lines=(), dots=(), braille=())
        assert "production/door-symbol-too-thin" in codes(symbol)
        assert "production/door-symbol-too-thin" not in codes(symbol, material={"base": "0.25 in"})
        assert "production/door-symbol-too-thin" not in codes(layout())

    def test_hole_at_a_letter_and_at_an_opening(self):
        sign = layout()
        glyph = sign.lines[0].glyphs[0]
        near = Dot(x_mm=glyph.box.left_mm - 0.7, y_mm=glyph.box.top_mm - 2, line=0, cell=0, number=1)
        clear = replace(near, x_mm=glyph.box.left_mm - 0.8)  # the drill's radius is 0.781 mm
        assert "production/hole-too-near" in codes(replace(sign, dots=(near,)))
        assert "production/hole-too-near" not in codes(replace(sign, dots=(clear,)))
        hole = Hole(x_mm=clear.x_mm, y_mm=10, diameter_mm=4)
        assert "production/hole-too-near" in codes(replace(sign, dots=(replace(clear, y_mm=12.5),), holes=(hole,)))

    def test_letters_too_close(self):
        sign = layout()
        line = sign.lines[0]
        first, second = line.glyphs[:2]

        def with_gap(gap_mm):
            moved = replace(second, x_mm=first.box.right_mm + gap_mm)
            return replace(sign, lines=(replace(line, glyphs=(first, moved)),), dots=())

        # Cut width 0.7305 mm and 0.0508 mm of path error each side; base 1/16 in needs 1.5875 + 2 x 0.2382 mm.
        assert "production/gap-too-narrow" in codes(with_gap(0.80))
        assert "production/gap-at-base" in codes(with_gap(2.05))
        assert codes(with_gap(2.30)) == set()

    def test_sliver_between_letters(self):
        # At 60 degrees a gap of 1/8 in leaves a strip of 0.0242 in (E2): a note, not a hold.
        sign = layout()
        sign = replace(sign, build=replace(sign.build, side_deg=30))
        line = sign.lines[0]
        first, second = line.glyphs[:2]
        sign = replace(
            sign, lines=(replace(line, glyphs=(first, replace(second, x_mm=first.box.right_mm + 0.125 * IN))),), dots=()
        )
        flags = check_for_bench(sign, load_process(overrides={"letter_cutter": {"included_angle_deg": 60}}))
        assert [(flag.code, flag.severity, flag.measured) for flag in flags] == [
            ("production/sliver", Severity.NOTE, "0.0242 in")
        ]

    def test_counter_the_cutter_cannot_enter(self):
        sign = layout()
        ring = sample().rectangle
        rings = (ring(0, 0, 10, 15.875), ring(4.8, 3, 5.2, 12, counter=True))
        box = Box(left_mm=0, bottom_mm=0, right_mm=10, top_mm=15.875)
        glyph = PlacedGlyph(outline=Outline(char="D", height_mm=15.875, rings=rings, box=box), x_mm=50, baseline_mm=60)
        sign = replace(sign, lines=(replace(sign.lines[0], glyphs=(glyph,), words=((0, 1),)),))
        assert "production/counter-vanishes" in codes(sign)

    def test_position_error_is_told_once(self):
        plan = make_plan(sample().sample_job(), load_process())
        found = [flag for flag in plan.flags if flag.code == "production/position-error"]
        # E11: 0.0030 for a pair against 0.0025 of room from line to line; cells and dots have room.
        assert [flag.required for flag in found] == ["0.395 in to 0.400 in"]
        close = {"accuracy": dict.fromkeys(("position", "runout", "wander", "seat"), "0.0003 in")}
        calm = make_plan(sample().sample_job(), load_process(overrides=close))
        assert "production/position-error" not in {flag.code for flag in calm.flags}


class TestMounting:
    @pytest.mark.parametrize(
        ("hand", "side", "says", "toward"),
        [
            # Left hand: hinges left seen from the corridor, so the latch, and the sign, are on the right.
            ("LH", Side.CORRIDOR, "to the RIGHT of the door as you face it from the corridor", False),
            ("RH", Side.CORRIDOR, "to the LEFT of the door as you face it from the corridor", False),
            ("LHR", Side.CORRIDOR, "to the RIGHT of the door as you face it from the corridor", True),
            ("RHR", Side.EXTERIOR, "to the LEFT of the door as you face it from outside", True),
            ("LH", Side.ROOM, "to the LEFT of the door as you face it from the room", True),
            ("RHR", Side.STAIR, "to the RIGHT of the door as you face it from the stair", False),
            ("r.h.", Side.CORRIDOR, "to the LEFT of the door as you face it from the corridor", False),
            (
                "LHR, so to the LEFT of the door as you face it",
                Side.ROOM,
                "to the LEFT of the door as you face it from the room",
                False,
            ),
            (
                "LH, so to the LEFT of the door as you face it",  # contradicts itself
                Side.CORRIDOR,
                "at the latch side as you face it from the corridor (FIELD CHECK)",
                False,
            ),
            ("", Side.CORRIDOR, "at the latch side as you face it from the corridor (FIELD CHECK)", None),
            ("LHR/RHR", Side.CORRIDOR, "at the latch side as you face it from the corridor (FIELD CHECK)", None),
        ],
    )
    def test_side(self, hand, side, says, toward):
        assert say_side(hand, side) == says
        assert swings_to_reader(hand, side) is toward

    def test_pair(self):
        for hand in ("PR", "RHR; pair: on the inactive leaf if one leaf is active"):
            said = say_side(hand, Side.CORRIDOR)
            assert "inactive leaf" in said
            assert "RIGHT of the right-hand door" in said  # 2010 ADA 703.4.2
            assert swings_to_reader(hand, Side.CORRIDOR) is None

    def test_heights_lie_in_the_window(self):
        rows, _ = hang(sample().room_sign().layout, sample().restroom_sign().layout)
        for row in rows:
            assert 48 * IN <= row.low_mm <= row.high_mm <= 60 * IN  # 2010 ADA 703.4.1

    def test_a_sign_too_tall_for_any_height(self):
        sign = layout()
        low = replace(sign.lines[-1], baseline_mm=20.0)
        high = replace(sign.lines[0], baseline_mm=20.0 + 12.5 * IN)
        tall = replace(sign, height_mm=400, lines=(high, low), dots=())
        rows, flags = hang(tall)
        assert [flag.code for flag in flags if flag.severity is Severity.HOLD] == ["production/no-mounting-height"]
        assert rows[0].remarks.startswith("NO HEIGHT")  # on the list all the same
        assert "production/no-mounting-height" in codes(tall)

    def test_low_text_is_hung_higher_than_the_house_height(self):
        sign = layout()
        low = replace(sign, height_mm=400, dots=(), lines=(replace(sign.lines[0], baseline_mm=20.0),))
        (row,), _ = hang(low)
        assert row.low_mm >= 48 * IN - 1e-6
        assert row.top_mm / (IN / 4) == pytest.approx(round(row.top_mm / (IN / 4)))
        assert row.remarks == "not at the job's usual height"

    def test_a_sign_without_text_is_on_the_list(self):
        bare = replace(layout(), lines=(), dots=(), braille=())
        (row,), flags = hang(bare)
        assert (row.low_mm, row.band_mm, row.remarks) == (None, None, "no raised text or braille on it")
        assert not [flag for flag in flags if flag.severity is Severity.HOLD]

    def test_a_symbol_hangs_on_the_door_with_its_center_in_the_window(self):
        """CBC 11B-703.7.2.6, from memory: centered on the door, 58 to 60 in above the floor."""
        bare = replace(layout(), lines=(), dots=(), braille=(), height_mm=12 * IN, width_mm=12 * IN)
        request = replace(bare.request, messages=(), template="door-men", hand="on the door itself, at eye height")
        (row,), flags = hang(replace(bare, request=request))
        assert row.side == "on the door itself, at eye height, as you face it from the corridor"
        assert 58 * IN <= row.top_mm - 6 * IN <= 60 * IN
        assert row.text == "door-men"
        assert row.clear_floor == "none: it hangs on the leaf"
        assert not flags


class TestWalking:
    def test_floors(self):
        floors = [
            "ROOF",
            "LEVEL 10",
            "LEVEL 2",
            "",
            "GROUND FLOOR",
            "BASEMENT 1",
            "BASEMENT 2",
            "LEVEL B3",
            "MEZZANINE",
        ]
        assert sorted(floors, key=floor_key) == [
            "BASEMENT 2",
            "BASEMENT 1",
            "LEVEL B3",
            "GROUND FLOOR",
            "MEZZANINE",
            "LEVEL 2",
            "LEVEL 10",
            "ROOF",
            "",
        ]

    def test_maintenance_is_not_the_main_floor(self):
        assert floor_key("MAINTENANCE LEVEL 3")[0] == 3

    def test_rooms(self):
        rooms = ["110", "101A", "9", "101", "101B", "A2", "A10"]
        assert sorted(rooms, key=natural_key) == ["9", "101", "101A", "101B", "110", "A2", "A10"]


def test_patch_stays_off_the_braille():
    sign = layout()
    (patch,) = patches(sign, 0.25 * IN)
    assert patch.bottom_mm >= max(dot.y_mm for dot in sign.dots) + sign.cell_size.base_mm / 2
    wide = patches(sign, 20.0)[0]
    assert wide.bottom_mm >= max(dot.y_mm for dot in sign.dots)


def test_check_process_knows_the_solid_way():
    flags = {flag.code: flag for flag in check_process(load_process("solid-router"))}
    assert set(flags) == {"production/background-not-drawn", "production/assumed-values"}
    high = load_process("solid-router", {"dot_form": {"dome": "0.040 in"}})
    assert "production/dome-outside-window" in {flag.code for flag in check_process(high)}


def test_coupon():
    process = load_process()
    plan = make_plan(sample().sample_job(), process)
    depths = [round(cell.depth_mm / process.dial.click_mm) for cell in plan.coupon.cells]
    assert depths == [40, 42, 44]
    assert all(len(cell.holes) == 6 for cell in plan.coupon.cells)
    piece = shapely.box(0, 0, plan.coupon.width_mm, plan.coupon.height_mm)
    for cell in plan.coupon.cells:
        assert piece.contains(shapely.MultiPoint(cell.holes).buffer(5))
    assert plan.coupon.paths
    for path in plan.coupon.paths:
        assert piece.contains(shapely.LinearRing(path.ring).buffer(5))
