"""Commands that run a whole job: build, check, demo."""

import argparse
import json
import shlex
import sys
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

from schedule2sign.cli.codes import ALL_RELEASED, SOME_HELD
from schedule2sign.cli.progress import Progress
from schedule2sign.errors import InputError
from schedule2sign.model.schedule import Field
from schedule2sign.model.settings import Settings

DEMO_OUT = Path("schedule2sign-demo")


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the commands to the parser."""
    build = commands.add_parser("build", help="make the sign set and the flagged list from one or more schedules")
    add_inputs(build)
    add_decisions(build)
    _add_workers(build)
    build.add_argument(
        "-o", "--out", type=Path, required=True, metavar="OUT", help="output folder, replaced as a whole"
    )
    build.add_argument(
        "--since",
        type=Path,
        metavar="OLD",
        help="output folder of the earlier issue: keeps its answers, lists what changed, plans the bench for what is to "
        "be made again",
    )
    _add_anew(build)
    build.set_defaults(command=_build)

    check = commands.add_parser("check", help="show what would be flagged; writes nothing")
    add_inputs(check)
    add_decisions(check)
    _add_workers(check)
    check.set_defaults(command=_check, anew=True)

    demo = commands.add_parser("demo", help="build the demo job of an invented building")
    demo.add_argument("out", nargs="?", type=Path, default=DEMO_OUT, metavar="DIR", help=f"output folder ({DEMO_OUT})")
    add_decisions(demo)
    _add_workers(demo)
    _add_anew(demo)
    _add_output(demo)
    demo.set_defaults(command=_demo)


def add_inputs(
    parser: argparse.ArgumentParser, *, metavar: str = "SCHEDULE", what: str = "schedule file (xlsx, csv ...)"
) -> None:
    """Arguments of every command that reads schedules."""
    parser.add_argument("schedules", nargs="+", type=Path, metavar=metavar, help=what)
    parser.add_argument("--job", type=Path, metavar="FILE.toml", help="job file: wording, lexicon, columns, standard")
    parser.add_argument("--standard", metavar="ID", help="rule profile, over the job file's")
    parser.add_argument("--waivers", type=Path, metavar="FILE.toml", help="waiver file, over the job file's")
    parser.add_argument("--today", metavar="YYYY-MM-DD", help="the day waivers are judged by (today)")
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


def add_decisions(parser: argparse.ArgumentParser) -> None:
    """The option of every command that uses people's answers."""
    parser.add_argument(
        "--decisions",
        action="append",
        type=Path,
        default=[],
        metavar="sign-list.xlsx",
        help="sign list of an earlier run with its decision column filled in (repeatable)",
    )


def _add_workers(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--workers",
        type=_count,
        metavar="N",
        help="processes to share a large job; its files are the same for any number",
    )


def _add_anew(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--anew",
        action="store_true",
        help="make every sign again; without it, signs that are as they were are taken over from the folder that is "
        "replaced, with the same result",
    )


def _count(text: str) -> int:
    """A number of processes, at least one."""
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is no number of processes; write 1 or more")
    return int(text)


def _add_output(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print one JSON document instead of the summary")
    parser.add_argument("--quiet", action="store_true", help="no progress and no summary")


def _build(options: argparse.Namespace) -> int:
    return _run_job(options, options.schedules, settings_of(options), options.out, since=options.since)


def _check(options: argparse.Namespace) -> int:
    return _run_job(options, options.schedules, settings_of(options), None)


def _demo(options: argparse.Namespace) -> int:
    from schedule2sign.resources import demo_folder
    from schedule2sign.settings import load_settings

    folder = demo_folder()
    return _run_job(
        options, [folder / "alder-point-doors.xlsx"], load_settings(folder / "alder-point.toml"), options.out
    )


def _run_job(
    options: argparse.Namespace,
    schedules: Sequence[Path],
    settings: Settings,
    out: Path | None,
    *,
    since: Path | None = None,
) -> int:
    # Imported here so that --help and a mistyped option answer at once.
    from schedule2sign.cli.summary import describe_run, summarize
    from schedule2sign.model.flag import holds
    from schedule2sign.pipeline import find_lost_answers, produce
    from schedule2sign.revision.folder import read_folder
    from schedule2sign.workers import count_cores
    from schedule2sign.writers.sign_list import SIGN_LIST

    old = read_folder(since) if since else None
    # The earlier issue's own answers first: a newer answer takes the place of an older one.
    decisions = [*([since / SIGN_LIST] if since else []), *options.decisions]
    if out is not None and (filled := find_lost_answers(out, decisions)):
        again = shlex.join(["schedule2sign", *sys.argv[1:], "--decisions", str(filled)])
        raise InputError(
            f"{filled} holds answers that this run would lose; nothing was written. To use them:\n  {again}\n"
            "To give them up, move that file away."
        )
    progress = Progress(quiet=options.quiet)
    earlier = [folder for folder in (out, since) if folder and not options.anew]
    try:
        job, note = produce(
            schedules,
            settings,
            out,
            decisions=decisions,
            since=old,
            earlier=earlier,
            progress=progress,
            workers=options.workers or count_cores(),
        )
    finally:
        progress.finish()
    if note:
        print(f"schedule2sign: {note}", file=sys.stderr)
    if options.json:
        print(json.dumps(describe_run(job, out), ensure_ascii=False, indent=2))
    elif not options.quiet:
        print(summarize(job, out))
    held = job.accounting.signs_held or dict(job.accounting.outcomes).get("held", 0) or holds(job.flags)
    return SOME_HELD if held else ALL_RELEASED


def settings_of(options: argparse.Namespace) -> Settings:
    """The job file with what the command line says over it."""
    from schedule2sign.settings import load_settings

    settings = load_settings(options.job) if options.job else Settings()
    if options.standard:
        settings = replace(settings, standard=options.standard)
    if options.waivers:
        settings = replace(settings, waivers=str(options.waivers))
    if options.today or (settings.waivers and settings.day is None):
        settings = replace(settings, day=_day(options.today))
    if options.sheet:
        settings = replace(settings, sheets=tuple(options.sheet))
    columns = dict(settings.columns)
    for text in options.column:
        field, equals, header = text.partition("=")
        if not equals or field not in tuple(Field) or not header:
            raise InputError(f"--column {text!r} is not FIELD=HEADER; FIELD is one of {', '.join(Field)}.")
        columns[Field(field)] = header
    return replace(settings, columns=tuple(columns.items()))


def _day(text: str | None) -> date:
    """The day given, else the machine's: the only place a run looks at the clock, and only for waivers."""
    if text is None:
        return datetime.now(UTC).astimezone().date()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"--today {text!r} is no date; write it like 2027-01-31.") from None
