"""The font command: may a font be cut as raised characters, and every number that says so."""

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from schedule2sign.cli.codes import ALL_RELEASED, SOME_HELD
from schedule2sign.errors import InputError
from schedule2sign.model.settings import Settings

if TYPE_CHECKING:
    from schedule2sign.lettering.acceptance import FontReport


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser."""
    font = commands.add_parser("font", help="measure a font: may it be cut as raised characters?")
    font.add_argument("font", metavar="FILE", help="a shipped font or a font file of your own")
    font.add_argument("--height", default="5/8 in", metavar="LENGTH", help="character height judged at (5/8 in)")
    font.add_argument(
        "--cutter",
        "--cut-width",
        dest="cut_width",
        default="",
        metavar="LENGTH",
        help="width of the cut, over the process's own",
    )
    font.add_argument("--job", type=Path, metavar="FILE.toml", help="job file: its process")
    font.add_argument("--json", action="store_true", help="print one JSON document")
    font.set_defaults(command=_font)


def _font(options: argparse.Namespace) -> int:
    # Imported here so that --help and a mistyped option answer at once.
    from schedule2sign.lettering.acceptance import accept_font
    from schedule2sign.settings import load_settings
    from schedule2sign.signmaker import cut_width_mm, find_font

    settings = load_settings(options.job) if options.job else Settings()
    height_mm = _length_mm(options.height)
    cut_mm = _length_mm(options.cut_width) if options.cut_width else cut_width_mm(settings)
    report = accept_font(find_font(options.font), height_mm=height_mm, cut_width_mm=cut_mm)
    if options.json:
        print(json.dumps(_describe(report), ensure_ascii=False, indent=2))
        return ALL_RELEASED if report.accepted else SOME_HELD
    print(f"{report.facts.name} ({report.facts.file})\nLicence: {report.facts.licence}")
    for check in report.checks:
        where = f" ({check.where})" if check.where else ""
        mark = "ok  " if check.met else "FAIL"
        print(f"{mark} {check.title}: {check.measured}{where}; {check.required} [{check.clause}]")
    failed = sum(not check.met for check in report.checks)
    print("YES: the font passes these checks." if report.accepted else f"NO: the font fails {failed} of these checks.")
    return ALL_RELEASED if report.accepted else SOME_HELD


def _length_mm(text: str) -> float:
    from schedule2sign.model.measure import parse_length

    try:
        return parse_length(text).mm
    except ValueError as error:
        raise InputError(f"{error}.") from None


def _describe(report: "FontReport") -> dict[str, Any]:
    return {
        "schema": 1,
        "file": report.facts.file,
        "name": report.facts.name,
        "licence": report.facts.licence,
        "accepted": report.accepted,
        "checks": [
            {
                "id": check.id,
                "measured": check.measured,
                "required": check.required,
                "clause": check.clause,
                "where": check.where,
                "met": check.met,
            }
            for check in report.checks
        ],
    }
