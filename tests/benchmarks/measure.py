"""Measures signs a second against the straight script, in one run on one machine: `python tests/benchmarks/measure.py 300`.

CPU time of this process and of its workers, not the clock on the wall: other programs do not count. The ratio is what
can be compared between machines. With workers, the way is taken to be as long as this process's own time and an even
share of theirs, as on an idle machine with a core for each.
"""

import argparse
import csv
import random
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

FIRST = [
    "EXAM",
    "CONSULT",
    "TREATMENT",
    "STAFF",
    "NURSE",
    "SUPPLY",
    "CLEAN",
    "SOILED",
    "PATIENT",
    "FAMILY",
    "RECORDS",
    "IMAGING",
    "DIALYSIS",
    "THERAPY",
    "TRAINING",
    "ARCHIVE",
    "LINEN",
    "MEDICATION",
    "EQUIPMENT",
    "INFUSION",
    "RADIOLOGY",
    "CARDIOLOGY",
    "OUTPATIENT",
    "SURGERY",
    "RECOVERY",
    "ISOLATION",
    "CONFERENCE",
    "RECEPTION",
]
SECOND = ["ROOM", "OFFICE", "STORAGE", "STATION", "UTILITY", "WORKROOM", "LOUNGE", "LAB", "SUITE", "HOLDING", "PREP"]
FIXED = ("MEN", "WOMEN", "STAIR", "ELECTRICAL", "JANITOR", "MECHANICAL", "ELEVATOR LOBBY", "CORRIDOR", "DATA ROOM")
SIGNS_ONLY = ("sign-dxf", "sign-svg", "sign-list", "flagged")
FONTS = Path(__file__).resolve().parents[2] / "templates" / "fonts"


@dataclass(frozen=True, slots=True)
class Measured:
    """One way of making the signs: CPU seconds of this process and, all together, of its workers."""

    name: str
    signs: int
    own_s: float
    workers_s: float
    workers: int = 1

    @property
    def total_s(self) -> float:
        return self.own_s + self.workers_s

    @property
    def signs_per_second(self) -> float:
        return self.signs / (self.own_s + self.workers_s / self.workers)


def write_schedule(path: Path, doors: int, *, renamed: int = 0) -> None:
    """A hospital of so many doors; the same for the same number, but for every so many-th room that got another name."""
    from openpyxl import Workbook

    dice = random.Random(7)  # noqa: S311 - names of rooms
    book = Workbook(write_only=True)
    page = book.create_sheet("DOORS")
    page.append(["DOOR NO", "ROOM NO", "ROOM NAME", "LEVEL"])
    for at in range(doors):
        level, number = at // 100 + 1, f"{at // 100 + 1}{at % 100 + 1:02d}"
        name = dice.choice(FIXED) if dice.random() < 0.2 else f"{dice.choice(FIRST)} {dice.choice(SECOND)}"
        if renamed and at % renamed == 0:
            name = "QUIET ROOM"
        page.append([f"{number}A", number, name, f"LEVEL {level}"])
    book.save(path)


def measure(name: str, work: Callable[[], int], workers: int = 1) -> Measured:
    """Do the work and read the CPU clocks of this process and of the workers it waited for."""
    before, children = time.process_time(), _of_children()
    signs = work()
    own, shared = time.process_time() - before, _of_children() - children
    return Measured(name, signs, own, shared, workers)


def _of_children() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def compare(doors: int, workers: Sequence[int], folder: Path) -> list[Measured]:
    """The straight script first; then, for each number of workers, ours.

    Ours with all rules, DXF, SVG, list and flags; then complete, with proof, sheets and papers; then complete with one
    name in a hundred changed: as the next issue since that one, and over its folder.
    """
    from straight_script import make_signs

    from schedule2sign import pipeline
    from schedule2sign.braille.engine import load_bindings
    from schedule2sign.model.settings import Settings
    from schedule2sign.pipeline import WRITERS, produce
    from schedule2sign.revision.folder import read_folder
    from schedule2sign.writers.sign_list import SIGN_LIST

    schedule, revised = folder / "doors.xlsx", folder / "revised" / "doors.xlsx"
    write_schedule(schedule, doors)
    revised.parent.mkdir()
    write_schedule(revised, doors, renamed=100)
    louis = load_bindings()
    found = [measure("straight script", lambda: make_signs(schedule, folder / "straight", FONTS, louis))]

    def build(path: Path, out: Path, count: int, earlier: Sequence[Path] = ()) -> int:
        job, _ = produce([path], Settings(), out, earlier=earlier, workers=count)
        return len(job.signs)

    def build_since(path: Path, out: Path, count: int, old: Path) -> int:
        since, answers = read_folder(old), [old / SIGN_LIST]
        job, _ = produce([path], Settings(), out, decisions=answers, since=since, earlier=[out, old], workers=count)
        return len(job.signs)

    few = tuple(writer for writer in WRITERS if writer.name in SIGNS_ONLY)
    for count in workers:
        hands, out = f"{count} worker{'s' if count > 1 else ''}", folder / f"ours-{count}"
        with patch.object(pipeline, "WRITERS", few):
            found.append(
                measure(
                    f"schedule2sign, signs, list, flags, {hands}",
                    lambda count=count: build(schedule, folder / f"few-{count}", count),
                    count,
                )
            )
        found.append(
            measure(
                f"schedule2sign, complete, {hands}", lambda count=count, out=out: build(schedule, out, count), count
            )
        )
        found.append(
            measure(
                f"schedule2sign, next issue with 1 % changed, {hands}",
                lambda count=count, out=out: build_since(revised, folder / f"since-{count}", count, out),
                count,
            )
        )
        found.append(
            measure(
                f"schedule2sign, over it with 1 % changed, {hands}",
                lambda count=count, out=out: build(revised, out, count, [out]),
                count,
            )
        )
    return found


def main(arguments: Sequence[str]) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("doors", nargs="?", type=int, default=300)
    parser.add_argument("--workers", type=int, nargs="*", default=[1, 2])
    options = parser.parse_args(arguments)
    rows = csv.writer(sys.stdout, delimiter="\t")
    rows.writerow(["", "signs", "CPU s", "ms a sign", "signs/s", "times the script"])
    with tempfile.TemporaryDirectory() as folder:
        found = compare(options.doors, options.workers, Path(folder))
    for one in found:
        ratio = one.signs_per_second / found[0].signs_per_second
        each = 1000 * one.total_s / one.signs
        rows.writerow(
            [one.name, one.signs, f"{one.total_s:.2f}", f"{each:.1f}", f"{one.signs_per_second:.1f}", f"{ratio:.2f}"]
        )
    for who, process in (("this process", resource.RUSAGE_SELF), ("its largest worker", resource.RUSAGE_CHILDREN)):
        rows.writerow([f"peak memory of {who}: {resource.getrusage(process).ru_maxrss // 1024} MB"])


if __name__ == "__main__":
    main(sys.argv[1:])
