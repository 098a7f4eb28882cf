"""Plates on stock sheets: packing by a library, one stock at a time, compared with the plain grid."""

import functools
import itertools
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from schedule2sign.errors import InputError
from schedule2sign.model.bench import Nest, NestedSheet, PlacedPlate, PlacedPlates
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.process import PatchStock, Stock
from schedule2sign.production.amounts import length_text
from schedule2sign.production.cutpath import length_of
from schedule2sign.production.drilling import spanning_length
from schedule2sign.production.touring import shorten_tour

_PER_MM = 10_000  # the packer counts in whole steps of 0.0001 mm; plates are rounded up, the sheet down
_FEW = 400
_BATCH = 1000  # plates packed at a time: the last sheet of each may stay open, one in eighty or so
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spot:
    index: int
    x_mm: float
    y_mm: float
    turned: bool


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
    for plate in plates:
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
    layouts = list(_pack_ways(plates, stock))
    if len({(plate.width_mm, plate.height_mm) for plate in plates}) == 1:
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


def _pack_ways(plates: Sequence[Piece], stock: Stock) -> Iterator[list[list[_Spot]]]:
    """The library's ways that did best on schedules of signs; the time of each grows fast, so a big job gets one."""
    import rectpack  # heavy enough to stay out of the start of the command

    bins, packs = (rectpack.PackingBin.BFF, rectpack.PackingBin.BBF), (rectpack.MaxRectsBssf, rectpack.MaxRectsBaf)
    sorts = (rectpack.SORT_AREA, rectpack.SORT_LSIDE)
    ways = list(itertools.product(bins, packs, sorts))
    if len(plates) <= _FEW:
        yield from (_pack(plates, stock, *way) for way in ways)
        return
    yield [
        [replace(spot, index=spot.index + first) for spot in sheet]
        for first in range(0, len(plates), _BATCH)
        for sheet in _pack(plates[first : first + _BATCH], stock, *ways[0])
    ]


@functools.cache
def _looking_first(pack_way: Any) -> Any:
    """The library's way, but a sheet without room for a piece is passed over before it is searched for the best place."""

    class Sheet(pack_way):  # type: ignore[misc]
        def _select_position(self, width: int, height: int) -> Any:
            for free in self._max_rects:
                across, along = free.width, free.height
                if (width <= across and height <= along) or (self.rot and height <= across and width <= along):
                    return super()._select_position(width, height)
            return None, None

    return Sheet


def _pack(plates: Sequence[Piece], stock: Stock, bin_way: Any, pack_way: Any, sort_way: Any) -> list[list[_Spot]]:
    import rectpack

    gap = stock.gap_mm
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline,
        bin_algo=bin_way,
        pack_algo=_looking_first(pack_way),
        sort_algo=sort_way,
        rotation=not stock.grain,
    )
    for index, plate in enumerate(plates):
        packer.add_rect(_up(plate.width_mm + gap), _up(plate.height_mm + gap), rid=index)
    # A gap is added to the sheet as to every plate, so that the last plate needs none behind it.
    packer.add_bin(
        _down(stock.width_mm - 2 * stock.margin_mm + gap),
        _down(stock.height_mm - 2 * stock.margin_mm + gap),
        count=float("inf"),
    )
    packer.pack()
    return [
        [
            _Spot(
                index=rect.rid,
                x_mm=stock.margin_mm + rect.x / _PER_MM,
                y_mm=stock.margin_mm + rect.y / _PER_MM,
                turned=rect.width != _up(plates[rect.rid].width_mm + gap),
            )
            for rect in sheet
        ]
        for sheet in packer
    ]


def _lay_grid(plates: Sequence[Piece], stock: Stock) -> list[list[_Spot]]:
    width, height = plates[0].width_mm, plates[0].height_mm
    turned = grid_count(width, height, stock) > (
        _along(stock.width_mm, width, stock) * _along(stock.height_mm, height, stock)
    )
    if turned:
        width, height = height, width
    across, up = _along(stock.width_mm, width, stock), _along(stock.height_mm, height, stock)
    per_sheet = across * up
    spots = [
        _Spot(
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
    spots: Sequence[_Spot],
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
    middles = [(plate.x_mm + plate.width_mm / 2, plate.y_mm + plate.height_mm / 2) for plate in placed]
    order = shorten_tour(middles)
    return NestedSheet(
        number=number,
        name=f"{label}-{number:02d}",
        stock=stock_name,
        width_mm=stock.width_mm,
        height_mm=stock.height_mm,
        plates=PlacedPlates(placed[index] for index in order),
        travel_mm=length_of([middles[index] for index in order]),
        travel_bound_mm=spanning_length(middles),
        used_share=sum(plate.width_mm * plate.height_mm for plate in placed) / usable_mm2,
    )


def _size(width_mm: float, height_mm: float) -> str:
    return f"{length_text(width_mm, places=2)} by {length_text(height_mm, places=2)}"


def _up(value_mm: float) -> int:
    return math.ceil(value_mm * _PER_MM - 1e-3)


def _down(value_mm: float) -> int:
    return math.floor(value_mm * _PER_MM + 1e-3)
