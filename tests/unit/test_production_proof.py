"""Cut paths re-simulated with shapely give back the letter; the letters come from real fonts read by fontTools."""

import math
from functools import cache
from pathlib import Path

import pytest
import shapely
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from shapely.geometry.base import BaseGeometry

from schedule2sign.geometry.curves import flatten_cubic, flatten_quadratic
from schedule2sign.geometry.rings import fill_contours, ring_area, shape_rings
from schedule2sign.model.bench import PathKind
from schedule2sign.model.process import Direction
from schedule2sign.model.shape import Box, Outline
from schedule2sign.production.cutpath import _plan_outline, center_lines, length_of, run_of
from schedule2sign.production.cutwidth import plan_cut
from schedule2sign.production.process import load_process
from schedule2sign.production.reach import measure_reach

IN = 25.4
FONTS = Path(__file__).parents[2] / "templates" / "fonts"
CHARS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789&-"
CAP_MM = 0.625 * IN


@cache
def glyphs(file: str) -> dict[str, BaseGeometry]:
    """Letters at 5/8 in, read with fontTools alone."""
    path = FONTS / file
    if not path.is_file():
        pytest.skip(f"{file} is not shipped")
    font = TTFont(path)
    names, cmap = font.getGlyphSet(), font.getBestCmap()
    return {char: outline_of(names, cmap[ord(char)], CAP_MM / font["OS/2"].sCapHeight) for char in CHARS}


def outline_of(names, name: str, scale: float) -> BaseGeometry:
    pen = DecomposingRecordingPen(names)
    names[name].draw(pen)
    contours, points = [], []
    for step, given in pen.value:
        at = [(x * scale, y * scale) for x, y in (point for point in given if point)] if given else []
        if step == "moveTo":
            points = [at[0]]
        elif step == "lineTo":
            points.append(at[0])
        elif step == "curveTo":
            points += flatten_cubic(points[-1], *at, 0.002)
        elif step == "qCurveTo":
            for index, control in enumerate(at[:-1]):
                last = index == len(at) - 2
                end = at[-1] if last else tuple((a + b) / 2 for a, b in zip(control, at[index + 1], strict=True))
                points += flatten_quadratic(points[-1], control, end, 0.002)
        else:
            contours.append(points)
    return fill_contours(contours)


def cut_for(angle: float):
    process = load_process(overrides={"letter_cutter": {"included_angle_deg": angle}})
    return plan_cut(process.letter_cutter, process.letter_cut)


def simulate(shape: BaseGeometry, offset_mm: float) -> BaseGeometry:
    """What stands once the groove is cut: the pieces of the plate the groove leaves that lie on the letter."""
    groove = shapely.union_all(
        [shapely.LinearRing(ring).buffer(offset_mm, quad_segs=64) for ring in center_lines(shape, offset_mm)]
    )
    plate = shape.envelope.buffer(5)
    pieces = shapely.get_parts(plate.difference(groove))
    return shapely.union_all([piece for piece in pieces if piece.intersection(shape).area > 0.5 * piece.area])


@pytest.mark.parametrize("file", ["Inter-Regular.otf", "RobotoCondensed-Regular.ttf", "Cabin-Regular.otf"])
@pytest.mark.parametrize("angle", [20, 30, 40])
def test_the_groove_gives_back_the_letter(file, angle):
    offset = cut_for(angle).offset_mm
    for char, shape in glyphs(file).items():
        stands = simulate(shape, offset)
        # Nothing of the letter is lost by more than 0.02 mm anywhere.
        assert shape.buffer(-0.02).difference(stands).is_empty, char
        # What stands beyond 0.02 mm lies where a round cutter cannot go: outside the letter's morphological closing
        # there is nothing, computed here with a finer circle than the package's.
        closing = shape.buffer(offset, quad_segs=90).buffer(-offset, quad_segs=90)
        assert stands.difference(closing.buffer(0.02)).is_empty, char
        assert closing.difference(shape).area / shape.area < 0.05, char
        # Away from those corners the edge is on the drawn outline.
        corners = closing.difference(shape.buffer(0.005)).buffer(0.1)
        assert stands.symmetric_difference(shape).difference(corners).buffer(-0.01).is_empty, char


def test_a_path_on_the_outline_would_be_seen():
    """The proof can fail: with half the offset the letter loses its edge."""
    shape, offset = glyphs("Inter-Regular.otf")["H"], cut_for(30).offset_mm
    wrong = shapely.LinearRing(center_lines(shape, offset / 2)[0]).buffer(offset)
    assert not shape.buffer(-0.02).difference(shape.difference(wrong)).is_empty


@pytest.mark.parametrize("file", ["Inter-Regular.otf", "RobotoCondensed-Regular.ttf"])
def test_counters_come_first_and_the_same_edge_faces_the_letter(file):
    for char, shape in glyphs(file).items():
        outline = Outline(
            char=char, height_mm=CAP_MM, rings=shape_rings(shape), box=Box(left_mm=0, bottom_mm=0, right_mm=1, top_mm=1)
        )
        for direction in Direction:
            paths = _plan_outline(outline, cut_for(30).offset_mm, direction)
            kinds = [path.kind for path in paths]
            assert kinds == sorted(kinds, key=[PathKind.COUNTER, PathKind.OUTLINE].index)
            assert kinds.count(PathKind.COUNTER) == sum(len(part.interiors) for part in shapely.get_parts(shape))
            # Climb: clockwise round an outline, counter-clockwise in a counter (spindle clockwise seen from above).
            for path in paths:
                clockwise = ring_area(path.ring) < 0
                assert clockwise is ((path.kind is PathKind.OUTLINE) is (direction is Direction.CLIMB))


def test_points_are_few_and_chords_close():
    """Within 0.0005 in of the true offset curve, without thousands of points."""
    for char, shape in glyphs("Inter-Regular.otf").items():
        offset = cut_for(30).offset_mm
        true = shape.buffer(offset, quad_segs=200).boundary
        for ring in center_lines(shape, offset):
            assert len(ring) < 400, char
            worst = max(
                true.distance(shapely.Point(point)) for point in shapely.LinearRing(ring).segmentize(0.05).coords
            )
            assert worst <= 0.0005 * IN, char


def test_overcut_runs_on_past_the_start():
    shape = glyphs("Inter-Regular.otf")["O"]
    box = Box(left_mm=0, bottom_mm=0, right_mm=1, top_mm=1)
    outline = Outline(char="O", height_mm=CAP_MM, rings=shape_rings(shape), box=box)
    for path in _plan_outline(outline, cut_for(30).offset_mm, Direction.CLIMB):
        once = length_of((*path.ring, path.ring[0]))
        run = run_of(path, 0.508)
        assert length_of(run) == pytest.approx(once + 0.508)
        assert run[len(path.ring)] == path.ring[0]
        assert run_of(path, 0) == (*path.ring, path.ring[0])


@pytest.mark.parametrize(("char", "high"), [("M", 0.02), ("W", 0.02), ("4", 0.02), ("O", 0.002)])
def test_inner_corners(char, high):
    """Common practice, no source, measured on four faces: at a 30 degree cutter M and W up to 1.6 %, 4 up to 1.0 %, O nothing."""
    cut = cut_for(30)
    for file in ("Inter-Regular.otf", "RobotoCondensed-Regular.ttf", "Cabin-Regular.otf"):
        reach = measure_reach(shape_rings(glyphs(file)[char]), cut.offset_mm, 0.0508)
        assert 0 <= reach.corner_share < high
        assert reach.vanished == reach.closed == 0


def test_a_counter_the_cutter_cannot_enter():
    outer = shapely.box(0, 0, 10, 10)
    narrow = outer.difference(shapely.box(4.8, 2, 5.2, 8))  # 0.4 mm wide; the cutter needs 0.83
    reach = measure_reach(shape_rings(narrow), cut_for(30).offset_mm, 0.0508)
    assert (reach.vanished, reach.closed) == (1, 0)
    assert reach.counters_mm[0] == pytest.approx(0.4, abs=0.02)


def test_a_notch_that_grows_shut():
    outer = shapely.box(0, 0, 10, 10)
    keyhole = outer.difference(shapely.box(3, 3, 7, 7)).difference(shapely.box(4.8, 6, 5.2, 11))
    reach = measure_reach(shape_rings(keyhole), cut_for(30).offset_mm, 0.0508)
    assert (reach.vanished, reach.closed) == (0, 1)


@pytest.mark.parametrize(("wide_in", "thin"), [(0.035, 0), (0.033, 1)])
def test_a_stroke_that_would_tear(wide_in, thin):
    """0.030 in must be left with the path off by 0.002 in on both sides (common practice, no source)."""
    bar = ((0.0, 0.0), (wide_in * IN, 0.0), (wide_in * IN, 15.0), (0.0, 15.0))
    assert measure_reach((bar,), 0.3, 0.002 * IN).thin == thin


def test_rounded_corner_area_is_the_one_computed():
    """A right-angled inner corner keeps r^2 (1 - pi/4); an L has one (computed)."""
    shape = shapely.box(0, 0, 10, 3).union(shapely.box(0, 0, 3, 10))
    offset = cut_for(30).offset_mm
    share = measure_reach(shape_rings(shape), offset, 0).corner_share
    assert share * shape.area == pytest.approx(offset**2 * (1 - math.pi / 4), rel=0.02)
