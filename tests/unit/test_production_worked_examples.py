"""Worked examples of the trade, E1 to E12: hand-computed numbers the production maths must give (computed).

Source: computed by hand from machining geometry before the package existed; inputs (depths, feeds, lifts) are
common practice, no source. Lengths are in inches here, as computed; the tolerance is 1e-4 unless a line says otherwise.
"""

import math
from dataclasses import replace

import pytest

from schedule2sign.model.flag import Severity
from schedule2sign.model.process import DepthTo, Dial, Direction, Drill, Drilling, LetterCut, LetterCutter, Sphere
from schedule2sign.model.shape import Dot
from schedule2sign.production.cutwidth import Waste, at_base, groove_width_mm, judge_waste, on_the_line, plan_cut
from schedule2sign.production.dial import letter_depth_at, plan_dial
from schedule2sign.production.dome import (
    base_width_mm,
    depth_for_dome,
    dome_height_mm,
    plan_dome,
    seat_sum_mm,
    whole_steps,
)
from schedule2sign.production.drilling import drill_rows, order_dots, plan_runs
from schedule2sign.production.machining import check_setup
from schedule2sign.production.mounting import choose_top, least_frame_gap, top_band
from schedule2sign.production.nesting import Piece, grid_count, nest_plates
from schedule2sign.production.process import load_process
from schedule2sign.production.takeoff import order_spheres, spare_plates
from schedule2sign.production.timing import hand_seconds, holes_seconds, letters_seconds
from schedule2sign.production.tolerance import pair_error

IN = 25.4
CUT = LetterCut(
    depth_mm=0.035 * IN,
    passes=2,
    feed_mm_s=1.5 * IN,
    plunge_mm_s=1 * IN,
    lift_mm=0.2 * IN,
    stay_down=False,
    overcut_mm=0,
    path_error_mm=0.002 * IN,
    direction=Direction.CLIMB,
)
DRILLING = Drilling(
    depth_mm=0.042 * IN,
    depth_solved=False,
    aim_dome_mm=0.028 * IN,
    depth_error_mm=0.002 * IN,
    travel_mm_s=1 * IN,
    plunge_mm_s=1 * IN,
    lift_mm=0.4 * IN,
    dwell_s=0.070,
    dwell_in_ms=False,
    run_in_mm=0,
)
DIAL = Dial(click_mm=0.001 * IN, clicks_per_turn=25, offset_clicks=7)
SPHERE = Sphere(diameter_mm=0.0625 * IN)


def near(value: float, tolerance: float = 1e-4):
    return pytest.approx(value, abs=tolerance)


def cutter(angle: float) -> LetterCutter:
    return LetterCutter(tip_mm=0.010 * IN, included_angle_deg=angle, usable_depth_mm=0.06 * IN)


def drill(point: float, to: DepthTo = DepthTo.TIP) -> Drill:
    return Drill(diameter_mm=0.0615 * IN, point_angle_deg=point, depth_to=to)


class TestE1CutWidth:
    def test_thirty_degrees(self):
        cut = plan_cut(cutter(30), CUT)
        assert cut.width_mm / IN == near(0.02876, 1e-5)
        assert cut.offset_mm / IN == near(0.01438, 1e-5)
        assert cut.spread_mm / IN == near(0.00938, 1e-5)
        assert cut.pass_depths_mm == pytest.approx((0.0175 * IN, 0.035 * IN))
        assert groove_width_mm(cutter(30), cut.pass_depths_mm[0]) / IN == near(0.01938, 1e-5)

    @pytest.mark.parametrize(
        ("angle", "width", "offset", "spread"),
        [
            (20, 0.02234, 0.01117, 0.00617),
            (30, 0.02876, 0.01438, 0.00938),
            (40, 0.03548, 0.01774, 0.01274),
            (45, 0.03899, 0.01950, 0.01450),
            (60, 0.05041, 0.02521, 0.02021),
        ],
    )
    def test_table_of_angles(self, angle, width, offset, spread):
        cut = plan_cut(cutter(angle), CUT)
        assert (cut.width_mm / IN, cut.offset_mm / IN, cut.spread_mm / IN) == pytest.approx(
            (width, offset, spread), abs=6e-6
        )


class TestE2StrokeAndGapAfterTheTaper:
    def test_offset_path(self):
        gap, stroke = at_base(0.125 * IN, 0.0847 * IN, plan_cut(cutter(30), CUT))
        assert stroke / IN == near(0.1035)
        assert stroke / IN / 0.625 == near(0.166, 5e-4)
        assert gap / IN == near(0.1062)

    def test_on_the_line_the_letter_is_lost(self):
        gap, stroke = on_the_line(0.125 * IN, 0.0847 * IN, plan_cut(cutter(30), CUT))
        assert stroke / IN == near(0.0559)
        assert gap / IN == near(0.1538)

    def test_sixty_degrees(self):
        cut = plan_cut(cutter(60), CUT)
        assert at_base(0.125 * IN, 0, cut)[0] / IN == near(0.0846)
        assert 0.125 - 2 * cut.width_mm / IN == near(0.0242)
        assert judge_waste(0.125 * IN, cut, CUT.path_error_mm) is Waste.SLIVER
        assert 0.125 - 2 * plan_cut(cutter(30), CUT).width_mm / IN == near(0.0675)
        assert judge_waste(0.125 * IN, plan_cut(cutter(30), CUT), CUT.path_error_mm) is Waste.CLEAN


@pytest.mark.parametrize(
    ("gap", "angle", "slug", "waste"),
    [
        (0.1511, 30, 0.0936, Waste.CLEAN),
        (0.1511, 60, 0.0503, Waste.CLEAN),
        (0.1186, 60, 0.0178, Waste.SLIVER),
        (0.020, 30, None, Waste.BLOCKED),
    ],
)
def test_e3_counters(gap, angle, slug, waste):
    cut = plan_cut(cutter(angle), CUT)
    assert judge_waste(gap * IN, cut, CUT.path_error_mm) is waste
    if slug is not None:
        assert gap - 2 * cut.width_mm / IN == near(slug)


class TestE4DomeAtDial42:
    @pytest.mark.parametrize(
        ("point", "total", "dome"),
        [
            (180, 0.0625, 0.0205),
            (135, 0.0651, 0.0231),
            (120, 0.0673, 0.0253),
            (118, 0.0677, 0.0257),
            (110, 0.0694, 0.0274),
            (105, 0.0706, 0.0286),
            (90, 0.0754, 0.0334),
        ],
    )
    def test_dome(self, point, total, dome):
        assert seat_sum_mm(SPHERE.diameter_mm, point) / IN == near(total)
        assert dome_height_mm(SPHERE.diameter_mm, 0.042 * IN, point) / IN == near(dome)

    def test_base_width(self):
        assert base_width_mm(SPHERE.diameter_mm, 0.0257 * IN) / IN == near(0.0615)
        assert base_width_mm(SPHERE.diameter_mm, 0.0205 * IN) / IN == near(0.0587)
        assert base_width_mm(SPHERE.diameter_mm, 0.0334 * IN) == SPHERE.diameter_mm

    @pytest.mark.parametrize(
        ("point", "codes"),
        [
            (180, {"production/dome-outside-window"}),
            (135, {"production/dome-outside-window"}),
            (118, {"production/dome-near-edge"}),
            (105, set()),
            (90, {"production/ball-held-loosely"}),
        ],
    )
    def test_verdict(self, point, codes):
        process = load_process(overrides={"drill": {"point_angle_deg": point}, "drilling": {"depth": "0.042 in"}})
        dome = plan_dome(process.sphere, process.drill, process.drilling)
        found = {flag.code for flag in check_setup(process, dome, None)}
        assert found - {"production/assumed-values"} == codes

    def test_dot_base_fails_too_when_flat(self):
        # 0.0587 is under the 0.059 of 2010 ADA Table 703.3.1.
        plan = plan_dome(SPHERE, drill(180), DRILLING)
        assert plan.base_mm / IN < 0.059


class TestE5DepthForAWantedDome:
    def test_depth(self):
        assert depth_for_dome(0.028 * IN, SPHERE, drill(118)) / IN == near(0.03971, 1e-5)
        assert dome_height_mm(SPHERE.diameter_mm, 0.040 * IN, 118) / IN == near(0.0277)

    def test_clicks(self):
        plan = plan_dome(SPHERE, drill(118), DRILLING)
        assert whole_steps(plan.legal_mm, DIAL.click_mm) == (31, 42)
        assert plan.guarded_mm is not None
        assert whole_steps(plan.guarded_mm, DIAL.click_mm) == (33, 40)

    def test_solved_depth_is_forty_clicks(self):
        process = load_process(overrides={"drilling": {"depth": "solve"}})
        assert process.drilling.depth_mm / process.dial.click_mm == pytest.approx(40)

    @pytest.mark.parametrize(
        ("point", "aim", "low", "high"),
        [
            (180, 0.0345, 0.0255, 0.0375),
            (135, 0.0371, 0.0281, 0.0401),
            (120, 0.0393, 0.0303, 0.0423),
            (118, 0.0397, 0.0307, 0.0427),
            (110, 0.0414, 0.0324, 0.0444),
            (105, 0.0426, 0.0336, 0.0456),
            (90, 0.0474, 0.0384, 0.0504),
        ],
    )
    def test_depth_table(self, point, aim, low, high):
        plan = plan_dome(SPHERE, drill(point), DRILLING)
        assert (plan.aim_depth_mm / IN, *(edge / IN for edge in plan.legal_mm)) == pytest.approx(
            (aim, low, high), abs=1e-4
        )

    def test_depth_to_the_shoulder(self):
        # The tip is hole radius / tan(half the point angle) deeper (computed).
        tip = depth_for_dome(0.028 * IN, SPHERE, drill(118))
        shoulder = depth_for_dome(0.028 * IN, SPHERE, drill(118, DepthTo.SHOULDER))
        assert (tip - shoulder) / IN == near(0.03075 / math.tan(math.radians(59)), 1e-6)


class TestE6Dial:
    def test_one_dial_serves_both(self):
        plan = plan_dial(0.035 * IN, 0.042 * IN, DIAL)
        assert (plan.drill_clicks, plan.drill_turns) == (42, (1, 17))
        assert (plan.letter_clicks, plan.letter_turns) == (35, (1, 10))
        assert plan.needed_offset == 7
        assert plan.serves_both

    def test_the_shipped_profile_is_zeroed_for_one_dial_and_says_what_that_costs(self):
        """42 - 35 = 7 clicks (common practice); with a 118 degree point the dome 0.0257 passes by 0.0007 (E4, E5)."""
        process = load_process()
        dome = plan_dome(process.sphere, process.drill, process.drilling)
        dial = plan_dial(process.letter_cut.depth_mm, process.drilling.depth_mm, process.dial)
        assert (dial.drill_clicks, dial.letter_clicks, dial.set_offset, dial.serves_both) == (42, 35, 7, True)
        flags = {flag.code: flag for flag in check_setup(process, dome, dial)}
        assert set(flags) == {"production/dome-near-edge", "production/assumed-values"}
        near_edge = flags["production/dome-near-edge"]
        assert near_edge.severity is Severity.ASK
        for said in (
            "0.0257 in",
            "0.0007 in",
            "0.0020 in",
            "31 to 42 clicks",
            "33 to 40 clicks",
            "40 clicks would give 0.0277",
        ):
            assert said in near_edge.message + near_edge.fix
        assert "5 clicks apart, not 7" in near_edge.fix

    def test_forty_clicks_need_an_offset_of_five(self):
        plan = plan_dial(0.035 * IN, 0.040 * IN, DIAL)
        assert plan.needed_offset == 5
        assert not plan.serves_both
        assert letter_depth_at(0.040 * IN, DIAL) / IN == near(0.033)
        flags = check_setup(load_process(overrides={"drilling": {"depth": "solve"}}), None, plan)
        assert [flag.required for flag in flags if flag.code == "production/dial-offset"] == ["offset 5 clicks"]

    @pytest.mark.parametrize(("base", "held"), [("0.0625 in", False), ("0.050 in", True)])
    def test_floor_under_the_hole(self, base, held):
        process = load_process(overrides={"material": {"base": base}, "drilling": {"depth": "0.042 in"}})
        found = {flag.code: flag for flag in check_setup(process, None, None)}
        assert ("production/floor-too-thin" in found) is held
        if held:
            assert found["production/floor-too-thin"].measured == "0.0080 in"

    def test_letters_that_do_not_bite(self):
        process = load_process(overrides={"letter_cut": {"depth": "0.033 in"}})
        assert "production/bite-too-small" in {flag.code for flag in check_setup(process, None, None)}


class TestE8LetterTime:
    LENGTHS = tuple([35.43 * IN / 12] * 12)
    DEPTHS = (0.0175 * IN, 0.035 * IN)

    def test_retract_every_pass(self):
        assert letters_seconds(self.LENGTHS, CUT, self.DEPTHS, 0) == near(58.10, 1e-2)

    def test_stay_down(self):
        down = replace(CUT, stay_down=True)
        assert letters_seconds(self.LENGTHS, down, self.DEPTHS, 0) == near(52.88, 1e-2)
        assert letters_seconds(self.LENGTHS, down, self.DEPTHS, 9 * IN) == near(58.88, 1e-2)


def men() -> tuple[Dot, ...]:
    """m = dots 1 3 4, en = dots 2 6, pitches .095 and .270."""
    places = [(0, 0, 0, 1), (0, -0.19, 0, 3), (0.095, 0, 0, 4), (0.27, -0.095, 1, 2), (0.365, -0.19, 1, 6)]
    return tuple(Dot(x_mm=x * IN, y_mm=y * IN, line=0, cell=cell, number=n) for x, y, cell, n in places)


class TestE9Drilling:
    def test_per_hole(self):
        assert holes_seconds(1, DRILLING, 0) == near(0.954)
        assert holes_seconds(36, DRILLING, 0) == near(34.344, 1e-3)

    def test_men(self):
        (run,) = plan_runs([[(dot.x_mm, dot.y_mm) for dot in order_dots(men())]], 0)
        assert run.length_mm / IN == near(0.9453)
        # Column order of the same holes, computed: 0.7359 in, 5.506 s at 1 in/s.
        columns = sorted(men(), key=lambda dot: (dot.x_mm, -dot.y_mm))
        (across,) = plan_runs([[(dot.x_mm, dot.y_mm) for dot in columns]], 0)
        assert across.length_mm / IN == near(0.7359)
        assert holes_seconds(5, DRILLING, across.length_mm) == near(5.506, 1e-3)
        assert run.bound_mm <= across.length_mm

    def test_hand_work(self):
        work = replace(load_process().hand_work, peel_s=0, check_s=0)
        assert hand_seconds(work, 0, 36) == 72


class TestE7Mounting:
    """Plate 4.470 in high for CONFERENCE / ROOM / 101: baselines 1.125 and 2.9375, lowest dot edge 3.970 from the top."""

    PLATE, HIGH, LOW, DOT = 4.470, 4.470 - 1.125, 4.470 - 2.9375, 4.470 - 3.970

    def band(self, lowest: float):
        return tuple(edge / IN for edge in top_band(self.PLATE * IN, lowest * IN, self.HIGH * IN))

    def test_raised_rule(self):
        # 2010 ADA 703.4.1: 48 in to the lowest, 60 in to the highest baseline.
        assert self.band(self.LOW) == pytest.approx((50.9375, 61.125), abs=1e-4)

    def test_braille_counted(self):
        assert self.band(self.DOT) == pytest.approx((51.97, 61.125), abs=1e-4)

    def test_house_height(self):
        top = choose_top(top_band(self.PLATE * IN, self.DOT * IN, self.HIGH * IN)) / IN
        assert top == pytest.approx(60)
        assert (top - 2.9375, top - 1.125) == pytest.approx((57.06, 58.88), abs=6e-3)

    def test_spheres(self):
        # 14 + 13 + 9 dots, and 3 for the scrap test; the least spare of 200 governs, then whole packs of 500.
        assert order_spheres(36, load_process().spares) == (239, 500)


class TestE9SpheresOfAJob:
    def test_packs(self):
        # 180 signs of 24 dots: 4320, with 10 % 4752, packs of 500: 10 (the scrap test's 3 balls add 4).
        assert order_spheres(4320, load_process().spares) == (4756, 5000)


class TestE10SheetAndDoor:
    STOCK = replace(load_process().stock, width_mm=24 * IN, height_mm=12 * IN, margin_mm=0.5 * IN, gap_mm=0.25 * IN)

    def test_grid(self):
        assert grid_count(8 * IN, 4 * IN, replace(self.STOCK, grain=True)) == 4
        assert grid_count(8 * IN, 4 * IN, self.STOCK) == 5

    @pytest.mark.parametrize(("pieces", "grain", "sheets"), [(60, False, 12), (60, True, 15), (63, False, 13)])
    def test_sheets(self, pieces, grain, sheets):
        plates = [
            Piece(sign_id=f"S{number}", copy=1, width_mm=8 * IN, height_mm=4 * IN, stock="charcoal")
            for number in range(pieces)
        ]
        (nest,) = nest_plates(plates, replace(self.STOCK, grain=grain))
        assert len(nest.sheets) == sheets
        assert sum(len(sheet.plates) for sheet in nest.sheets) == pieces
        assert nest.bound <= sheets

    def test_spoilage(self):
        assert 60 + spare_plates(60, load_process().spares) == 63

    def test_patches_fit_exactly(self):
        # 11.75 / 2.9375 is exactly 4 and must not be lost to the last bit.
        usable = replace(self.STOCK, width_mm=23.75 * IN, height_mm=11.75 * IN, margin_mm=0, gap_mm=0, grain=True)
        assert grid_count(6.849 * IN, 2.9375 * IN, usable) == 12
        assert near(20.12, 5e-3) == 6.849 * 2.9375

    def test_door_that_swings_to_the_reader(self):
        # Sign 7.5 in wide, frame 2 in: the 18 in square clears the leaf from a frame gap of 3.25 in on.
        assert least_frame_gap(3.75 * IN, 2 * IN) / IN == near(3.25, 1e-9)


def test_e11_pair_error():
    """Four random errors, two dots: 0.00212 each, 0.0030 a pair, worst 0.0080; half the line window is 0.0025."""
    errors = (0.001, 0.001, 0.0015, 0.0005)
    each, pair, worst = pair_error(errors)
    assert (each, pair, worst) == pytest.approx((0.00212, 0.0030, 0.0080), abs=1e-5)
    assert pair > (0.400 - 0.395) / 2  # 2010 ADA Table 703.3.1, line to line


def actual_places(points, lost):
    """Where a drive with lost motion really goes: each axis lags behind by half of it on the side it comes from."""
    side, place, last = [0.0, 0.0], [], None
    for point in points:
        for axis in (0, 1):
            if last is not None and abs(point[axis] - last[axis]) > 1e-9:
                side[axis] = -lost / 2 if point[axis] > last[axis] else lost / 2
        place.append((point[0] + side[0], point[1] + side[1]))
        last = point
    return place


class TestE12Backlash:
    """Dots of one cell 0.095 in apart; lost motion 0.003 and 0.006 in."""

    def spacing(self, points, holes, lost):
        real = dict(zip(points, actual_places(points, lost), strict=True))
        return real[holes[1]][0] - real[holes[0]][0]

    @pytest.mark.parametrize(("lost", "narrow", "wide"), [(0.003, 0.092, 0.098), (0.006, 0.089, 0.101)])
    def test_opposite_sides_change_the_pitch(self, lost, narrow, wide):
        left, right = (1.0, 0.0), (1.095, 0.0)
        inward = [(0.5, 0.0), left, (2.0, 0.0), right]
        outward = [(2.0, 0.0), left, (0.5, 0.0), right]
        found = sorted(self.spacing(way, (left, right), lost) for way in (inward, outward))
        assert found == pytest.approx([narrow, wide])

    def test_rows_of_a_turned_plate_run_down(self):
        rows = drill_rows(men())
        (turned,) = plan_runs([[(-y, x) for x, y in rows.points(turned=True)]], 0.508)
        (upward,) = plan_runs([[(-y, x) for x, y in rows.points()]], 0.508)
        assert turned.length_mm < upward.length_mm
        assert len(turned.points) < len(upward.points)

    @pytest.mark.parametrize("turned", [False, True])
    def test_our_run_reaches_every_hole_from_one_side(self, turned):
        holes = [(-y, x) if turned else (x, y) for x, y in drill_rows(men()).points(turned=turned)]
        # A second sign above and to the left: the drill must climb and come back.
        holes += [(x - 50.0, y + 80.0) for x, y in holes]
        (run,) = plan_runs([holes], 0.508)
        real = dict(zip(run.points, actual_places(run.points, 0.15), strict=True))
        shifts = {(round(real[hole][0] - hole[0], 6), round(real[hole][1] - hole[1], 6)) for hole in holes}
        assert shifts == {(-0.075, 0.075)}
        assert [point for point in run.points if point in set(holes)] == holes
