"""What the bench was planned with, for manifest.json, and where its files lie, for the read-me."""

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from schedule2sign.model.bench import BenchPlan
from schedule2sign.model.job import Job
from schedule2sign.model.nest import NestedSheet
from schedule2sign.writers import coupon, take_off
from schedule2sign.writers.bench_papers import FOLDER
from schedule2sign.writers.cut_drawing import CENTER_LINES, PLATE_CUT, RAISED_CUT, path_notes
from schedule2sign.writers.sheets import sheet_path

_PLACES = 4


def describe_bench(job: Job) -> dict[str, Any] | None:
    """The record; None where nothing is made."""
    bench = job.bench
    if bench is None or not (bench.signs or bench.kept):
        return None
    process = bench.process
    # What is made of a later issue; without an earlier one every released sign is, as often as its quantity says.
    to_make = {"to_make": {row.sign_id: row.quantity for row in bench.packed}} if job.comparison else {}
    return {
        **to_make,
        "process": {
            "id": process.id,
            "title": process.title,
            "assumed": list(process.assumed),
            "said_by_the_job": list(process.stated),
        },
        "paths": {
            RAISED_CUT: {
                "path": "center line",
                "compensation": "off",
                "offset_mm": round(bench.cut.offset_mm, _PLACES),
                "groove_mm": round(bench.cut.width_mm, _PLACES),
                "depth_mm": round(process.letter_cut.depth_mm, _PLACES),
            },
            PLATE_CUT: {
                "path": "center line",
                "compensation": "off",
                "offset_mm": round(process.stock.plate_cutter_mm / 2, _PLACES),
            },
            "every other layer": {"path": "edge", "compensation": "by whoever cuts it"},
        },
        "dome": _rounded(asdict(bench.dome)) if bench.dome else None,
        "dial": asdict(bench.dial) if bench.dial else None,
        "seconds": round(bench.job_seconds),
        "sheets": [_describe_sheet(sheet) for nest in (*bench.nests, *bench.patch_nests) for sheet in nest.sheets],
        "fewest_sheets_by_area": {nest.stock: nest.bound for nest in (*bench.nests, *bench.patch_nests)},
    }


def _describe_sheet(sheet: NestedSheet) -> dict[str, Any]:
    return {
        "file": sheet_path(sheet),
        "stock": sheet.stock,
        "used_share": round(sheet.used_share, _PLACES),
        # One text a plate: sign, copy, lower left corner, turned or not.
        "plates": [
            f"{plate.sign_id or 'spare'} {plate.copy} {plate.x_mm:.{_PLACES}f} {plate.y_mm:.{_PLACES}f}"
            f"{' turned' if plate.turned else ''}"
            for plate in sheet.plates
        ],
    }


def _rounded(values: dict[str, Any]) -> dict[str, Any]:
    def of(value: Any) -> Any:
        if isinstance(value, tuple):
            return [of(item) for item in value]
        return round(value, _PLACES) if isinstance(value, float) else value

    return {key: of(value) for key, value in values.items()}


def bench_files(bench: BenchPlan) -> Iterator[tuple[str, str]]:
    """Each file or folder a shop works from and what it is for, in the order of the work."""
    yield (
        f"{FOLDER}/setup-sheet.pdf",
        "read first: tools, zeroing, depths, order of work, scrap test, map of every sheet",
    )
    if bench.coupon is not None:
        yield coupon.PATH, "test piece on scrap of the lot, before the job"
    yield "sheets/", f"one DXF a stock sheet, plates in place: {', '.join(CENTER_LINES)} are cutter center lines"
    yield "signs/", "one DXF a sign to cut alone, and its picture (SVG)"
    yield f"{FOLDER}/inspection.pdf", "second person, every piece, braille at real size"
    yield f"{FOLDER}/packing-list.pdf, labels.pdf", "by floor in walking order"
    yield f"{FOLDER}/installer-list.pdf", "door, side, heights, clear floor"
    yield take_off.PATH, "material, with formulas for the buyer"


def cutter_notes(job: Job) -> tuple[str, ...]:
    """Which layer is offset and which is not."""
    return tuple(path_notes(job.bench, sheet=bool(job.bench and job.bench.nests)))
