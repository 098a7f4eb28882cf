"""The command line: arguments in, exit code out."""

import argparse
import sys
import tempfile
import traceback
from collections.abc import Sequence

from schedule2sign import __version__
from schedule2sign.cli import (
    braille,
    compare,
    fonts,
    guide,
    jobs,
    preview,
    processes,
    read,
    rulebook,
    templates,
    verify,
)
from schedule2sign.cli.codes import CANNOT_START, OUR_BUG
from schedule2sign.cli.screen import Screen
from schedule2sign.errors import AccountingError, InputError

# Modules with `add_to(commands)`, in the order of --help. They import what is heavy inside their functions.
COMMANDS = (jobs, compare, read, braille, rulebook, verify, templates, preview, fonts, processes, guide)

_EPILOG = """\
exit codes: 0 all is well: every sign released, no difference, accepted; 1 finished, and something needs a person: signs
or rows held, differences found, a font refused; 2 cannot start (the message says why); 3 a bug of ours (nothing was
written; a trace file is named).
This program checks drawings against a list of published dimensions. It is no legal advice and no certificate:
the authority having jurisdiction decides."""


def run() -> None:
    """Console entry point."""
    sys.stdout, sys.stderr = Screen(sys.stdout), Screen(sys.stderr, keep="\r")
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

    for module in COMMANDS:
        module.add_to(commands)
    return parser


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
