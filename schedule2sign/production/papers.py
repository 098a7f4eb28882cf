"""Bench papers as plain tables: setup sheet, inspection checklist, packing list, installer's list."""

import tomllib
from array import array
from collections.abc import Iterable, Iterator, Sequence
from functools import cache, partial
from importlib.resources import files

from schedule2sign.model.bench import BenchPlan
from schedule2sign.model.paper import Mounting, Paper, PaperTable, Rows
from schedule2sign.production.amounts import length_text
from schedule2sign.production.limits import load_limits
from schedule2sign.production.machining import raised_height_mm
from schedule2sign.production.setupsheet import setup_tables
from schedule2sign.production.tally import Tally

_CARTON = 12  # pieces in a carton: common practice, no source


def write_papers(plan: BenchPlan, tally: Tally) -> tuple[Paper, ...]:
    """All papers of a job; cells left empty are written on by hand."""
    notes = _words("paperwords.toml")
    return (
        Paper(
            name="setup-sheet",
            title="Setup sheet",
            notes=tuple(notes["setup"]),
            cautions=cautions(),
            tables=tuple(setup_tables(plan, tally)),
        ),
        Paper(
            name="inspection",
            title="Inspection sheet",
            notes=tuple(notes["inspection"]),
            cautions=(),
            tables=(_checklist(plan, notes["checklist"]),),
        ),
        Paper(
            name="packing-list",
            title="Packing list",
            notes=tuple(notes["packing"]),
            cautions=(),
            tables=tuple(_packing(plan)),
        ),
        Paper(
            name="installer-list",
            title="Installer's list",
            notes=tuple(notes["installation"]),
            cautions=tuple(notes["installation_cautions"]),
            tables=tuple(_installation(plan)),
            landscape=True,
        ),
    )


def cautions() -> tuple[str, ...]:
    """What can hurt someone at the bench."""
    return tuple(_words("cautions.toml")["cautions"])


@cache
def _words(name: str) -> dict[str, list[str]]:
    return dict(tomllib.loads((files("schedule2sign.production") / name).read_text(encoding="utf-8")))


def _checklist(plan: BenchPlan, steps: list[str]) -> PaperTable:
    """What is looked at on every piece, with the limits in force."""
    limits, unit = load_limits(), plan.process.unit
    numbers = {
        "dome": limits["dome_height"].printed,
        "raised": limits["raised_height"].printed,
        "sheet": length_text(raised_height_mm(plan.process), unit),
    }
    return PaperTable(
        title="On every piece",
        columns=("No.", "Look at"),
        rows=tuple((str(number), step.format(**numbers)) for number, step in enumerate(steps, start=1)),
    )


def _packing(plan: BenchPlan) -> Iterator[PaperTable]:
    """By floor in walking order, twelve pieces a carton; a new floor starts a new carton."""
    cartons = 0
    for floor, (places, pieces) in _by_floor(plan.packed).items():
        yield PaperTable(
            title=floor or "Floor not given",
            columns=("Carton", "No.", "Sign", "Piece", "Text", "Packed"),
            rows=Rows(pieces, partial(_packing_rows, plan.packed, places, cartons)),
            fill_in=("Packed",),
        )
        cartons += -(-pieces // _CARTON)


def _packing_rows(mountings: Sequence[Mounting], places: Iterable[int], cartons: int) -> Iterator[tuple[str, ...]]:
    """One row a piece; so many cartons are full already."""
    rows = (mountings[place] for place in places)
    pieces = ((row, copy) for row in rows for copy in range(1, row.quantity + 1))
    for place, (row, copy) in enumerate(pieces):
        carton = cartons + 1 + place // _CARTON
        yield str(carton), str(row.sequence), row.sign_id, f"{copy} of {row.quantity}", row.text, ""


def _installation(plan: BenchPlan) -> Iterator[PaperTable]:
    for floor, (places, _) in _by_floor(plan.mountings).items():
        yield PaperTable(
            title=floor or "Floor not given",
            columns=(
                "No.",
                "Sign",
                "Door",
                "Room",
                "Text",
                "Side",
                "Top edge above floor",
                "Lowest tactile line",
                "Highest baseline",
                "Fastening",
                "Clear floor",
                "Remarks",
                "Done by, date, photo",
            ),
            rows=Rows(len(places), partial(_installation_rows, plan.mountings, places, plan.process.unit)),
            fill_in=("Done by, date, photo",),
        )


def _installation_rows(mountings: Sequence[Mounting], places: Iterable[int], unit: str) -> Iterator[tuple[str, ...]]:
    for row in (mountings[place] for place in places):
        yield (
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


def _by_floor(mountings: Iterable[Mounting]) -> dict[str, tuple[Sequence[int], int]]:
    """Places of each floor's rows, and how many pieces they are."""
    floors: dict[str, tuple[array[int], int]] = {}
    for place, row in enumerate(mountings):
        places, pieces = floors.get(row.floor) or (array("L"), 0)
        places.append(place)
        floors[row.floor] = places, pieces + row.quantity
    return dict(floors)


def _height(value_mm: float | None, unit: str) -> str:
    return "" if value_mm is None else length_text(value_mm, unit, 2)
