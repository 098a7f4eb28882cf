"""What holds for every sign: one verdict a rule, counts that add up, and no verdict that depends on the place."""

import importlib.util
import math
import sys
from collections import Counter
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from schedule2sign.model.rule import Outcome
from schedule2sign.model.shape import Box, Outline, PlacedGlyph
from schedule2sign.rules.engine import check_sign, flag_verdicts
from schedule2sign.rules.ink import distance_mm, glyph_shape
from schedule2sign.rules.profile import load_profile, profile_ids
from schedule2sign.rules.registry import BY_ID, RULES


def load_builder() -> ModuleType:
    """The builder of the rule cases, loaded by its path: tests are no package."""
    if "rule_sign_builder" not in sys.modules:
        path = Path(__file__).resolve().parents[1] / "rules" / "sign_builder.py"
        spec = importlib.util.spec_from_file_location("rule_sign_builder", path)
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        sys.modules["rule_sign_builder"] = module
        spec.loader.exec_module(module)
    return sys.modules["rule_sign_builder"]


builder = load_builder()

# The plate itself starts at 0, 0, so what stands on it comes nearer to its edge when it moves.
ABOUT_THE_PLATE = {"plate/edge", "plate/holes", "plate/window"}

inches = st.floats(min_value=0.01, max_value=2.0).map(lambda value: value * 25.4)
shares = st.floats(min_value=0.02, max_value=2.0)
LINES = [
    {"messages": ["101"], "lines": [[0, "101"]], "braille": ["⠼⠁⠚⠁"], "braille_text": ["101"]},
    {"messages": ["A"], "lines": [[0, "A"]], "braille": ["⠁"], "braille_text": ["A"]},
    {"messages": ["EXIT"], "lines": [[0, "EXIT"]], "braille": [], "braille_text": []},
    {"messages": [], "lines": [], "braille": [], "braille_text": []},
    {"messages": ["QUIET ROOM"], "lines": [[0, "QUIET"], [0, "ROOM"]], "tail": 2.0},
    {},
]
signs = st.builds(
    lambda text, values: {**text, **values},
    st.sampled_from(LINES),
    st.fixed_dictionaries(
        {},
        optional={
            "height": inches,
            "gap": inches,
            "word_gap": inches,
            "raised": inches,
            "side_deg": st.sampled_from([0.0, 10.0, 15.0, 30.0]),
            "line_pitch": shares,
            "message_gap": inches,
            "stroke": shares,
            "o_ratio": shares,
            "dot_pitch": inches,
            "cell_pitch": inches,
            "braille_line_pitch": inches,
            "dot_base": inches,
            "dot_height": inches,
            "braille_gap": inches,
            "serifs": st.booleans(),
            "slant": st.floats(min_value=-30, max_value=30),
            "border": st.sampled_from([["text", "0.4 in"], ["text", "0.1 in"]]),
            "holes": st.sampled_from([[], [["0.375 in", "0.375 in"]], [["2 in", "2 in"], ["2.2 in", "2 in"]]]),
            "pictogram": st.sampled_from([[], ["0 in", "3 in", "8 in", "9 in"], ["1 in", "1 in", "3 in", "3 in"]]),
            "window": st.sampled_from([[], ["1 in", "0.5 in", "8 in", "1.5 in"]]),
            "flat": st.sampled_from([[], [["OPEN LATE", "0.5 in", "5 in"], ["9 TO 5", "0.75 in", "4 in"]]]),
            "viewing": inches,
            "hand": st.sampled_from(["", "LH, so to the RIGHT of the door as you face it", "PAIR"]),
            "asked_pictogram": st.sampled_from(["", "star"]),
            "star": st.sampled_from([["1 in", "0.4 in", "6.5 in"], ["0.625 in", "0.5 in", "6.6 in"]]),
            "base_reflectance": st.floats(min_value=0, max_value=100),
            "letter_reflectance": st.floats(min_value=0, max_value=100),
        },
    ),
)
# A border is drawn around letters, so only signs with letters have one.
signs = signs.filter(lambda sign: sign.get("lines", True) or "border" not in sign)
profiles = st.sampled_from(profile_ids()).map(load_profile)


@settings(max_examples=60, deadline=None)
@given(changes=signs, profile=profiles)
def test_one_verdict_for_every_rule_and_the_counts_add_up(changes: dict[str, Any], profile: Any) -> None:
    sign = builder.build_sign(changes)
    verdicts = check_sign(sign, profile)
    assert [verdict.rule for verdict in verdicts] == [rule.id for rule in RULES]
    counts = Counter(verdict.outcome for verdict in verdicts)
    assert sum(counts[outcome] for outcome in Outcome) == len(RULES)
    # Nothing here is nonsense, so no rule may fail on it.
    assert counts[Outcome.NOT_CHECKED] == 0, [verdict.why_not for verdict in verdicts]


@settings(max_examples=60, deadline=None)
@given(changes=signs, profile=profiles)
def test_a_verdict_is_flagged_just_when_it_has_findings(changes: dict[str, Any], profile: Any) -> None:
    sign = builder.build_sign(changes)
    verdicts = check_sign(sign, profile)
    for verdict in verdicts:
        assert (verdict.outcome is Outcome.FLAGGED) == bool(verdict.findings)
        assert bool(verdict.why_not) == (verdict.outcome in (Outcome.NOT_APPLICABLE, Outcome.NOT_CHECKED))
        # The value kept as closest is outside just when some value was.
        outside = any(measurement.margin < -1e-6 for measurement in verdict.closest)
        assert outside == any(finding.measurement for finding in verdict.findings)
    flagged = {verdict.rule for verdict in verdicts if verdict.findings}
    flags = flag_verdicts(sign, verdicts)
    assert {flag.code.removeprefix("rules/").rpartition("/")[0] for flag in flags} == flagged
    for flag in flags:
        rule_id, _, code = flag.code.removeprefix("rules/").rpartition("/")
        assert flag.severity is BY_ID[rule_id].codes[code]


@settings(max_examples=60, deadline=None)
@given(
    changes=signs,
    profile=profiles,
    dx_mm=st.floats(min_value=-500, max_value=500),
    dy_mm=st.floats(min_value=-500, max_value=500),
)
def test_moving_everything_changes_no_geometric_verdict(
    changes: dict[str, Any], profile: Any, dx_mm: float, dy_mm: float
) -> None:
    sign = builder.build_sign(changes)
    moved = builder.shift_sign(sign, dx_mm, dy_mm)
    before = {v.rule: v for v in check_sign(sign, profile) if v.rule not in ABOUT_THE_PLATE}
    after = {v.rule: v for v in check_sign(moved, profile) if v.rule not in ABOUT_THE_PLATE}
    for rule_id, verdict in before.items():
        other = after[rule_id]
        # Within float noise of a limit either answer is right.
        if any(abs(abs(m.margin) - 1e-6) < 1e-9 for m in (*verdict.closest, *other.closest)):
            continue
        assert (other.outcome, len(other.findings)) == (verdict.outcome, len(verdict.findings)), rule_id
        for a, b in zip(verdict.closest, other.closest, strict=True):
            assert abs(a.value - b.value) < 1e-6 * max(1.0, abs(a.value)), rule_id


def _point_to_segment(point: Any, a: Any, b: Any) -> float:
    along = (b[0] - a[0], b[1] - a[1])
    length = along[0] ** 2 + along[1] ** 2
    share = ((point[0] - a[0]) * along[0] + (point[1] - a[1]) * along[1]) / length if length else 0.0
    share = min(1.0, max(0.0, share))
    return math.dist(point, (a[0] + share * along[0], a[1] + share * along[1]))


def _apart(first: Any, second: Any) -> float:
    """Closest points of two polygons that do not meet: a corner of one and a side of the other."""
    pairs = [(first, second), (second, first)]
    return min(
        _point_to_segment(point, a, b)
        for points, ring in pairs
        for point in points
        for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)
    )


# Any number, but none of the kind of 1e-160: an outline has no sides under 1e-9 mm (geometry/rings.py), and on such the geometry
# library warns of a division by zero.
coordinates = st.floats(min_value=0, max_value=10).map(lambda value: value if value >= 1e-9 else 0.0)
rings = st.lists(st.tuples(coordinates, coordinates), min_size=3, max_size=7).map(tuple)


@settings(max_examples=200, deadline=None)
@given(first=rings, second=rings, apart_mm=st.floats(min_value=0.01, max_value=10))
def test_closest_points_agree_with_plain_geometry(first: Any, second: Any, apart_mm: float) -> None:
    """Two letters side by side, measured by a few lines of plain geometry that share no code with the rules."""

    def place(ring: Any, x_mm: float) -> PlacedGlyph:
        area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
        # Outer contours run counter-clockwise.
        turned = ring if area > 0 else tuple(reversed(ring))
        box = Box(left_mm=0, bottom_mm=0, right_mm=10, top_mm=10)
        return PlacedGlyph(outline=Outline(char="X", height_mm=10, rings=(turned,), box=box), x_mm=x_mm, baseline_mm=0)

    def is_flat(ring: Any) -> bool:
        return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))) < 1e-3

    assume(not is_flat(first) and not is_flat(second))
    a, b = place(first, 0), place(second, 10 + apart_mm)
    expected = _apart(a.rings[0], b.rings[0])
    assert distance_mm(glyph_shape(a), glyph_shape(b)) == pytest.approx(expected, abs=1e-9)


@settings(max_examples=20, deadline=None)
@given(changes=signs, profile=profiles)
def test_checking_twice_says_the_same(changes: dict[str, Any], profile: Any) -> None:
    first, second = (builder.build_sign(changes) for _ in range(2))
    verdicts = check_sign(first, profile)
    assert verdicts == check_sign(second, profile)
    assert flag_verdicts(first, verdicts) == flag_verdicts(second, check_sign(second, profile))
