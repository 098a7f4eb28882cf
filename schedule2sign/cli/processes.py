"""The command about the bench: which process profiles are shipped and what every value of one is."""

import argparse
import json
from typing import Any

from schedule2sign.cli.codes import ALL_RELEASED


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "processes", help="list the process profiles of the bench, or every value of one and who vouches for it"
    )
    parser.add_argument("profile", nargs="?", metavar="ID", help="a shipped profile, or the path of a TOML file")
    parser.add_argument("--job", metavar="FILE.toml", help="job file whose [process] is put over the profile")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.set_defaults(command=_processes)


def _processes(options: argparse.Namespace) -> int:
    from pathlib import Path

    from schedule2sign.production.keys import nest_keys
    from schedule2sign.production.process import list_processes, load_process
    from schedule2sign.production.setupsheet import say_settings
    from schedule2sign.settings import load_settings

    if options.profile is None and options.job is None:
        found = [(name, load_process(name).title) for name in list_processes()]
        _print(options, {"processes": [{"id": name, "title": title} for name, title in found]}, found)
        return ALL_RELEASED
    settings = load_settings(Path(options.job)) if options.job else None
    name = options.profile or (settings.process if settings else "")
    process = load_process(name, nest_keys(settings.process_values) if settings else None)
    rows = say_settings(process, everything=True)
    document = {
        "id": process.id,
        "title": process.title,
        "values": [{"key": key, "what": what, "value": value, "basis": basis} for key, what, value, basis in rows],
    }
    lines = [(key, value, what, basis) for key, what, value, basis in rows]
    if not options.json:
        print(f"{process.id}: {process.title}\nAny of these goes into [process] of the job file, with its unit.\n")
    _print(options, document, lines)
    return ALL_RELEASED


def _print(options: argparse.Namespace, document: dict[str, Any], rows: list[Any]) -> None:
    if options.json:
        print(json.dumps({"schema": 1, **document}, ensure_ascii=False, indent=2))
        return
    widths = [max(len(row[place]) for row in rows) for place in range(len(rows[0]))]
    for row in rows:
        print("  ".join(text.ljust(width) for text, width in zip(row, widths, strict=True)).rstrip())
