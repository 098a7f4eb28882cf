"""Mutants of the checks themselves: turn round one comparison, sign, number or word of the source, and a case must fail."""

import ast
import importlib.util
import sys
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

import schedule2sign.rules.checks
from schedule2sign.rules.engine import judge_rule
from schedule2sign.rules.profile import load_profile
from schedule2sign.rules.registry import RULES
from schedule2sign.rules.rule import Rule

CHECKS = Path(schedule2sign.rules.checks.__file__).parent
TURNED: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.GtE,
    ast.Gt: ast.LtE,
    ast.LtE: ast.Gt,
    ast.GtE: ast.Lt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.And: ast.Or,
    ast.Or: ast.And,
}
SWAPPED = {"min": "max", "max": "min", "any": "all", "all": "any"}
# Bounds of a float's noise are no limits.
NOISE = "FLOAT_NOISE_MM"


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


@cache
def cases() -> tuple[Any, ...]:
    return tuple(load_builder().load_cases())


def is_words(node: ast.AST) -> bool:
    """Words that name a place, and the length of a percent: neither decides a verdict (margins have their own tests)."""
    if isinstance(node, ast.JoinedStr):
        return True
    if isinstance(node, ast.keyword):
        return node.arg == "unit_mm"
    if isinstance(node, ast.Assign):
        return any(isinstance(target, ast.Name) and target.id == "unit_mm" for target in node.targets)
    return isinstance(node, ast.BinOp) and isinstance(node.right, ast.Name) and node.right.id == NOISE


def sites(node: ast.AST) -> Iterator[ast.AST]:
    """What can be turned round, in a fixed order."""
    if is_words(node):
        return
    if (
        (isinstance(node, ast.BinOp | ast.BoolOp) and type(node.op) in TURNED)
        or (isinstance(node, ast.Compare) and type(node.ops[0]) in TURNED)
        or (isinstance(node, ast.Name) and node.id in SWAPPED)
        or (isinstance(node, ast.Constant) and isinstance(node.value, int | float) and not isinstance(node.value, bool))
    ):
        yield node
    for child in ast.iter_child_nodes(node):
        yield from sites(child)


def turn(node: ast.AST) -> None:
    if isinstance(node, ast.BinOp | ast.BoolOp):
        node.op = TURNED[type(node.op)]()  # type: ignore[assignment]
    elif isinstance(node, ast.Compare):
        node.ops[0] = TURNED[type(node.ops[0])]()  # type: ignore[call-overload]
    elif isinstance(node, ast.Name):
        node.id = SWAPPED[node.id]
    elif isinstance(node, ast.Constant):
        node.value = node.value + 1  # type: ignore[operator]


def make_rule(tree: ast.Module, path: Path) -> Rule:
    names: dict[str, Any] = {"__name__": "mutant"}
    exec(compile(ast.fix_missing_locations(tree), str(path), "exec"), names)  # noqa: S102 - our own source, turned round
    (made,) = (value for value in names.values() if isinstance(value, Rule))
    return made


def passes(rule: Rule) -> bool:
    for case in cases():
        if case.rule == rule.id:
            verdict = judge_rule(rule, case.sign, load_profile(case.profile))
            if (verdict.outcome, dict(Counter(f.code for f in verdict.findings))) != (case.outcome, case.findings):
                return False
    return True


def files() -> list[Path]:
    return sorted(path for path in CHECKS.glob("*.py") if path.name != "__init__.py")


def test_every_rule_has_its_file() -> None:
    made = [make_rule(ast.parse(path.read_text(encoding="utf-8")), path).id for path in files()]
    assert sorted(made) == sorted(rule.id for rule in RULES)


@pytest.mark.parametrize("path", files(), ids=lambda path: path.stem)
def test_every_mutant_of_a_check_fails_a_case(path: Path) -> None:
    source = path.read_text(encoding="utf-8")
    assert passes(make_rule(ast.parse(source), path))
    survivors = []
    for number in range(len(list(sites(ast.parse(source))))):
        tree = ast.parse(source)
        site = list(sites(tree))[number]
        before = ast.unparse(site)
        turn(site)
        if passes(make_rule(tree, path)):
            survivors.append(f"line {getattr(site, 'lineno', 0)}: {before} -> {ast.unparse(site)}")
    assert not survivors


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_check_that_is_cut_short_fails_a_case(rule: Rule) -> None:
    """The rule's first reading alone, all but its first, and none at all."""
    from dataclasses import replace
    from itertools import islice

    own = [case for case in cases() if case.rule == rule.id]
    several = any(len(list(islice(rule.check(case.sign), 2))) > 1 for case in own if rule.applies(case.sign))
    assert not passes(replace(rule, check=lambda sign: iter(())))
    if several:
        assert not passes(replace(rule, check=lambda sign: islice(rule.check(sign), 1)))
        assert not passes(replace(rule, check=lambda sign: islice(rule.check(sign), 1, None)))
