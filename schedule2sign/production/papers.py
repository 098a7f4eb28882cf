"""Bench papers as plain tables: setup sheet, inspection sheet, packing list, installer's list."""

import functools
import tomllib
from collections.abc import Iterator
from importlib.resources import files

from schedule2sign.model.job import Job
from schedule2sign.model.process import BenchPlan, Paper, PaperTable
from schedule2sign.production.amounts import length_text
from schedule2sign.production.setupsheet import setup_tables

_CARTON = 12  # pieces in a carton: common practice, no source


def write_papers(job: Job, plan: BenchPlan) -> tuple[Paper, ...]:
    """All papers of a job; cells left empty are written on by hand."""
    name = f"{job.settings.job} revision {job.settings.revision}"
    return (
        Paper(name="setup", title=f"Setup sheet, {name}", cautions=cautions(), tables=tuple(setup_tables(plan))),
        Paper(name="inspection", title=f"Inspection sheet, {name}", cautions=(), tables=(_inspection(job, plan),)),
        Paper(name="packing", title=f"Packing list, {name}", cautions=(), tables=tuple(_packing(plan))),
        Paper(name="installation", title=f"Installer's list, {name}", cautions=(), tables=tuple(_installation(plan))),
    )


@functools.cache
def cautions() -> tuple[str, ...]:
    """What can hurt someone at the bench."""
    text = (files("schedule2sign.production") / "cautions.toml").read_text(encoding="utf-8")
    return tuple(tomllib.loads(text)["cautions"])


def _inspection(job: Job, plan: BenchPlan) -> PaperTable:
    """One row a sign: what a second person compares, and the braille read back."""
    records = {record.request.sign_id: record for record in job.signs}
    rows = []
    for sign in plan.signs:
        record = records[sign.sign_id]
        rows.append(
            (
                sign.sign_id,
                " / ".join(message.text for message in record.request.messages),
                " / ".join(line.cells for line in record.braille),
                " / ".join(line.back for line in record.braille if line.back),
                str(len(sign.holes)),
                "",
                "",
                "",
                "",
                "",
                "",
            )
        )
    return PaperTable(
        title="Every piece, by a second person",
        columns=(
            "Sign",
            "Raised text",
            "Braille",
            "Reads back",
            "Dots",
            "Text ok",
            "Dots ok",
            "Dome 1",
            "Dome 2",
            "Dome 3",
            "Initials",
        ),
        rows=tuple(rows),
        fill_in=("Text ok", "Dots ok", "Dome 1", "Dome 2", "Dome 3", "Initials"),
    )


def _packing(plan: BenchPlan) -> Iterator[PaperTable]:
    """By floor in walking order, twelve pieces a carton; a new floor starts a new carton."""
    carton = 0
    for floor in dict.fromkeys(row.floor for row in plan.mountings):
        packed = _CARTON
        rows = []
        for row in (row for row in plan.mountings if row.floor == floor):
            for copy in range(1, row.quantity + 1):
                if packed == _CARTON:
                    carton, packed = carton + 1, 0
                packed += 1
                rows.append((str(carton), str(row.sequence), row.sign_id, f"{copy} of {row.quantity}", row.text, ""))
        yield PaperTable(
            title=floor or "Floor not given",
            columns=("Carton", "No.", "Sign", "Piece", "Text", "Packed"),
            rows=tuple(rows),
            fill_in=("Packed",),
        )


def _installation(plan: BenchPlan) -> Iterator[PaperTable]:
    unit = plan.process.unit
    for floor in dict.fromkeys(row.floor for row in plan.mountings):
        yield PaperTable(
            title=floor or "Floor not given",
            columns=(
                "No.",
                "Sign",
                "Door",
                "Room",
                "Text",
                "Side",
                "Top edge",
                "Lowest tactile",
                "Highest baseline",
                "Fastening",
                "Clear floor",
                "Remarks",
                "Done by, date",
            ),
            rows=tuple(
                (
                    str(row.sequence),
                    row.sign_id,
                    row.door,
                    row.room,
                    row.text,
                    row.side,
                    length_text(row.top_mm, unit, 2),
                    _height(row.low_mm, unit),
                    _height(row.high_mm, unit),
                    row.fastening,
                    row.clear_floor,
                    row.remarks,
                    "",
                )
                for row in plan.mountings
                if row.floor == floor
            ),
            fill_in=("Done by, date",),
        )


def _height(value_mm: float | None, unit: str) -> str:
    return "" if value_mm is None else length_text(value_mm, unit, 2)
