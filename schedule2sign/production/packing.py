"""Plates packed on sheets of stock by a library; what it does over and over is done here with less work."""

import functools
import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from schedule2sign.model.process import Stock

Size = tuple[float, float]  # width and height of a plate, in mm
_Rect = tuple[int, int, int]  # width and height as the packer counts, and the index of the plate
_PER_MM = 10_000  # the packer counts in whole steps of 0.0001 mm; plates are rounded up, the sheet down
_FEW = 400
_BATCH = 1000  # plates packed at a time: the last sheet of each may stay open, one in eighty or so


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where a plate, by its index, lies on a sheet."""

    index: int
    x_mm: float
    y_mm: float
    turned: bool


def pack_ways(sizes: Sequence[Size], stock: Stock) -> Iterator[list[list[Spot]]]:
    """The library's ways that did best on schedules of signs; the time of each grows fast, so a big job gets one."""
    import rectpack  # heavy enough to stay out of the start of the command

    bins, packs = (rectpack.PackingBin.BFF, rectpack.PackingBin.BBF), (rectpack.MaxRectsBssf, rectpack.MaxRectsBaf)
    sorts = (rectpack.SORT_AREA, rectpack.SORT_LSIDE)
    if len(sizes) <= _FEW:
        yield from (_pack(sizes, stock, *way) for way in itertools.product(bins, packs, sorts))
        return
    sheets: list[list[Spot]] = []
    for first in range(0, len(sizes), _BATCH):
        rects = sorts[0](_rects(sizes, range(first, min(first + _BATCH, len(sizes))), stock))
        new_sheet = functools.partial(quick_sheet(packs[0]), *_room(stock), rot=not stock.grain)
        sheets += (_spots(sheet, sizes, stock) for sheet in first_fit(rects, new_sheet))
    yield sheets


def _pack(sizes: Sequence[Size], stock: Stock, bin_way: Any, pack_way: Any, sort_way: Any) -> list[list[Spot]]:
    import rectpack

    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline,
        bin_algo=bin_way,
        pack_algo=quick_sheet(pack_way),
        sort_algo=sort_way,
        rotation=not stock.grain,
    )
    for rect in _rects(sizes, range(len(sizes)), stock):
        packer.add_rect(*rect)
    packer.add_bin(*_room(stock), count=float("inf"))
    packer.pack()
    return [_spots(sheet, sizes, stock) for sheet in packer]


def first_fit(rects: Iterable[_Rect], new_sheet: Callable[[], Any]) -> list[Any]:
    """The library's way BFF: each piece on the first sheet with room for it."""
    sheets: list[Any] = []
    passed: dict[tuple[int, int], int] = {}  # sheets without room for a size; more pieces on them make none
    for width, height, index in rects:
        at = passed.get((width, height), 0)
        while at < len(sheets) and sheets[at].add_rect(width, height, index) is None:
            at += 1
        if at == len(sheets):
            sheets.append(new_sheet())
            sheets[at].add_rect(width, height, index)
        passed[width, height] = at
    return sheets


@functools.cache
def quick_sheet(pack_way: Any) -> Any:
    """The library's way to find a place on a sheet, with the same result: it looks at less."""
    from rectpack.geometry import Rectangle

    class Sheet(pack_way):  # type: ignore[misc]
        _max_rects: list[Any]

        def _select_position(self, width: int, height: int) -> Any:
            best, least = None, math.inf
            for across, along in ((width, height), (height, width)) if self.rot else ((width, height),):
                for free in self._max_rects:
                    if across <= free.width and along <= free.height:
                        waste = self._rect_fitness(free, across, along)
                        if waste < least:
                            best, least = (Rectangle(free.x, free.y, across, along), free), waste
            return best or (None, None)

        def _split(self, placed: Any) -> None:
            left, bottom, right, top = placed.left, placed.bottom, placed.right, placed.top
            free: list[Any] = []
            parts: list[Any] = []
            for space in self._max_rects:
                if (
                    space.x < right
                    and space.y < top
                    and space.x + space.width > left
                    and space.y + space.height > bottom
                ):
                    split = self._generate_splits(space, placed)
                    free += split
                    parts += split
                else:
                    free.append(space)
            # A space that is whole lies in no other, so only the parts of the others may.
            inside = {id(part) for part in parts if _lies_within(part, free)}
            self._max_rects = [space for space in free if id(space) not in inside]

        def _remove_duplicates(self) -> None:
            return None  # none is left by the split

    return Sheet


def _lies_within(part: Any, spaces: Sequence[Any]) -> bool:
    """Whether a part lies in another space, or is the same as another."""
    left, bottom, right, top = part.x, part.y, part.x + part.width, part.y + part.height
    for space in spaces:
        if (
            space.x <= left
            and space.y <= bottom
            and space.x + space.width >= right
            and space.y + space.height >= top
            and space is not part
        ):
            return True
    return False


def _rects(sizes: Sequence[Size], indices: Iterable[int], stock: Stock) -> list[_Rect]:
    """Sizes of plates with their indices, a gap added to each."""
    gap = stock.gap_mm
    return [(_up(sizes[index][0] + gap), _up(sizes[index][1] + gap), index) for index in indices]


def _room(stock: Stock) -> tuple[int, int]:
    """Room on a sheet. A gap is added as to every plate, so that the last plate needs none behind it."""
    margins, gap = 2 * stock.margin_mm, stock.gap_mm
    return _down(stock.width_mm - margins + gap), _down(stock.height_mm - margins + gap)


def _spots(sheet: Any, sizes: Sequence[Size], stock: Stock) -> list[Spot]:
    return [
        Spot(
            index=rect.rid,
            x_mm=stock.margin_mm + rect.x / _PER_MM,
            y_mm=stock.margin_mm + rect.y / _PER_MM,
            turned=rect.width != _up(sizes[rect.rid][0] + stock.gap_mm),
        )
        for rect in sheet
    ]


def _up(value_mm: float) -> int:
    return math.ceil(value_mm * _PER_MM - 1e-3)


def _down(value_mm: float) -> int:
    return math.floor(value_mm * _PER_MM + 1e-3)
