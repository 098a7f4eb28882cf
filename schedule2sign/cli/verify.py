"""The command that reads an output folder back: verify."""

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from schedule2sign.cli.codes import ALL_RELEASED, SOME_HELD
from schedule2sign.cli.progress import Progress

if TYPE_CHECKING:
    from schedule2sign.recheck.report import Report

_SHOWN = 40


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser."""
    verify = commands.add_parser(
        "verify",
        help="read an output folder back and compare every file, drawing, dot and measured value with its record",
        description="Reads DXF and SVG back with code that did not write them, rebuilds every sign from its geometry,"
        " measures the rules again and compares all of it with manifest.json and SHA256SUMS."
        " Exits 1 on any difference; each is named.",
    )
    verify.add_argument("folder", type=Path, metavar="OUT", help="output folder of build or demo")
    verify.add_argument("--font", type=Path, metavar="FILE", help="the job's font, where it is none that ships")
    verify.add_argument("--json", action="store_true", help="print one JSON document instead of the summary")
    verify.add_argument("--quiet", action="store_true", help="no progress and no summary")
    verify.set_defaults(command=_verify)


def _verify(options: argparse.Namespace) -> int:
    from schedule2sign.recheck.verify import verify_folder

    progress = Progress(quiet=options.quiet)
    try:
        report = verify_folder(options.folder, options.font, progress=progress)
    finally:
        progress.finish()
    if options.json:
        print(json.dumps(_describe(report), ensure_ascii=False, indent=2))
    elif not options.quiet:
        print(_summarize(report))
    return SOME_HELD if report.differences else ALL_RELEASED


def _summarize(report: "Report") -> str:
    lines = [
        f"{report.folder}: compared with its record"
        + (f" by the rules of {report.standard}" if report.standard else ""),
        f"Files     {report.files} by checksum, {report.drawings} drawings read back"
        + (f", {report.sheets} of them stock sheets" if report.sheets else ""),
        f"Signs     {report.signs} rebuilt from geometry: {report.letters} letters, {report.dots} dots,"
        f" {report.braille_lines} braille lines decoded and read",
        f"Rules     {report.judged} verdicts judged again, {report.values} measured values compared",
    ]
    if report.unmeasured:
        total = sum(entry.signs for entry in report.unmeasured)
        lines.append(f"Not re-measurable: {total} verdicts, which nothing here confirms:")
        lines += [f"  {entry.rule} ({entry.signs}): {entry.why}" for entry in report.unmeasured]
    lines += report.notes
    lines.append(f"Differences: {len(report.differences) or 'none'}")
    for difference in report.differences[:_SHOWN]:
        place = f"{difference.sign_id or difference.file}: " if difference.sign_id or difference.file else ""
        lines.append(f"  {difference.code:<16} {place}{difference.message}")
    if len(report.differences) > _SHOWN:
        lines.append(f"  ... and {len(report.differences) - _SHOWN} more; --json lists them all")
    return "\n".join(lines)


def _describe(report: "Report") -> dict[str, Any]:
    return {
        "schema": 1,
        "folder": str(report.folder),
        "standard": report.standard,
        "written_by_version": report.version,
        "agrees": not report.differences,
        "compared": {
            "files": report.files,
            "drawings": report.drawings,
            "sheets": report.sheets,
            "signs": report.signs,
            "letters": report.letters,
            "dots": report.dots,
            "braille_lines": report.braille_lines,
            "verdicts": report.judged,
            "values": report.values,
        },
        "not_remeasurable": [
            {"rule": entry.rule, "signs": entry.signs, "why": entry.why} for entry in report.unmeasured
        ],
        "notes": list(report.notes),
        "differences": [
            {
                "code": difference.code,
                "file": difference.file,
                "sign_id": difference.sign_id,
                "message": difference.message,
                "found": difference.found,
                "expected": difference.expected,
            }
            for difference in report.differences
        ],
    }
