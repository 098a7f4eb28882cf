"""Plates on stock sheets: packing by a library, one stock at a time, compared with the plain grid."""

import functools
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from schedule2sign.errors import InputError
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.nest import Nest, NestedSheet, PlacedPlate, PlacedPlates
from schedule2sign.model.process import PatchStock, Stock
from schedule2sign.model.shape import Point
from schedule2sign.production.amounts import length_text
from schedule2sign.production.cutpath import length_of
from schedule2sign.production.drilling import spanning_length
from schedule2sign.production.packing import Spot, pack_ways
from schedule2sign.production.touring import shorten_tour

_NAME_LENGTH = 32
_ALMOST = 1e-9  # an exact fit must not be lost to the last bit


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece to cut: its sign, which copy of it, size and the stock it is cut from; a spare is `like` a sign."""

    sign_id: str
    copy: int
    width_mm: float
    height_mm: float
    stock: str
    like: str = ""


def grid_count(width_mm: float, height_mm: float, stock: Stock) -> int:
    """Plates of one size in a plain grid on one sheet, in the better of both rotations."""
    as_drawn = _along(stock.width_mm, width_mm, stock) * _along(stock.height_mm, height_mm, stock)
    if stock.grain:
        return as_drawn
    return max(as_drawn, _along(stock.width_mm, height_mm, stock) * _along(stock.height_mm, width_mm, stock))


def _along(sheet_mm: float, plate_mm: float, stock: Stock) -> int:
    return max(0, math.floor((sheet_mm - 2 * stock.margin_mm + stock.gap_mm) / (plate_mm + stock.gap_mm) + _ALMOST))


def stock_of(patches: PatchStock, *, grain: bool) -> Stock:
    """The raised sheet as a stock to nest on; nothing is cut there by a machine."""
    return Stock(
        width_mm=patches.width_mm,
        height_mm=patches.height_mm,
        margin_mm=patches.margin_mm,
        gap_mm=patches.gap_mm,
        plate_cutter_mm=0.0,
        grain=grain,
        plate_feed_mm_s=0.0,
        plate_passes=0,
    )


def check_stock(what: str, width_mm: float, height_mm: float, stock: Stock) -> tuple[Flag, ...]:
    """A plate or a patch of raised sheet that no stock sheet can hold."""
    if grid_count(width_mm, height_mm, stock):
        return ()
    kept = ", grain kept" if stock.grain else ""
    return (
        Flag(
            code="production/plate-too-large",
            severity=Severity.HOLD,
            message=f"The {what} does not fit on its stock sheet.",
            measured=_size(width_mm, height_mm),
            required=f"{_size(stock.width_mm, stock.height_mm)} with a margin of {length_text(stock.margin_mm, places=2)}"
            + kept,
            fix="Set width and height of the stock in [process] to a larger sheet, or use a smaller plate.",
            who="shop",
        ),
    )


def nest_plates(plates: Sequence[Piece], stock: Stock) -> tuple[Nest, ...]:
    """Every plate on a sheet of its stock, in the order given where sizes are equal.

    Raises:
        InputError: a plate is larger than the stock sheet.
    """
    first_of = {(plate.width_mm, plate.height_mm): plate for plate in reversed(plates)}
    for plate in reversed(first_of.values()):
        if not grid_count(plate.width_mm, plate.height_mm, stock):
            raise InputError(
                f"The plate of {plate.sign_id or 'a spare'} ({_size(plate.width_mm, plate.height_mm)}) does not fit on the "
                f"stock sheet ({_size(stock.width_mm, stock.height_mm)}, margin {length_text(stock.margin_mm, places=2)}"
                f"{', grain kept' if stock.grain else ''}). Set stock.width and stock.height in [process]."
            )
    names = dict.fromkeys(plate.stock for plate in plates)
    labels: dict[str, str] = {}
    for name in names:
        label, count = safe_name(name), 1
        while label in labels.values():
            count += 1
            label = f"{safe_name(name)}-{count}x"
        labels[name] = label
    return tuple(
        _nest_stock(name, labels[name], [plate for plate in plates if plate.stock == name], stock) for name in names
    )


def safe_name(text: str) -> str:
    """The text as the start of a file name: small letters, digits and dashes."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:_NAME_LENGTH].rstrip("-") or "stock"


def _nest_stock(name: str, label: str, plates: Sequence[Piece], stock: Stock) -> Nest:
    sizes = [(plate.width_mm, plate.height_mm) for plate in plates]
    layouts = list(pack_ways(sizes, stock))
    if len(set(sizes)) == 1:
        layouts.append(_lay_grid(plates, stock))
    # Equal counts: the grid, which is easier to stop and to check. Full sheets come first.
    spots = min(reversed(layouts), key=len)
    usable = (stock.width_mm - 2 * stock.margin_mm) * (stock.height_mm - 2 * stock.margin_mm)
    area = sum(plate.width_mm * plate.height_mm for plate in plates)
    return Nest(
        stock=name,
        sheets=tuple(
            _sheet(number, name, label, sheet, plates, stock, usable) for number, sheet in enumerate(spots, start=1)
        ),
        bound=math.ceil(area / usable - _ALMOST),
    )


def _lay_grid(plates: Sequence[Piece], stock: Stock) -> list[list[Spot]]:
    width, height = plates[0].width_mm, plates[0].height_mm
    turned = grid_count(width, height, stock) > (
        _along(stock.width_mm, width, stock) * _along(stock.height_mm, height, stock)
    )
    if turned:
        width, height = height, width
    across, up = _along(stock.width_mm, width, stock), _along(stock.height_mm, height, stock)
    per_sheet = across * up
    spots = [
        Spot(
            index=index,
            x_mm=stock.margin_mm + index % per_sheet % across * (width + stock.gap_mm),
            y_mm=stock.margin_mm + index % per_sheet // across * (height + stock.gap_mm),
            turned=turned,
        )
        for index in range(len(plates))
    ]
    return [spots[first : first + per_sheet] for first in range(0, len(spots), per_sheet)]


def _sheet(
    number: int,
    stock_name: str,
    label: str,
    spots: Sequence[Spot],
    plates: Sequence[Piece],
    stock: Stock,
    usable_mm2: float,
) -> NestedSheet:
    placed = []
    for spot in sorted(spots, key=lambda spot: (spot.y_mm, spot.x_mm)):
        plate = plates[spot.index]
        width, height = plate.width_mm, plate.height_mm
        placed.append(
            PlacedPlate(
                sign_id=plate.sign_id,
                like=plate.like or plate.sign_id,
                copy=plate.copy,
                x_mm=spot.x_mm,
                y_mm=spot.y_mm,
                width_mm=height if spot.turned else width,
                height_mm=width if spot.turned else height,
                turned=spot.turned,
            )
        )
    middles = tuple((plate.x_mm + plate.width_mm / 2, plate.y_mm + plate.height_mm / 2) for plate in placed)
    order, travel_mm, bound_mm = _plan_travel(middles)
    return NestedSheet(
        number=number,
        name=f"{label}-{number:02d}",
        stock=stock_name,
        width_mm=stock.width_mm,
        height_mm=stock.height_mm,
        plates=PlacedPlates(placed[index] for index in order),
        travel_mm=travel_mm,
        travel_bound_mm=bound_mm,
        used_share=sum(plate.width_mm * plate.height_mm for plate in placed) / usable_mm2,
    )


@functools.lru_cache(maxsize=64)  # sheets of plates of one size are all alike
def _plan_travel(middles: tuple[Point, ...]) -> tuple[tuple[int, ...], float, float]:
    """A short way through all plates, its length, and what no way is shorter than."""
    order = shorten_tour(middles)
    return order, length_of([middles[index] for index in order]), spanning_length(middles)


def _size(width_mm: float, height_mm: float) -> str:
    return f"{length_text(width_mm, places=2)} by {length_text(height_mm, places=2)}"
