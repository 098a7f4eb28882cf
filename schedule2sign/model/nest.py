"""Plates on stock sheets."""

from array import array
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from operator import attrgetter
from typing import overload

from schedule2sign.model.plate import DrillRows
from schedule2sign.model.shape import Point

_NUMBERS = attrgetter("x_mm", "y_mm", "width_mm", "height_mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPlate:
    """A plate on a sheet, by its bottom left corner; `turned` is a quarter turn counter-clockwise.

    `like` is the sign whose edge it has: its own, or for a spare blank (sign id "") that of a sign it can become.
    """

    sign_id: str
    like: str
    copy: int
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    turned: bool

    def place(self, point: Point) -> Point:
        """A point of the plate, where it lies on the sheet."""
        (placed,) = self.place_all((point,))
        return placed

    def place_all(self, points: Iterable[Point]) -> list[Point]:
        """Points of the plate, where they lie on the sheet."""
        left, right, bottom = self.x_mm, self.x_mm + self.width_mm, self.y_mm
        if self.turned:
            return [(right - y, bottom + x) for x, y in points]
        return [(left + x, bottom + y) for x, y in points]


class PlacedPlates(Sequence[PlacedPlate]):
    """The plates of a sheet in little memory, each made when it is asked for; equal to any sequence of the same."""

    __slots__ = ("_copies", "_likes", "_numbers", "_sign_ids", "_turned")

    def __init__(self, plates: Iterable[PlacedPlate]) -> None:
        given = list(plates)
        self._sign_ids = tuple([plate.sign_id for plate in given])
        likes = tuple([plate.like for plate in given])
        self._likes = self._sign_ids if likes == self._sign_ids else likes
        self._copies = array("L", [plate.copy for plate in given])
        self._numbers = array("d", chain.from_iterable(map(_NUMBERS, given)))
        self._turned = bytes([plate.turned for plate in given])

    @overload
    def __getitem__(self, index: int) -> PlacedPlate: ...

    @overload
    def __getitem__(self, index: slice) -> tuple[PlacedPlate, ...]: ...

    def __getitem__(self, index: int | slice) -> PlacedPlate | tuple[PlacedPlate, ...]:
        if isinstance(index, slice):
            return tuple(self)[index]
        at = range(len(self))[index] * 4
        x_mm, y_mm, width_mm, height_mm = self._numbers[at : at + 4]
        return PlacedPlate(
            sign_id=self._sign_ids[index],
            like=self._likes[index],
            copy=self._copies[index],
            x_mm=x_mm,
            y_mm=y_mm,
            width_mm=width_mm,
            height_mm=height_mm,
            turned=bool(self._turned[index]),
        )

    def __len__(self) -> int:
        return len(self._sign_ids)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        return hash(tuple(self))

    def __repr__(self) -> str:
        return repr(tuple(self))


@dataclass(frozen=True, slots=True, kw_only=True)
class NestedSheet:
    """One stock sheet. `used_share` is plate area over the area inside the margins.

    `name` is safe as a file name. `plates` stand in the order they are worked on; `travel_mm` is the way from one
    plate's middle to the next, `travel_bound_mm` less than or equal to that of any order. `holes` is the number of braille
    holes of all its plates, `drill_mm` the drill's way through them and `drill_bound_mm` less than or equal to any.
    `width_mm` and `height_mm` of a plate are those on the sheet, after turning. A plate with no sign id is a spare blank.
    """

    number: int
    name: str
    stock: str
    width_mm: float
    height_mm: float
    plates: Sequence[PlacedPlate]
    used_share: float
    travel_mm: float = 0.0
    travel_bound_mm: float = 0.0
    holes: int = 0
    drill_mm: float = 0.0
    drill_bound_mm: float = 0.0

    def drill_holes(self, drilled: Callable[[str], DrillRows]) -> Iterator[Point]:
        """The braille holes of the whole sheet in drilling order, by what gives those of a sign."""
        for place in self.plates:
            if place.sign_id:
                yield from place.place_all(drilled(place.sign_id).points(turned=place.turned))


@dataclass(frozen=True, slots=True, kw_only=True)
class Nest:
    """Plates of one material; `bound` is the fewest sheets their area could ever fit on."""

    stock: str
    sheets: tuple[NestedSheet, ...]
    bound: int
