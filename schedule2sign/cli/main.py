"""The command line: arguments in, exit code out."""

import argparse
import json
import sys
import tempfile
import traceback
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from schedule2sign import __version__
from schedule2sign.cli.progress import Progress
from schedule2sign.errors import AccountingError, InputError
from schedule2sign.model.schedule import Field
from schedule2sign.model.settings import Settings

ALL_RELEASED, SOME_HELD, CANNOT_START, OUR_BUG = 0, 1, 2, 3
DEMO_OUT = Path("schedule2sign-demo")

_EPILOG = """\
exit codes: 0 all signs released; 1 finished, some signs or rows held; 2 cannot start (the message says why);
3 a bug of ours (nothing was written; a trace file is named).
This program checks drawings against a list of published dimensions. It is no legal advice and no certificate:
the authority having jurisdiction decides."""


def run() -> None:
    """Console entry point."""
    sys.exit(main(sys.argv[1:]))


def main(arguments: Sequence[str]) -> int:
    """Run one command; returns the exit code and never lets a traceback reach the user."""
    options = _parser().parse_args(arguments)
    try:
        code: int = options.command(options)
    except InputError as error:
        _complain(f"schedule2sign: {error}")
        return CANNOT_START
    except KeyboardInterrupt:
        _complain("schedule2sign: stopped; nothing was written.")
        return CANNOT_START
    except BrokenPipeError:
        return CANNOT_START
    except Exception as error:  # noqa: BLE001 - the last line of defense: exit 3 and a trace file
        return _report_bug(error)
    return code


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="schedule2sign",
        description="Door and room schedules in; tactile room signs with contracted braille and flagged rows out.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"schedule2sign {__version__}")
    commands = parser.add_subparsers(metavar="COMMAND", required=True)

    build = commands.add_parser("build", help="make the sign set and the flagged list from one or more schedules")
    _add_inputs(build)
    build.add_argument(
        "-o", "--out", type=Path, required=True, metavar="OUT", help="output folder, replaced as a whole"
    )
    build.set_defaults(command=_build)

    check = commands.add_parser("check", help="show what would be flagged; writes nothing")
    _add_inputs(check)
    check.set_defaults(command=_check)

    demo = commands.add_parser("demo", help="build the demo job of an invented building")
    demo.add_argument("out", nargs="?", type=Path, default=DEMO_OUT, metavar="DIR", help=f"output folder ({DEMO_OUT})")
    _add_output(demo)
    demo.set_defaults(command=_demo)
    return parser


def _add_inputs(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("schedules", nargs="+", type=Path, metavar="SCHEDULE", help="schedule file (xlsx, csv ...)")
    parser.add_argument("--job", type=Path, metavar="FILE.toml", help="job file: wording, lexicon, columns, standard")
    parser.add_argument("--standard", metavar="ID", help="rule profile, over the job file's")
    parser.add_argument(
        "--column",
        action="append",
        default=[],
        metavar="FIELD=HEADER",
        help=f"say which column is which; FIELD is one of {', '.join(Field)}",
    )
    parser.add_argument(
        "--sheet", action="append", default=[], metavar="NAME", help="read only this sheet (repeatable)"
    )
    _add_output(parser)


def _add_output(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print one JSON document instead of the summary")
    parser.add_argument("--quiet", action="store_true", help="no progress and no summary")


def _build(options: argparse.Namespace) -> int:
    return _run_job(options, options.schedules, _settings(options), options.out)


def _check(options: argparse.Namespace) -> int:
    return _run_job(options, options.schedules, _settings(options), None)


def _demo(options: argparse.Namespace) -> int:
    from schedule2sign.resources import demo_folder
    from schedule2sign.settings import load_settings

    folder = demo_folder()
    return _run_job(
        options, [folder / "alder-point-doors.xlsx"], load_settings(folder / "alder-point.toml"), options.out
    )


def _run_job(options: argparse.Namespace, schedules: Sequence[Path], settings: Settings, out: Path | None) -> int:
    # Imported here so that --help and a mistyped option answer at once.
    from schedule2sign.cli.summary import describe_run, summarize
    from schedule2sign.model.flag import holds
    from schedule2sign.pipeline import build_job, write_job

    progress = Progress(quiet=options.quiet)
    try:
        job = build_job(schedules, settings, progress=progress)
        if out is not None:
            write_job(job, out, progress=progress)
    finally:
        progress.finish()
    if options.json:
        print(json.dumps(describe_run(job, out), ensure_ascii=False, indent=2))
    elif not options.quiet:
        print(summarize(job, out))
    held = job.accounting.signs_held or dict(job.accounting.outcomes).get("held", 0) or holds(job.flags)
    return SOME_HELD if held else ALL_RELEASED


def _settings(options: argparse.Namespace) -> Settings:
    from schedule2sign.settings import load_settings

    settings = load_settings(options.job) if options.job else Settings()
    if options.standard:
        settings = replace(settings, standard=options.standard)
    if options.sheet:
        settings = replace(settings, sheets=tuple(options.sheet))
    columns = dict(settings.columns)
    for text in options.column:
        field, equals, header = text.partition("=")
        if not equals or field not in tuple(Field) or not header:
            raise InputError(f"--column {text!r} is not FIELD=HEADER; FIELD is one of {', '.join(Field)}.")
        columns[Field(field)] = header
    return replace(settings, columns=tuple(columns.items()))


def _complain(message: str) -> None:
    print(message, file=sys.stderr)


def _report_bug(error: Exception) -> int:
    """Name the trace file; a traceback on the screen helps nobody at the bench."""
    trace = "".join(traceback.format_exception(error))
    what = "the row account does not balance" if isinstance(error, AccountingError) else type(error).__name__
    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="schedule2sign-", suffix=".txt", delete=False, encoding="utf-8"
        ) as file:
            file.write(f"schedule2sign {__version__}\n{trace}")
        place = f"Please report it with the file {file.name}."
    except OSError:
        place = trace
    _complain(f"schedule2sign: a bug of ours stopped the run ({what}: {error}). Nothing was written. {place}")
    return OUR_BUG
