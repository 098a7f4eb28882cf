"""The command that shows how a schedule was read, and the story of one row."""

import argparse
import json
from typing import Any

from schedule2sign.cli.codes import ALL_RELEASED, SOME_HELD
from schedule2sign.cli.jobs import add_inputs, settings_of
from schedule2sign.model.schedule import Schedule
from schedule2sign.model.settings import Settings


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser."""
    read = commands.add_parser("read", help="show how a schedule is read: tables, columns, rows; writes nothing")
    add_inputs(read)
    read.add_argument(
        "--trace",
        metavar="ROW",
        help="the story of one row from cell to sign: 12, SHEET!12 or FILE:SHEET!12",
    )
    read.set_defaults(command=_read)


def _read(options: argparse.Namespace) -> int:
    settings = settings_of(options)
    if options.trace:
        return _trace(options, settings)
    from schedule2sign.intake.reader import read_schedule
    from schedule2sign.intake.story import describe_tables
    from schedule2sign.model.flag import holds
    from schedule2sign.model.schedule import RowKind

    schedule = read_schedule(options.schedules, columns=dict(settings.columns), sheets=settings.sheets)
    if options.json:
        print(json.dumps(_describe(schedule), ensure_ascii=False, indent=2))
    elif not options.quiet:
        print(describe_tables(schedule))
        print("The story of one row: add --trace ROW.")
    of_rows = tuple(flag for row in schedule.rows if row.kind is RowKind.DATA for flag in row.flags)
    return SOME_HELD if holds(schedule.flags + of_rows) else ALL_RELEASED


def _trace(options: argparse.Namespace, settings: Settings) -> int:
    from schedule2sign.cli.progress import Progress
    from schedule2sign.cli.trace import describe_row, find_row, is_held, tell_row
    from schedule2sign.pipeline import build_job

    progress = Progress(quiet=options.quiet)
    try:
        job = build_job(options.schedules, settings, progress=progress)
    finally:
        progress.finish()
    row = find_row(job.schedule, options.trace)
    if options.json:
        print(json.dumps({"schema": 1, **describe_row(job, row)}, ensure_ascii=False, indent=2))
    elif not options.quiet:
        print(tell_row(job, row))
    return SOME_HELD if is_held(job, row) else ALL_RELEASED


def _describe(schedule: Schedule) -> dict[str, Any]:
    from collections import Counter

    from schedule2sign.cli.trace import describe_raw
    from schedule2sign.writers.manifest import describe_flag

    kinds = Counter(str(row.kind) for row in schedule.rows)
    of_rows = [flag for row in schedule.rows for flag in row.flags if flag not in schedule.flags]
    return {
        "schema": 1,
        "inputs": [
            {"name": file.name, "sha256": file.sha256, "size_bytes": file.size_bytes} for file in schedule.inputs
        ],
        "tables": [
            {
                "file": table.file,
                "sheet": table.sheet,
                "header_rows": list(table.header_rows),
                "shape": str(table.shape),
                "evidence": table.evidence,
                "columns": [
                    {
                        "column": match.column,
                        "header": match.header,
                        "field": str(match.field) if match.field else None,
                        "evidence": match.evidence,
                    }
                    for match in table.columns
                ],
            }
            for table in schedule.tables
        ],
        "accounting": {"rows_read": len(schedule.rows), "rows_by_kind": dict(sorted(kinds.items()))},
        "rows": [describe_raw(row) for row in schedule.rows],
        "flags": [describe_flag(flag) for flag in (*schedule.flags, *of_rows)],
    }
