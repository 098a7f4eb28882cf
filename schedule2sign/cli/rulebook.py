"""Commands that show the rule book: standards, rules, explain. They need no schedule."""

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from schedule2sign.cli.codes import ALL_RELEASED
from schedule2sign.model.settings import Settings


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the commands to the parser."""
    standards = commands.add_parser("standards", help="list the rule profiles: title, edition, how they were read")
    _add_json(standards)
    standards.set_defaults(command=_standards)

    rules = commands.add_parser("rules", help="list the rules, every limit in force, or what of a standard is covered")
    rules.add_argument("--standard", metavar="ID", help=f"rule profile ({Settings().standard})")
    what = rules.add_mutually_exclusive_group()
    what.add_argument("--resolved", action="store_true", help="every limit in force: value, unit, clause, basis")
    what.add_argument("--coverage", action="store_true", help="every published requirement: its rule, or why not")
    what.add_argument("--catalog", type=Path, metavar="DIR", help="write the catalog page and its drawings into DIR")
    _add_json(rules)
    rules.set_defaults(command=_rules)

    explain = commands.add_parser("explain", help="explain one rule: what, why, how, limits by standard, fix, drawing")
    explain.add_argument("rule", metavar="RULE", help="rule id, or the code of a rule's flag")
    explain.add_argument("--standard", metavar="ID", help="only this rule profile")
    _add_json(explain)
    explain.set_defaults(command=_explain)


def _add_json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print one JSON document instead of text")


def _standards(options: argparse.Namespace) -> int:
    from schedule2sign.rules.listing import describe_standard, list_standard
    from schedule2sign.rules.profile import load_profile, profile_ids

    profiles = [load_profile(profile_id) for profile_id in profile_ids()]
    lines = [line for profile in profiles for line in list_standard(profile)]
    _show(options, lines, {"standards": [describe_standard(profile) for profile in profiles]})
    return ALL_RELEASED


def _rules(options: argparse.Namespace) -> int:
    from schedule2sign.rules.listing import (
        describe_coverage,
        describe_limits,
        list_coverage,
        list_limits,
        list_rules,
    )
    from schedule2sign.rules.profile import load_profile

    if options.catalog:
        return _write_catalog(options.catalog)
    profile = load_profile(options.standard or Settings().standard)
    head = {"standard": profile.standard.id}
    if options.coverage:
        _show(options, list_coverage(profile), {**head, "coverage": describe_coverage(profile)})
    elif options.resolved or options.standard or options.json:
        _show(options, list_limits(profile), {**head, "rules": describe_limits(profile)})
    else:
        _show(options, list_rules(), {})
    return ALL_RELEASED


def _write_catalog(folder: Path) -> int:
    from schedule2sign.errors import InputError
    from schedule2sign.rules.catalog import write_catalog
    from schedule2sign.rules.profile import load_profile, profile_ids

    files = write_catalog([load_profile(profile_id) for profile_id in profile_ids()])
    try:
        for name, text in files.items():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(text, encoding="utf-8")
    except OSError as error:
        raise InputError(f"The catalog cannot be written into {folder}: {error.strerror}.") from error
    print(f"{len(files)} files written into {folder}.")
    return ALL_RELEASED


def _explain(options: argparse.Namespace) -> int:
    from schedule2sign.rules.explain import describe, explain
    from schedule2sign.rules.profile import load_profile, profile_ids

    wanted = (options.standard,) if options.standard else profile_ids()
    profiles = [load_profile(profile_id) for profile_id in wanted]
    _show(options, explain(options.rule, profiles), describe(options.rule, profiles))
    return ALL_RELEASED


def _show(options: argparse.Namespace, lines: Sequence[str], document: dict[str, Any]) -> None:
    if options.json:
        print(json.dumps({"schema": 1, **document}, ensure_ascii=False, indent=2))
    else:
        print("\n".join(lines))
