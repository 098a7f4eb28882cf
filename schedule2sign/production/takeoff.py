"""What the job needs: plates, sheets, raised sheet, balls, tape, inserts; by floor and in all, with spares."""

import functools
import math
from collections import Counter
from collections.abc import Mapping, Sequence

from schedule2sign.model.bench import Need, Order, PlannedSign
from schedule2sign.model.measure import inches
from schedule2sign.model.nest import Nest
from schedule2sign.model.plate import Plate
from schedule2sign.model.process import Method, Process, Spares
from schedule2sign.model.shape import Box, PlacedGlyph, SignLayout
from schedule2sign.production.amounts import length_text
from schedule2sign.production.walking import floor_key

_ALMOST = 1e-9


def order_spheres(dots: int, spares: Spares) -> tuple[int, int]:
    """Balls to order in whole packs: (without packs, with packs).

    Dots and the balls of one scrap test, plus a share of both and never fewer than the least spare.
    """
    need = dots + spares.sphere_scrap
    ordered = need + max(math.ceil(need * spares.sphere_share - _ALMOST), spares.sphere_least)
    return ordered, math.ceil(ordered / spares.sphere_pack) * spares.sphere_pack


def spare_plates(count: int, spares: Spares) -> int:
    """Spoilage of one size: a share, and never fewer than the least."""
    return max(math.ceil(count * spares.plate_share - _ALMOST), spares.plate_least)


def patches(layout: SignLayout, margin_mm: float) -> tuple[Box, ...]:
    """Raised sheet laid on the plate: over text and pictogram with a margin all round, clear of the braille."""
    if layout.border:
        return (Box(left_mm=0, bottom_mm=0, right_mm=layout.width_mm, top_mm=layout.height_mm),)
    letters = [glyph for line in layout.lines for glyph in line.glyphs]
    found = [_around(letters, margin_mm)] if letters else []
    if layout.pictogram is not None and layout.pictogram.rings:
        found.append(_around([layout.pictogram.field], margin_mm))
    top = max([dot.y_mm for dot in layout.dots], default=-math.inf) + layout.cell_size.base_mm / 2
    # The sheet must not reach the braille: the drill's depth is measured from the bare base.
    return tuple(
        Box(left_mm=box.left_mm, bottom_mm=max(box.bottom_mm, top), right_mm=box.right_mm, top_mm=box.top_mm)
        if box.bottom_mm < top < box.top_mm
        else box
        for box in found
    )


def _around(things: Sequence[PlacedGlyph | Box], margin_mm: float) -> Box:
    return Box(
        left_mm=min([thing.left_mm for thing in things]) - margin_mm,
        bottom_mm=min([thing.bottom_mm for thing in things]) - margin_mm,
        right_mm=max([thing.right_mm for thing in things]) + margin_mm,
        top_mm=max([thing.top_mm for thing in things]) + margin_mm,
    )


def size_name(plate: Plate, unit: str) -> str:
    """A plate size as it is asked for: "8 x 4 in"."""
    return _size_name(plate.width_mm, plate.height_mm, unit)


@functools.lru_cache(maxsize=256)  # a job has few sizes
def _size_name(width_mm: float, height_mm: float, unit: str) -> str:
    width, height = (
        f"{inches(value) if unit == 'in' else value:.3f}".rstrip("0").rstrip(".") for value in (width_mm, height_mm)
    )
    return f"{width} x {height} {unit}"


def take_off(signs: Sequence[PlannedSign], process: Process) -> tuple[Need, ...]:
    """What each floor needs, bottom floor first, and the whole job last (floor "")."""
    by_floor: dict[str, list[PlannedSign]] = {}
    for sign in signs:
        by_floor.setdefault(sign.request.level, []).append(sign)
    return (
        *(_count(floor, by_floor[floor], process) for floor in sorted(by_floor, key=floor_key)),
        _count("", signs, process),
    )


def _count(floor: str, signs: Sequence[PlannedSign], process: Process) -> Need:
    spares = process.spares
    pieces = [(sign.plate, sign.request.quantity) for sign in signs]
    plates: Counter[str] = Counter()
    for plate, quantity in pieces:
        plates[size_name(plate, process.unit)] += quantity
    return Need(
        floor=floor,
        signs=len(signs),
        pieces=sum(quantity for _, quantity in pieces),
        dots=sum(plate.braille_dots * quantity for plate, quantity in pieces),
        plates=tuple(sorted(plates.items())),
        plate_mm2=sum(plate.width_mm * plate.height_mm * quantity for plate, quantity in pieces),
        patch_mm2=sum(box.width_mm * box.height_mm * quantity for plate, quantity in pieces for box in plate.patches)
        if process.method is Method.APPLIQUE
        else 0.0,
        tape_mm=sum(spares.tape_strips * plate.height_mm * quantity for plate, quantity in pieces if _is_taped(plate)),
        inserts=sum(quantity for plate, quantity in pieces if plate.window is not None),
        fixing_holes=sum(len(plate.holes) * quantity for plate, quantity in pieces),
    )


def spare_sheets(count: int, spares: Spares) -> int:
    """Sheets of raised material beyond the nested ones, for spare plates and failed patches."""
    return max(math.ceil(count * spares.plate_share - _ALMOST), 1)


def long_unit(unit: str) -> str:
    """What long lengths are bought by."""
    return "ft" if unit == "in" else "m"


def tape_length(value_mm: float, unit: str) -> float:
    """A long length in the unit it is bought by."""
    return inches(value_mm) / 12 if unit == "in" else value_mm / 1000


def _is_taped(plate: Plate) -> bool:
    return plate.fixing == "tape" and not plate.holes


def make_orders(
    needs: Sequence[Need],
    nests: Sequence[Nest],
    patch_nests: Sequence[Nest],
    process: Process,
    blanks: Mapping[str, int],
) -> tuple[Order, ...]:
    """The buyer's list for the whole job. Stock sheets are counted by nesting, spare plates included.

    `blanks` says how many plates of each size one stock sheet gives.
    """
    total, spares = needs[-1], process.spares
    orders = [
        Order(
            item=f"Stock sheet {nest.stock}",
            need=len(nest.sheets),
            spare=0,
            total=len(nest.sheets),
            unit="sheets",
            how=f"nested, spare plates included; by area alone {nest.bound}",
        )
        for nest in nests
    ]
    orders += [
        Order(
            item=f"Plate {size}",
            need=count,
            spare=spare_plates(count, spares),
            total=count + spare_plates(count, spares),
            unit="pcs",
            how=f"spare {spares.plate_share:.0%}, at least {spares.plate_least} of a size; "
            f"{blanks.get(size, 0)} blanks fill a stock sheet",
        )
        for size, count in total.plates
    ]
    for nest in patch_nests:
        count, spare = len(nest.sheets), spare_sheets(len(nest.sheets), spares)
        orders.append(
            Order(
                item=nest.stock[:1].upper() + nest.stock[1:],
                need=count,
                spare=spare,
                total=count + spare,
                unit="sheets",
                how=f"patches with {length_text(spares.patch_margin_mm, process.unit, 2)} all round, nested; by area alone "
                f"{nest.bound}; {spares.plate_share:.0%} spare, at least one sheet; one lot, for one color",
            )
        )
    if process.sphere is not None and total.dots:
        ordered, packs = order_spheres(total.dots, spares)
        orders.append(
            Order(
                item=f"Ball {length_text(process.sphere.diameter_mm, process.unit)}",
                need=total.dots,
                spare=packs - total.dots,
                total=packs,
                unit="pcs",
                how=f"{spares.sphere_scrap} for the scrap test; {spares.sphere_share:.0%} and at least "
                f"{spares.sphere_least} spare makes {ordered}; whole packs of {spares.sphere_pack}",
            )
        )
    orders += [
        Order(item=item, need=amount, spare=0, total=amount, unit=unit, how=how)
        for item, amount, unit, how in (
            (
                "Double-sided tape",
                tape_length(total.tape_mm, process.unit),
                long_unit(process.unit),
                f"{spares.tape_strips} strips a plate height each",
            ),
            ("Insert", float(total.inserts), "pcs", "one a plate with a window"),
            ("Screw and plug", float(total.fixing_holes), "pcs", "one a fixing hole"),
            ("Back label", float(total.pieces), "pcs", "one a piece, with its sign id"),
        )
        if amount
    ]
    return tuple(orders)
