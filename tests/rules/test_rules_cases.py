"""Every rule against its cases: at, just inside and just outside each limit, where it does not apply, and mutants."""

import importlib.util
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from types import MappingProxyType, ModuleType
from typing import Any

import pytest

from schedule2sign.model.rule import Limit, Outcome
from schedule2sign.rules.engine import check_sign, flag_verdicts, judge_rule
from schedule2sign.rules.profile import Profile, load_profile
from schedule2sign.rules.registry import BY_ID, RULES
from schedule2sign.rules.rule import Rule


def load_builder() -> ModuleType:
    """The builder lies beside this file; tests are no package, so it is loaded by its path, once."""
    if "rule_sign_builder" not in sys.modules:
        path = Path(__file__).resolve().parent / "sign_builder.py"
        spec = importlib.util.spec_from_file_location("rule_sign_builder", path)
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        sys.modules["rule_sign_builder"] = module
        spec.loader.exec_module(module)
    return sys.modules["rule_sign_builder"]


builder = load_builder()


@cache
def cases() -> tuple[Any, ...]:
    return tuple(builder.load_cases())


def passes(case: Any, rule: Rule, profile: Profile) -> bool:
    verdict = judge_rule(rule, case.sign, profile)
    return verdict.outcome == case.outcome and dict(Counter(f.code for f in verdict.findings)) == case.findings


@pytest.mark.parametrize("case", cases(), ids=str)
def test_case_gets_its_verdict(case: Any) -> None:
    verdict = judge_rule(BY_ID[case.rule], case.sign, load_profile(case.profile))
    found = dict(Counter(finding.code for finding in verdict.findings))
    assert (verdict.outcome, found) == (case.outcome, case.findings), (verdict.why_not, verdict.findings)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_rule_has_cases_of_every_kind(rule: Rule) -> None:
    own = [case for case in cases() if case.rule == rule.id]
    outcomes = {case.outcome for case in own}
    assert outcomes == {"met", "flagged", "not applicable"}
    reached = {code for case in own for code in case.findings}
    # A code no case reaches is one nobody has seen work. One-sided limits cannot reach both sides.
    both = {"too-small", "too-large"}
    assert reached - both == set(rule.codes) - both
    assert not rule.limits or reached & both


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_clause_of_the_cases_is_the_clause_in_force(rule: Rule) -> None:
    """A case file names the clause it was written from; the profile must cite the same."""
    for case in cases():
        if case.rule == rule.id and case.of_clause:
            profile = load_profile(case.profile)
            entries = [profile.limits.get(k) or profile.requirements.get(k) for k in (*rule.limits, *rule.requirements)]
            cited = {entry.clause for entry in entries if entry is not None}
            if cited:
                assert any(clause == case.clause or clause.endswith(case.clause) for clause in cited), (case, cited)


def _moved(limit: Limit, end: str, share: Fraction) -> Limit | None:
    printed = getattr(limit, end)
    if printed is None:
        return None
    value = Fraction(printed)
    step = abs(value) * share if value else share
    text = str(Decimal((value + step).numerator) / Decimal((value + step).denominator))
    mutant = replace(limit, **{end: text})
    low, high = mutant.low_value, mutant.high_value
    if low is not None and high is not None and low > high:
        other = "high" if end == "low" else "low"
        mutant = replace(mutant, **{other: text})
    return mutant


def limit_mutants() -> Iterator[Any]:
    """Every limit of the federal profile, and the ones California has otherwise, moved by one percent each way."""
    federal = load_profile("us-ada-2010")
    for profile in (federal, load_profile("us-california")):
        for key, limit in profile.limits.items():
            same = federal.limits.get(key)
            if profile is not federal and same and (same.low, same.high) == (limit.low, limit.high):
                continue
            if key == "mounting_height":  # no rule judges it: it is for the installer's arithmetic
                continue
            for end in ("low", "high"):
                for share in (Fraction(1, 100), Fraction(-1, 100)):
                    mutant = _moved(limit, end, share)
                    if mutant is not None:
                        name = f"{profile.standard.id} {key}.{end} {float(share):+.0%}"
                        yield pytest.param(profile, mutant, id=name)


@pytest.mark.parametrize(("profile", "mutant"), list(limit_mutants()))
def test_a_moved_limit_fails_a_case(profile: Profile, mutant: Limit) -> None:
    changed = replace(profile, limits=MappingProxyType({**profile.limits, mutant.key: mutant}))
    concerned = [c for c in cases() if c.profile == profile.standard.id and mutant.key in BY_ID[c.rule].limits]
    assert not all(passes(case, BY_ID[case.rule], changed) for case in concerned)


class _Anything(tuple[str, ...]):
    """Allows every word."""

    def __contains__(self, _word: object) -> bool:
        return True


@pytest.mark.parametrize("allowed", [(), _Anything()], ids=["nothing allowed", "anything allowed"])
@pytest.mark.parametrize("key", sorted(load_profile("us-california").requirements))
def test_a_changed_requirement_fails_a_case(key: str, allowed: tuple[str, ...]) -> None:
    survivors = []
    for profile_id in ("us-ada-2010", "us-california"):
        profile = load_profile(profile_id)
        if key not in profile.requirements:
            continue
        mutant = replace(profile.requirements[key], allowed=allowed)
        changed = replace(profile, requirements=MappingProxyType({**profile.requirements, key: mutant}))
        concerned = [c for c in cases() if c.profile == profile_id and key in BY_ID[c.rule].requirements]
        survivors.append(all(passes(case, BY_ID[case.rule], changed) for case in concerned))
    assert not all(survivors)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_that_never_applies_fails_a_case(rule: Rule) -> None:
    lazy = replace(rule, applies=lambda sign: False)
    assert not all(passes(case, lazy, load_profile(case.profile)) for case in cases() if case.rule == rule.id)


@pytest.mark.parametrize(
    ("rule", "key"),
    [(rule, key) for rule in RULES for key in rule.limits],
    ids=lambda value: getattr(value, "id", value),
)
def test_a_rule_that_forgets_a_limit_fails_a_case(rule: Rule, key: str) -> None:
    """A mutant of the check that never reads one of its values."""
    forgetful = replace(
        rule,
        check=lambda sign: (r for r in rule.check(sign) if getattr(r, "limit", getattr(r, "requirement", "")) != key),
    )
    assert not all(passes(case, forgetful, load_profile(case.profile)) for case in cases() if case.rule == rule.id)


def test_busy_sign_has_an_exact_number_of_findings() -> None:
    """Everything at once, counted by hand: two lines of two letters, one line of braille of two cells, a border."""
    sign = builder.build_sign(
        {
            "messages": ["HI"],
            "lines": [[0, "HI"], [0, "Hi"]],  # message as cut 1, case 1
            "braille": ["⠓⠊"],
            "braille_text": ["NO"],  # missing 1, extra 1
            "braille_code": "ueb-uncontracted",  # other code 1
            "typed": [[0, "NO", "common word", "No"]],  # capital 1
            "height": "0.6 in",  # height: 2 lines, 2 H, 1 I = 5
            "stroke": 0.16,  # stroke: 2 lines, (I is cut narrower) = 2
            "gap": "0.1 in",  # gap: 2 pairs = 2
            "line_pitch": 1.2,  # line pitch 1, lines too close 1 (0.12 in)
            "raised": "0.03 in",  # depth 1
            "serifs": True,  # style 1
            "o_ratio": 0.5,  # proportion 1
            "dot_shape": "flat",  # 1
            "dot_base": "0.064 in",  # 1
            "dot_height": "0.024 in",  # 1
            "dot_pitch": "0.089 in",  # ⠓: dots 1 2 5 = 4 distances, ⠊: dots 2 4 = 2
            "cell_pitch": "0.31 in",  # like columns: 1-2, 2-2 left, 5-4 right = 3
            "braille_gap": "0.3 in",  # lower line too close 1
            "border": ["text", "0.3 in"],  # text lines too close 2, braille below their left edge 1
            "finish": "gloss",  # 1
            "letter_color": "Charcoal",  # 1
        }
    )
    verdicts = check_sign(sign, load_profile("us-ada-2010"))
    counts = {v.rule: len(v.findings) for v in verdicts if v.findings}
    assert counts == {
        "raised/says-message": 1,
        "raised/depth": 1,
        "raised/case": 1,
        "raised/style": 1,
        "raised/proportion": 1,
        "raised/height": 5,
        "raised/stroke": 2,
        "raised/gap-upright": 2,
        "raised/border-clear": 2,
        "raised/line-pitch": 1,
        "raised/line-clear": 1,
        "braille/repeats-text": 2,
        "braille/grade": 1,
        "braille/capitals": 1,
        "braille/domed": 1,
        "braille/dot-base": 1,
        "braille/dot-height": 1,
        "braille/dot-pitch": 6,
        "braille/cell-pitch": 3,
        "braille/text-clear": 1,
        "braille/border-clear": 1,
        "visual/finish": 1,
        "visual/light-dark": 1,
    }
    assert Outcome.NOT_CHECKED not in {verdict.outcome for verdict in verdicts}
    # One flag for each rule and code, however many places: 23 rules, and braille/repeats-text has two codes.
    assert len(flag_verdicts(sign, verdicts)) == 24
