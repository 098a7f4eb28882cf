"""Wires the bench: planned signs in walking order, plates nested, material and papers made."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from itertools import islice

from schedule2sign.model.bench import BenchPlan, PlannedSign
from schedule2sign.model.braille import CellSize
from schedule2sign.model.flag import Flag
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.nest import Nest
from schedule2sign.model.paper import Mounting
from schedule2sign.model.plate import DrillRows
from schedule2sign.model.process import Process
from schedule2sign.model.shape import Ring, SignLayout
from schedule2sign.production.amounts import short_length
from schedule2sign.production.coupon import plan_coupon
from schedule2sign.production.drilling import plan_runs
from schedule2sign.production.machining import check_setup
from schedule2sign.production.mounting import plan_mounting
from schedule2sign.production.nesting import Piece, grid_count, nest_plates, stock_of
from schedule2sign.production.papers import write_papers
from schedule2sign.production.signplan import cut_of, dial_of, dome_of
from schedule2sign.production.takeoff import make_orders, size_name, spare_plates, take_off
from schedule2sign.production.tally import tally_cuttings
from schedule2sign.production.tolerance import check_positions
from schedule2sign.production.walking import walking_order


def plan_bench(job: Job, process: Process) -> BenchPlan:
    """Everything the bench needs for the released signs of a job, in walking order.

    Where the job was compared with an earlier issue, only what is to be made is nested, counted and packed.

    Raises:
        InputError: a plate does not fit on the stock sheet, or no dot can be made of the balls.
        ValueError: a sign is released although nothing was planned for its cutting (our bug).
    """
    released = _released(job)
    signs = _to_make(released, job)
    records = {record.request.sign_id: record for record in job.signs}
    cut, dome, dial = cut_of(process), dome_of(process), dial_of(process)
    made = {sign.sign_id: sign.request.quantity for sign in signs}
    drilled = {sign.sign_id: sign for sign in signs}
    nests = _drill_sheets(
        nest_plates(_plates(signs, process), process.stock), lambda one: drilled[one].drilled, process
    )
    patch_nests = _nest_patches(signs, process)
    needs = take_off(signs, process)
    mountings, mounting_flags = plan_mounting(released)
    tally = tally_cuttings(signs)
    plan = BenchPlan(
        process=process,
        cut=cut,
        dome=dome,
        dial=dial,
        signs=tuple(signs),
        nests=nests,
        patch_nests=patch_nests,
        needs=needs,
        orders=make_orders(needs, nests, patch_nests, process, _blanks(signs, process)),
        mountings=mountings,
        packed=mountings if job.comparison is None else _to_pack(mountings, made),
        kept=tuple(sign for sign in released if sign.sign_id not in made),
        coupon=plan_coupon(signs, tally, lambda sign_id: _layout_of(records[sign_id]), cut, process),
        job_seconds=process.hand_work.batch_s + tally.total_s,
        papers=(),
        flags=(*check_setup(process, dome, dial), *_check_positions(signs, process), *mounting_flags),
    )
    return replace(plan, papers=write_papers(plan, tally))


def _released(job: Job) -> list[PlannedSign]:
    """The released signs in walking order."""
    by_id = {}
    for record in job.signs:
        if record.status is Status.RELEASED:
            plate = record.plate
            if plate is None or not record.work.planned:
                raise ValueError(f"sign {record.request.sign_id!r} is released and was not planned for the bench")
            by_id[record.request.sign_id] = PlannedSign(request=record.request, plate=plate, made=record)
    return [by_id[r.sign_id] for r in walking_order(s.request for s in job.signs) if r.sign_id in by_id]


def _to_pack(rows: Sequence[Mounting], pieces: Mapping[str, int]) -> tuple[Mounting, ...]:
    """The rows of the signs to make, with as many pieces as are to make."""
    return tuple(replace(row, quantity=pieces[row.sign_id]) for row in rows if row.sign_id in pieces)


def _to_make(released: Sequence[PlannedSign], job: Job) -> list[PlannedSign]:
    """The signs with as many pieces as are to make, without those of which none is."""
    if job.comparison is None:
        return list(released)
    pieces = {change.sign_id: change.pieces for change in job.comparison.remake}
    return [
        replace(sign, request=replace(sign.request, quantity=pieces[sign.sign_id]))
        for sign in released
        if sign.sign_id in pieces
    ]


def _layout_of(record: SignRecord) -> SignLayout:
    if (layout := record.layout) is None:
        raise ValueError(f"sign {record.request.sign_id!r} has no layout")
    return layout


def _nest_patches(signs: Sequence[PlannedSign], process: Process) -> tuple[Nest, ...]:
    if process.patch_stock is None:
        return ()
    thickness = short_length(process.material.sheet_mm, process.unit)
    pieces = [
        Piece(
            sign_id=sign.sign_id,
            copy=copy,
            width_mm=box.width_mm,
            height_mm=box.height_mm,
            stock=f"raised sheet, {sign.plate.build.letter_color}, {thickness}",
        )
        for sign in signs
        for copy in range(1, sign.request.quantity + 1)
        for box in sign.plate.patches
    ]
    return nest_plates(pieces, stock_of(process.patch_stock, grain=process.stock.grain))


def _check_positions(signs: Sequence[PlannedSign], process: Process) -> tuple[Flag, ...]:
    """Once for every braille size of the job."""
    lines: dict[CellSize, int] = {}
    for sign in signs:
        size = sign.plate.cell_size
        lines[size] = max(lines.get(size, 0), sign.plate.braille_lines)
    return tuple(
        flag for size, count in lines.items() for flag in check_positions(size, process, several_lines=count > 1)
    )


def _plates(signs: Sequence[PlannedSign], process: Process) -> list[Piece]:
    """Every piece, and after those of its stock the spare blanks of each size."""
    pieces: list[Piece] = []
    spares: dict[tuple[str, str, float, Ring], list[Piece]] = {}
    for sign in signs:
        plate = sign.plate
        stock = f"{plate.build.base_color}, {plate.build.finish}, {_thickness(process)}"
        piece = Piece(sign_id=sign.sign_id, copy=1, width_mm=plate.width_mm, height_mm=plate.height_mm, stock=stock)
        copies = [replace(piece, copy=number) for number in range(1, sign.request.quantity + 1)]
        pieces += copies
        shape = (stock, size_name(plate, process.unit), plate.corner_radius_mm, plate.outline)
        spares.setdefault(shape, []).extend(copies)
    for made in spares.values():
        count = spare_plates(len(made), process.spares)
        pieces += [replace(made[0], sign_id="", like=made[0].sign_id, copy=number) for number in range(1, count + 1)]
    return pieces


def _blanks(signs: Sequence[PlannedSign], process: Process) -> dict[str, int]:
    """Plates of one size a stock sheet gives when nothing else is cut from it."""
    sizes = {size_name(sign.plate, process.unit): (sign.plate.width_mm, sign.plate.height_mm) for sign in signs}
    return {name: grid_count(*size, process.stock) for name, size in sizes.items()}


def _thickness(process: Process) -> str:
    return short_length(process.material.base_mm, process.unit)


def _drill_sheets(nests: Sequence[Nest], drilled: Callable[[str], DrillRows], process: Process) -> tuple[Nest, ...]:
    """The way through the holes of all plates of each sheet, plate by plate, rows in the sheet's own direction."""
    sheets = [sheet for nest in nests for sheet in nest.sheets]
    holes = (list(sheet.drill_holes(drilled)) for sheet in sheets)
    runs = plan_runs(holes, process.drilling.run_in_mm if process.drilling else 0.0)
    planned = (
        replace(sheet, holes=run.holes, drill_mm=run.length_mm, drill_bound_mm=run.bound_mm)
        for sheet, run in zip(sheets, runs, strict=True)
    )
    return tuple(replace(nest, sheets=tuple(islice(planned, len(nest.sheets)))) for nest in nests)
