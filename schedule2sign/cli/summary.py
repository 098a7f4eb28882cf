"""The summary of a run: one screen, the worst flags first; and the same as one JSON document."""

from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job
from schedule2sign.writers.manifest import describe_flag

FLAG_LINES = 9
_LINE_WIDTH = 110


def summarize(job: Job, out: Path | None) -> str:
    """Text of at most one screen (24 lines)."""
    account = job.accounting
    outcomes = dict(account.outcomes)
    kinds = ", ".join(f"{count} {kind}" for kind, count in account.rows_by_kind if count)
    lines = [
        _cut(
            f"{job.settings.title or job.settings.job}, revision {job.settings.revision}:"
            f" checked against {job.standard.title}"
        ),
        _cut(f"Rows   {account.rows_read} read = {kinds}"),
        _cut(
            f"       {account.data_rows} data = {outcomes.get('signed', 0)} with signs"
            f" + {outcomes.get('unsigned', 0)} without + {outcomes.get('held', 0)} held"
            f" + {outcomes.get('merged', 0)} merged"
        ),
        f"Signs  {account.signs_listed} listed = {account.signs_released} released + {account.signs_held} held"
        f" ({account.pieces_released} pieces of {account.designs_released} designs to cut)",
    ]
    lines += [*_change_lines(job), *_bench_lines(job), *_flag_lines(job.flags)]
    if out is not None:
        lines += ["", f"Written to {out}: read 00-READ-ME.txt, then flagged.xlsx."]
    lines.append("Not legal advice and no certificate: the authority having jurisdiction decides.")
    return "\n".join(lines)


def _change_lines(job: Job) -> list[str]:
    comparison = job.comparison
    return [_cut(f"Since  {comparison.old}: {comparison.tally}")] if comparison else []


def _bench_lines(job: Job) -> list[str]:
    """Material, time and what nobody has confirmed, before anything is cut."""
    bench = job.bench
    if bench is None or not bench.signs:
        return []
    stock, raised = (sum(len(nest.sheets) for nest in nests) for nests in (bench.nests, bench.patch_nests))
    sheets = f"{stock} stock sheet{'s' * (stock != 1)}" + (f" + {raised} of raised sheet" if raised else "")
    line = f"Bench  {sheets}, {bench.needs[-1].dots} dots, about {bench.job_seconds / 3600:.1f} h"
    return [_cut(f"{line} ({bench.process.id}, {len(bench.process.assumed)} values assumed)")]


def _flag_lines(flags: Sequence[Flag]) -> list[str]:
    if not flags:
        return ["Flags  none"]
    counts = Counter(flag.severity for flag in flags)
    tally = ", ".join(f"{counts[severity]} {severity}" for severity in reversed(Severity) if counts[severity])
    lines = [f"Flags  {tally}; the worst:"]
    groups = worst_first(flags)
    for group in groups[:FLAG_LINES]:
        first = group[0]
        times = f" (x{len(group)})" if len(group) > 1 else ""
        place = f"{first.source}: " if first.source else ""
        lines.append(_cut(f"  {first.severity:<4} {first.code}{times}  {place}{first.message}"))
    if len(groups) > FLAG_LINES:
        lines.append(f"  ... and {len(groups) - FLAG_LINES} more kinds, all in the flagged list")
    return lines


def worst_first(flags: Iterable[Flag]) -> list[list[Flag]]:
    """Flags grouped by code, the worst group first, then the larger, then by code."""
    groups: dict[tuple[int, str], list[Flag]] = {}
    for flag in flags:
        groups.setdefault((-flag.severity.rank, flag.code), []).append(flag)
    return [group for _, group in sorted(groups.items(), key=lambda item: (item[0][0], -len(item[1]), item[0][1]))]


def _cut(line: str) -> str:
    return line if len(line) <= _LINE_WIDTH else line[: _LINE_WIDTH - 3] + "..."


def describe_run(job: Job, out: Path | None) -> dict[str, Any]:
    """The `--json` document of build, check and demo, "schema": 1."""
    account = job.accounting
    return {
        "schema": 1,
        "job": job.settings.job,
        "revision": job.settings.revision,
        "standard": job.standard.id,
        "output": str(out) if out is not None else None,
        "accounting": {
            "rows_read": account.rows_read,
            "rows_by_kind": dict(account.rows_by_kind),
            "data_rows": account.data_rows,
            "outcomes": dict(account.outcomes),
            "unsigned_reasons": dict(account.unsigned_reasons),
            "signs_listed": account.signs_listed,
            "signs_released": account.signs_released,
            "signs_held": account.signs_held,
            "pieces_released": account.pieces_released,
            "designs_released": account.designs_released,
        },
        "since": None
        if job.comparison is None
        else {
            "before": job.comparison.old,
            "totals": {str(kind): count for kind, count in job.comparison.totals},
            "pieces_to_make": job.comparison.pieces,
        },
        "signs": [
            {"id": sign.request.sign_id, "status": str(sign.status), "files": list(sign.files)} for sign in job.signs
        ],
        "flags": [describe_flag(flag) for flag in job.flags],
    }
