"""The engine: judging at the edge of a limit, verdicts that cannot be silent, and what a flag says."""

import importlib.util
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType, ModuleType

import pytest

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.rule import FLOAT_NOISE_MM, Basis, Limit, Outcome, Verdict
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.engine import check_sign, flag_verdicts, judge_rule, measure_margin
from schedule2sign.rules.margins import find_close, flag_close
from schedule2sign.rules.profile import load_profile
from schedule2sign.rules.registry import BY_ID, RULES
from schedule2sign.rules.rule import Measured, Rule, Stated
from schedule2sign.rules.wording import say_value


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


build_sign = load_builder().build_sign
FEDERAL = load_profile("us-ada-2010")
CALIFORNIA = load_profile("us-california")


def limit(low: str | None, high: str | None, unit: str = "in") -> Limit:
    return Limit(key="k", low=low, high=high, unit=unit, clause="c", basis=Basis.STANDARD)


# ---- at the edge -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value_mm", "side"),
    [
        (2.286, ""),
        (2.286 - 0.9 * FLOAT_NOISE_MM, ""),
        (2.286 - 1.1 * FLOAT_NOISE_MM, "too-small"),
        (2.54, ""),
        (2.54 + 0.9 * FLOAT_NOISE_MM, ""),
        (2.54 + 1.1 * FLOAT_NOISE_MM, "too-large"),
        (2.4, ""),
    ],
)
def test_range_has_no_tolerance_but_float_noise(value_mm: float, side: str) -> None:
    """ADA 104.1.1: no tolerance where the text gives a range; 0.090 to 0.100 in. are 2.286 to 2.54 mm."""
    assert measure_margin(value_mm, limit("0.090", "0.100"))[1] == side


def test_margin_is_the_distance_to_the_nearest_end() -> None:
    window = limit("0.090", "0.100")
    assert measure_margin(2.336, window)[0] == pytest.approx(0.05)
    assert measure_margin(2.5, window)[0] == pytest.approx(0.04)
    assert measure_margin(2.0, window)[0] == pytest.approx(-0.286)
    assert measure_margin(1.0, limit(None, "15", "percent"))[0] == pytest.approx(14)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
@pytest.mark.parametrize("window", [limit("1", None), limit(None, "1"), limit("1", "2")])
def test_what_is_no_number_is_never_inside(value: float, window: Limit) -> None:
    with pytest.raises(ValueError, match="was measured as"):
        measure_margin(value, window)


# ---- never silent ------------------------------------------------------------------------------------------------


def mutant(rule: str, **changes: object) -> Rule:
    return replace(BY_ID[rule], **changes)  # type: ignore[arg-type]


def crash(_sign: SignLayout) -> Iterator[Measured | Stated]:
    raise ZeroDivisionError("a fault")
    yield


def test_a_rule_that_crashes_is_not_checked() -> None:
    verdict = judge_rule(mutant("raised/depth", check=crash), build_sign(), FEDERAL)
    assert verdict.outcome is Outcome.NOT_CHECKED
    assert verdict.why_not == "the rule failed with ZeroDivisionError: a fault"


def test_a_rule_whose_condition_crashes_is_not_checked() -> None:
    verdict = judge_rule(mutant("raised/depth", applies=lambda sign: sign.nothing), build_sign(), FEDERAL)
    assert verdict.outcome is Outcome.NOT_CHECKED
    assert "AttributeError" in verdict.why_not


def test_a_rule_that_applies_and_measures_nothing_is_not_checked() -> None:
    verdict = judge_rule(mutant("raised/depth", check=lambda sign: iter(())), build_sign(), FEDERAL)
    assert (verdict.outcome, verdict.why_not) == (Outcome.NOT_CHECKED, "the rule applies but measured nothing")


def test_a_missing_limit_is_not_checked() -> None:
    bare = replace(FEDERAL, limits=MappingProxyType({k: v for k, v in FEDERAL.limits.items() if k != "dot_pitch"}))
    verdict = judge_rule(BY_ID["braille/dot-pitch"], build_sign(), bare)
    assert verdict.outcome is Outcome.NOT_CHECKED
    assert verdict.why_not == "the profile us-ada-2010 says nothing of dot_pitch"


def test_one_missing_limit_of_several_is_not_checked() -> None:
    bare = replace(FEDERAL, limits=MappingProxyType({k: v for k, v in FEDERAL.limits.items() if k != "edge_braille"}))
    assert judge_rule(BY_ID["plate/edge"], build_sign(), bare).outcome is Outcome.NOT_CHECKED


def test_a_rule_may_only_use_what_it_declares() -> None:
    def peek(_sign: SignLayout) -> Iterator[Measured]:
        yield Measured(limit="dot_pitch", value=2.4, where="here")

    verdict = judge_rule(mutant("raised/depth", check=peek), build_sign(), FEDERAL)
    assert verdict.outcome is Outcome.NOT_CHECKED
    assert "'dot_pitch' is no declared limit" in verdict.why_not


def test_a_rule_may_only_give_codes_it_declares() -> None:
    def invent(_sign: SignLayout) -> Iterator[Stated]:
        yield Stated(requirement="case", value="small caps", code="small-caps", where="here")

    verdict = judge_rule(mutant("raised/case", check=invent), build_sign(), FEDERAL)
    assert verdict.outcome is Outcome.NOT_CHECKED
    assert "'small-caps' is no declared code" in verdict.why_not


def test_not_checked_holds_the_sign() -> None:
    verdict = Verdict(rule="braille/dot-pitch", outcome=Outcome.NOT_CHECKED, why_not="the rule failed")
    (flag,) = flag_verdicts(build_sign(), [verdict])
    assert (flag.code, flag.severity) == ("rules/braille/dot-pitch/not-checked", Severity.HOLD)
    assert "the rule failed" in flag.message


def test_a_sign_with_nonsense_in_it_is_held_not_passed() -> None:
    sign = build_sign({"dot_pitch": float("nan")})
    outcomes = {verdict.rule: verdict.outcome for verdict in check_sign(sign, FEDERAL)}
    assert outcomes["braille/dot-pitch"] is Outcome.NOT_CHECKED


def test_waived_limit_is_told_apart_from_a_missing_one() -> None:
    verdict = judge_rule(BY_ID["braille/gap-to-text"], build_sign(), FEDERAL)
    assert verdict.outcome is Outcome.NOT_APPLICABLE
    assert verdict.why_not == FEDERAL.waived["braille_gap"]


def test_a_rule_that_measured_only_what_is_waived_does_not_apply() -> None:
    only_waived = mutant(
        "raised/stroke", check=lambda sign: iter([Measured(limit="stroke_width", value=2.0, where="here")])
    )
    verdict = judge_rule(only_waived, build_sign(), FEDERAL)
    assert (verdict.outcome, verdict.why_not) == (Outcome.NOT_APPLICABLE, FEDERAL.waived["stroke_width"])


# ---- what is kept ------------------------------------------------------------------------------------------------


def test_every_measured_limit_keeps_its_closest_value() -> None:
    sign = build_sign({"nudge": [[1, 6, 2, "0 in", "-0.002 in"]]})
    verdict = judge_rule(BY_ID["braille/dot-pitch"], sign, FEDERAL)
    (closest,) = verdict.closest
    # Dots 2 and 3 of the cell are 0.093 in. apart and dots 1 and 2 0.097 in.: each 0.003 in. inside.
    assert verdict.outcome is Outcome.MET
    assert closest.margin / 25.4 == pytest.approx(0.003)
    assert closest.where.startswith("braille line 2, cell 7, dot ")


def test_met_rules_with_numbers_show_them() -> None:
    for verdict in check_sign(build_sign(), FEDERAL):
        declared = [key for key in BY_ID[verdict.rule].limits if key in FEDERAL.limits]
        if verdict.outcome is Outcome.MET and declared:
            assert verdict.closest, verdict.rule


# ---- what a flag says --------------------------------------------------------------------------------------------


def flags_of(rule: str, changes: dict[str, object], profile: object = FEDERAL) -> tuple[Flag, ...]:
    sign = build_sign(changes)
    return flag_verdicts(sign, [judge_rule(BY_ID[rule], sign, profile)])  # type: ignore[arg-type]


def test_a_flag_says_what_where_how_much_and_what_to_do() -> None:
    (flag,) = flags_of("braille/text-clear", {"braille_gap": "0.37 in"})
    assert flag == Flag(
        code="rules/braille/text-clear/too-small",
        severity=Severity.HOLD,
        message="Braille dots to the raised characters: raised line 'ROOM': 0.3700 in, required 3/8 in min. (ADA 703.3.2).",
        source=build_sign().request.source,
        sign_id="CASE-1",
        measured="0.3700 in",
        required="3/8 in min.",
        clause="ADA 703.3.2",
        fix="Move the braille down; letters with tails hang below the baseline.",
        who="shop",
    )


def test_many_places_make_one_flag_that_names_the_worst() -> None:
    changes = {
        "messages": ["101"],
        "lines": [[0, "101"]],
        "braille": ["⠁⠁⠁⠁"],
        "braille_text": ["101"],
        "cell_pitch": "0.31 in",
        "nudge": [[0, 3, 1, "0.01 in", "0 in"]],
    }
    (flag,) = flags_of("braille/cell-pitch", changes)
    assert flag.measured == "0.3200 in"
    assert "braille line 1, cell 3, dot 1 to braille line 1, cell 4, dot 1: 0.3200 in" in flag.message
    assert flag.message.endswith("; 2 more places likewise.")


def test_too_small_and_too_large_are_two_flags() -> None:
    changes = {"nudge": [[1, 6, 2, "0 in", "-0.006 in"]]}
    assert [flag.code for flag in flags_of("braille/dot-pitch", changes)] == [
        "rules/braille/dot-pitch/too-large",
        "rules/braille/dot-pitch/too-small",
    ]


def test_a_property_not_allowed_says_what_was_found() -> None:
    (flag,) = flags_of("braille/domed", {"dot_shape": "flat"})
    assert (flag.measured, flag.required, flag.clause) == ("flat", "domed or rounded", "ADA 703.3.1")
    assert flag.message == (
        "Shape of the braille dots: as declared by the job: flat, required domed or rounded (ADA 703.3.1)."
    )


@pytest.mark.parametrize(
    ("rule", "changes", "profile", "words"),
    [
        ("braille/gap-to-text", {"braille_gap": "1 in"}, CALIFORNIA, "limit from memory, not read in the text"),
        ("raised/border-clear", {"border": ["text", "0.1 in"]}, FEDERAL, "limit read second hand"),
        ("plate/edge", {"text_left": "0.1 in"}, FEDERAL, "house limit, printed in no standard"),
    ],
)
def test_a_doubtful_limit_is_said_to_be_one(rule: str, changes: dict[str, object], profile: object, words: str) -> None:
    assert all(words in flag.message for flag in flags_of(rule, changes, profile))


def test_the_job_own_code_is_asked_not_held() -> None:
    flags = flags_of("braille/grade", {"braille_code": "spanish", "message_code": "spanish"})
    assert [(flag.code, flag.severity) for flag in flags] == [("rules/braille/grade/job-code", Severity.ASK)]


@pytest.mark.parametrize(
    ("value_mm", "window", "text"),
    [
        (2.54, limit("0.090", "0.100"), "0.1000 in"),
        (2.54 + 0.0002, limit("0.090", "0.100"), "0.10001 in"),
        (2.286 - 0.00001, limit("0.090", "0.100"), "0.0899996 in"),
        (10.0, limit("10.2", None, "mm"), "10.000 mm"),
        (15.0, limit(None, "15", "percent"), "15.00 %"),
        (15.00001, limit(None, "15", "percent"), "15.00001 %"),
        (3.999, limit(None, "4", "strokes"), "3.999 strokes"),
        (-0.0000001, limit("1", None, "deg"), "0.00 deg"),
    ],
)
def test_a_value_is_printed_so_that_it_differs_from_the_limit_it_breaks(
    value_mm: float, window: Limit, text: str
) -> None:
    assert say_value(value_mm, window) == text


# ---- near the end of a range -------------------------------------------------------------------------------------


def close(changes: dict[str, object], tolerance_in: float, profile: object = FEDERAL) -> dict[str, Flag]:
    """Notes by rule."""
    sign = build_sign(changes)
    flags = flag_close([("CASE-1", find_close(check_sign(sign, profile), tolerance_in * 25.4))], tolerance_in * 25.4)  # type: ignore[arg-type]
    assert all(flag.severity is Severity.NOTE for flag in flags)
    return {flag.code.removeprefix("rules/").removesuffix("/close-to-limit"): flag for flag in flags}


def test_values_within_the_process_tolerance_are_noted() -> None:
    """The line pitch window is 0.005 in. wide: drawn in its middle it is 0.0025 in. from both ends.

    The letters are 5/8 in. high, the least of a range; a dot's largest base is 0.002 in. away.
    """
    found = close({}, 0.003)
    assert set(found) == {"raised/height", "braille/dot-base", "braille/line-pitch"}
    assert "closest 0.3975 in, 0.0025 in inside 0.395 to 0.400 in (ADA Table 703.3.1), on CASE-1" in (
        found["braille/line-pitch"].message
    )
    assert "tolerance of 0.0030 in could carry 1 sign over" in found["braille/line-pitch"].message
    assert "closest 0.0610 in, 0.0020 in inside 0.059 to 0.063 in" in found["braille/dot-base"].message


def test_a_better_process_notes_less() -> None:
    assert close({"height": "0.75 in"}, 0.0019) == {}


@pytest.mark.parametrize(
    ("changes", "noted"),
    [
        # 703.2.8 is a range in percent: 1 percent of 3/4 in. is 0.0075 in., so 0.1 percent are 0.00075 in.
        ({"height": "0.75 in", "line_pitch": 1.351}, {"raised/line-pitch"}),
        ({"height": "0.75 in", "line_pitch": 1.354}, set()),
        # 703.2.7 prints both ends of the gap, one in inches and one in strokes.
        ({"height": "0.75 in", "gap": "0.126 in"}, {"raised/gap-upright"}),
        ({"height": "0.75 in", "gap": "0.389 in"}, {"raised/gap-upright"}),
        ({"height": "0.75 in", "gap": "0.387 in"}, set()),
    ],
)
def test_ranges_in_other_units_are_ranges_too(changes: dict[str, object], noted: set[str]) -> None:
    assert set(close(changes, 0.0019)) == noted


def test_values_at_a_minimum_without_maximum_are_not_noted() -> None:
    """Only ranges go without tolerance (104.1.1)."""
    assert close({"height": "0.75 in", "braille_gap": "3/8 in", "raised": "1/32 in"}, 0.0019) == {}


def test_one_fixed_value_is_not_noted() -> None:
    assert close({"height": "0.75 in", "dot_pitch": "0.100 in", "cell_pitch": "0.300 in"}, 0.0019, CALIFORNIA) == {}


def test_a_value_outside_is_a_finding_and_no_note() -> None:
    assert close({"height": "0.75 in", "dot_height": "0.0375 in"}, 0.001) == {}


def test_many_close_signs_make_one_note_that_names_the_closest() -> None:
    verdicts = [
        (f"S-{i}", check_sign(build_sign({"height": "0.75 in", "dot_height": f"0.0{251 + i} in"}), FEDERAL))
        for i in range(8)
    ]
    (flag,) = flag_close([(sign, find_close(found, 0.0019 * 25.4)) for sign, found in verdicts], 0.0019 * 25.4)
    assert "could carry 8 signs over; closest 0.0251 in, 0.0001 in inside 0.025 to 0.037 in" in flag.message
    assert "on S-0, " in flag.message
    assert flag.message.endswith("Signs: S-0, S-1, S-2, S-3, S-4 and 3 more.")


def test_a_doubtful_limit_is_said_to_be_one_in_a_note_too() -> None:
    found = close({"height": "0.75 in", "braille_gap": "0.499 in"}, 0.0019, CALIFORNIA)
    assert "limit from memory" in found["braille/gap-to-text"].message


# ---- worked examples ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("included_deg", "base_in"), [(30, 0.1062), (60, 0.0846)])
def test_gap_at_the_base_of_letters_cut_with_a_cone(included_deg: float, base_in: float) -> None:
    """Each wall leans by depth x tan(half the included angle): 0.125 in. at the face, 0.035 in. deep.

    0.035 tan 15 = 0.00938 and 0.035 tan 30 = 0.02021 (arithmetic); 703.2.7 asks for 1/16 in. at the base.
    """
    sign = build_sign({"side_deg": included_deg / 2, "raised": "0.035 in", "gap": "0.125 in"})
    verdict = judge_rule(BY_ID["raised/gap-sloped"], sign, FEDERAL)
    closest = {measurement.limit.key: measurement.value / 25.4 for measurement in verdict.closest}
    assert verdict.outcome is Outcome.MET
    assert closest["gap_base"] == pytest.approx(base_in, abs=5e-5)
    assert closest["gap_face"] == pytest.approx(0.125)


@pytest.mark.parametrize(("stroke", "widest_in"), [(0.12, 0.300), (0.15, 0.375)])
def test_widest_gap_at_five_eighths(stroke: float, widest_in: float) -> None:
    """703.2.7: four strokes; at 5/8 in. and 12 percent that is 0.300 in., at 15 percent 0.375 in. (arithmetic)."""
    for gap_in, outcome in ((widest_in, Outcome.MET), (widest_in + 0.0001, Outcome.FLAGGED)):
        sign = build_sign({"stroke": stroke, "gap": f"{gap_in:.4f} in"})
        assert judge_rule(BY_ID["raised/gap-upright"], sign, FEDERAL).outcome is outcome


# ---- the registry ------------------------------------------------------------------------------------------------


def test_one_verdict_for_every_rule_in_order() -> None:
    verdicts = check_sign(build_sign(), FEDERAL)
    assert [verdict.rule for verdict in verdicts] == [rule.id for rule in RULES]
    counts = Counter(verdict.outcome for verdict in verdicts)
    assert counts[Outcome.FLAGGED] == counts[Outcome.NOT_CHECKED] == 0
    assert sum(counts.values()) == len(RULES)


def test_every_field_of_every_rule_is_filled() -> None:
    for rule in RULES:
        assert rule.id.count("/") == 1
        assert all(text.strip() for text in (rule.title, rule.why, rule.fix, rule.otherwise))
        assert rule.why.endswith(".")
        assert rule.fix.endswith(".")
        assert rule.limits or rule.requirements
        assert rule.codes
