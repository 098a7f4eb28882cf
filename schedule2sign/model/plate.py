"""What lists, papers and the plan of the bench need to know of a sign, so that its drawing is fetched only to be drawn."""

from array import array
from collections.abc import Iterator
from dataclasses import dataclass

from schedule2sign.model.braille import CellSize
from schedule2sign.model.rule import Measurement
from schedule2sign.model.shape import Box, Build, Hole, Point, Ring


@dataclass(frozen=True, slots=True, kw_only=True)
class DrillRows:
    """Braille holes in drilling order: line by line, in a line row by row from the top, in a row left to right.

    Attributes:
        packed: x and y of every hole in turn, in mm, as packed floats.
        rows: how many holes each row of dots has.
    """

    packed: bytes
    rows: tuple[int, ...]

    def __len__(self) -> int:
        return sum(self.rows)

    def points(self, *, turned: bool = False) -> Iterator[Point]:
        """The holes, in mm from the plate's lower left corner.

        On a plate `turned` a quarter turn counter-clockwise the rows run up; they are drilled from their far end,
        downward, to save run-ins.
        """
        numbers = unpack_numbers(self.packed)
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        first = 0
        for count in self.rows:
            row = points[first : first + count]
            yield from reversed(row) if turned else row
            first += count


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A plate in the hand: size, build, and where raised text, braille and openings are on it.

    Attributes:
        texts: raised lines, top to bottom.
        tactile_mm: lowest and highest tactile line, from the plate's lower edge; None where nothing is tactile text.
        span_mm: left and right end of what is read by touch.
        braille_dots, braille_lines: how many there are.
        patches: raised sheet laid on it.
        outline: edge of a plate that is no rectangle; () is a rectangle with its corner radius.
    """

    width_mm: float
    height_mm: float
    corner_radius_mm: float
    outline: Ring
    build: Build
    cell_size: CellSize
    fixing: str
    texts: tuple[str, ...]
    tactile_mm: tuple[float, float] | None
    span_mm: tuple[float, float]
    braille_dots: int
    braille_lines: int
    patches: tuple[Box, ...]
    holes: tuple[Hole, ...]
    window: Box | None
    remedies: tuple[str, ...]


def pack_numbers(numbers: Iterator[float]) -> bytes:
    """Numbers in little memory: eight bytes each, exact to the last bit."""
    return array("d", numbers).tobytes()


def unpack_numbers(packed: bytes) -> "array[float]":
    """What `pack_numbers` packed."""
    numbers = array("d")
    numbers.frombytes(packed)
    return numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """Seconds of one piece: letters, holes, background clearing, plate edge, and hand work."""

    letters_s: float
    holes_s: float
    clearing_s: float
    plate_s: float
    hand_s: float

    @property
    def machine_s(self) -> float:
        return self.letters_s + self.holes_s + self.clearing_s + self.plate_s

    @property
    def total_s(self) -> float:
        return self.machine_s + self.hand_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """What is told and counted of a sign on the bench; its paths are with the drawing.

    Attributes:
        hop_mm: travel between letter paths, start to start, cutter up.
        hop_bound_mm: less than or equal to the travel of any order of these paths.
        corner_share: plastic the cutter cannot reach, as a share of the area of the worst letter (`worst_part`).
        corners: every part with inner corners that stay round, and that share of it.
        least_gap_mm: narrowest place the cutter passes between raised parts, None with fewer than two parts.
        least_stroke_mm: stroke of capital I at the smallest height on the sign, None without letters.
        closest_mm: narrowest gap between two neighbors of a word, None without such.
    """

    hop_mm: float
    hop_bound_mm: float
    counters: int
    corner_share: float
    worst_part: str
    corners: tuple[tuple[str, float], ...]
    least_gap_mm: float | None
    least_stroke_mm: float | None
    closest_mm: float | None
    times: Times


@dataclass(frozen=True, slots=True, kw_only=True)
class Close:
    """A rule's value that the bench's own error could carry out of its range."""

    rule: str
    measurement: Measurement
