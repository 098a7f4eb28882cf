"""The command compare: two issues of a job, sign by sign."""

import argparse
import json
from pathlib import Path

from schedule2sign.cli.codes import ALL_RELEASED, SOME_HELD
from schedule2sign.cli.jobs import add_decisions, add_inputs, settings_of
from schedule2sign.model.revision import ChangeKind, Comparison, SignChange

_MOST_LINES = 40
NO_DIFFERENCE, DIFFERENCES = ALL_RELEASED, SOME_HELD


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "compare",
        help="what changed between two issues, and what to make again",
        description="Compare two output folders, or an output folder with a schedule. Writes nothing unless -o is given. "
        "Exit code 0: no difference; 1: differences; 2: cannot compare.",
    )
    parser.add_argument("old", type=Path, metavar="OLD", help="output folder of the earlier issue")
    parser.add_argument(
        "--made", type=Path, metavar="FILE.csv", help="how far each old sign is: columns 'sign id' and 'stage'"
    )
    parser.add_argument("-o", "--out", type=Path, metavar="FILE.xlsx", help="write the comparison as a workbook")
    add_inputs(parser, metavar="NEW", what="output folder, or schedule files, of the later issue")
    add_decisions(parser)
    parser.set_defaults(command=_compare)


def _compare(options: argparse.Namespace) -> int:
    from schedule2sign.pipeline import build_job, issue_of
    from schedule2sign.revision.compare import compare_issues
    from schedule2sign.revision.folder import read_folder, read_stages
    from schedule2sign.writers.changes import describe_changes, render_changes
    from schedule2sign.writers.commit import write_file
    from schedule2sign.writers.sign_list import SIGN_LIST

    old = read_folder(options.old)
    stages = read_stages(options.made) if options.made else {}
    if len(options.schedules) == 1 and options.schedules[0].is_dir():
        new = read_folder(options.schedules[0])
    else:
        answers = [options.old / SIGN_LIST, *options.decisions]
        new = issue_of(build_job(options.schedules, settings_of(options), decisions=answers))
    comparison = compare_issues(old, new, stages)
    if options.out:
        write_file(options.out, render_changes(comparison))
    if options.json:
        print(json.dumps(describe_changes(comparison), ensure_ascii=False, indent=2))
    elif not options.quiet:
        print(summarize_changes(comparison))
    return DIFFERENCES if comparison.differs else NO_DIFFERENCE


def summarize_changes(comparison: Comparison) -> str:
    """The totals in one sentence, then a line for each changed sign, as many as fit a page."""
    lines = [comparison.old, f"  to {comparison.new}:", comparison.tally]
    lines += [f"ALERT: {alert}" for alert in comparison.alerts]
    changed = [change for change in comparison.changes if change.kind is not ChangeKind.UNCHANGED]
    lines += [_line(change) for change in changed[:_MOST_LINES]]
    if len(changed) > _MOST_LINES:
        lines.append(f"  ... and {len(changed) - _MOST_LINES} more: write them all with -o changes.xlsx")
    lines += [
        f"  row {row.label}: {row.before or 'not there'} -> {row.after or 'not there'}" for row in comparison.rows
    ]
    if not comparison.differs:
        lines.append("No difference.")
    return "\n".join(lines)


def _line(change: SignChange) -> str:
    moved = f"{change.old_id} -> " if change.old_id not in ("", change.sign_id) else ""
    text = change.text_after or change.text_before
    if change.text_before and change.text_before != change.text_after and change.text_after:
        text = f"{change.marked_before} -> {change.marked_after}"
    chain = f" ({change.chain})" if change.chain else ""
    return f"  {change.kind:<12} {moved}{change.sign_id}  {text}{chain}: {change.action}"
