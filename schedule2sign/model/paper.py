"""Papers of the job as plain tables, and where each sign goes on the wall."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from operator import eq
from typing import Generic, TypeVar

Cell = TypeVar("Cell", covariant=True)


class Rows(Generic[Cell]):
    """Rows of a table made anew whenever they are read, so that a long table is never in memory.

    Args:
        count: of the rows.
        make: makes them, the same ones at every call.
    """

    __slots__ = ("_count", "_make")

    def __init__(self, count: int, make: Callable[[], Iterable[tuple[Cell, ...]]]) -> None:
        self._count, self._make = count, make

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[tuple[Cell, ...]]:
        return iter(self._make())

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Rows) and len(self) == len(other) and all(map(eq, self, other))

    def __hash__(self) -> int:
        return hash(self._count)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mounting:
    """Where one sign goes on the wall. Heights are above the finished floor.

    Attributes:
        sequence: place in walking order, from 1.
        top_mm: top edge of the plate.
        low_mm: lowest dot edge of the lowest braille line (baseline of the lowest raised line where there is none);
            None on a sign without raised text and braille.
        high_mm: baseline of the highest raised line.
        band_mm: lowest and highest legal top edge; low > high means that no height is right.
        frame_gap_mm: least distance from frame to plate for the clear floor, None where only the site can tell.
    """

    sequence: int
    floor: str
    sign_id: str
    door: str
    room: str
    text: str
    quantity: int
    side: str
    top_mm: float
    low_mm: float | None
    high_mm: float | None
    band_mm: tuple[float, float] | None
    fastening: str
    clear_floor: str
    frame_gap_mm: float | None
    remarks: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperTable:
    """A titled table of a bench paper; empty cells of `fill_in` columns are written on by hand."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...] | Rows[str]
    fill_in: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A bench paper: what it is for, cautions (printed large), then its tables. `name` is its file's."""

    name: str
    title: str
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
    tables: tuple[PaperTable, ...]
    landscape: bool = False
