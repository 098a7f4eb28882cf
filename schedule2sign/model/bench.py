"""What the bench is told to do: cutter paths, holes, sheets, material, times and papers of the released signs."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol, TypeVar

from schedule2sign.model.flag import Flag
from schedule2sign.model.nest import Nest
from schedule2sign.model.paper import Mounting, Paper
from schedule2sign.model.plate import Cutting, DrillRows, Plate
from schedule2sign.model.process import Process
from schedule2sign.model.shape import PlacedGlyph, Point, Ring
from schedule2sign.model.sign import SignRequest

_Found = TypeVar("_Found")


@dataclass(frozen=True, slots=True, kw_only=True)
class CutWidth:
    """The groove at full depth: width at the face, the center line's offset from the letter, lean of each wall."""

    width_mm: float
    offset_mm: float
    spread_mm: float
    pass_depths_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DomePlan:
    """What the seated ball stands up to, and the depths that would be right (as set, to tip or shoulder).

    Attributes:
        legal_mm: shallowest and deepest depth inside the standard's window.
        guarded_mm: the same with the depth error kept off both ends; None where nothing is left.
        holding_mm: shallowest depth that keeps the ball's widest part below the face.
    """

    depth_mm: float
    dome_mm: float
    base_mm: float
    legal_mm: tuple[float, float]
    guarded_mm: tuple[float, float] | None
    holding_mm: float
    aim_depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DialPlan:
    """Clicks for both cutters; `serves_both` says whether the offset they are zeroed with is the one needed."""

    letter_clicks: int
    drill_clicks: int
    letter_turns: tuple[int, int]
    drill_turns: tuple[int, int]
    needed_offset: int
    set_offset: int

    @property
    def serves_both(self) -> bool:
        return self.needed_offset == self.set_offset


class PathKind(StrEnum):
    """What a cut frees, in the order things are cut."""

    COUNTER = "counter"
    OUTLINE = "outline"
    EDGE = "plate edge"


class StartOn(StrEnum):
    """Where a cut begins; on a curve the witness mark shows."""

    STRAIGHT = "straight"
    CURVE = "curve"


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPath:
    """A closed path of the cutter's center; it starts, and after a full round ends, at the first point.

    Attributes:
        part: the letter cut, "border", "plate", or the pictogram's name.
        local: the ring, shared by every place it is cut at; (x_mm, y_mm) moves it there.
    """

    kind: PathKind
    part: str
    local: Ring
    length_mm: float
    start_on: StartOn
    x_mm: float = 0.0
    y_mm: float = 0.0

    @property
    def ring(self) -> Ring:
        """The ring where it is cut."""
        return tuple((x + self.x_mm, y + self.y_mm) for x, y in self.local)

    @property
    def start(self) -> Point:
        """Where the cutter goes down."""
        return self.local[0][0] + self.x_mm, self.local[0][1] + self.y_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Points the drill goes through: every one of its `holes`, and the run-ins before holes that need one.

    `bound_mm` is less than or equal to any way of visiting the holes (their minimum spanning tree).
    """

    holes: int
    points: tuple[Point, ...]
    length_mm: float
    bound_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SignCut:
    """What is cut of one sign. Paths are cutter center lines, offset already: compensation stays off.

    Attributes:
        paths: raised parts in cutting order.
        edge: the plate's own edge for a straight cutter, cut after holes and letters.
        flat: letters that are printed, not cut.
    """

    sign_id: str
    paths: tuple[CutPath, ...]
    edge: CutPath
    flat: tuple[PlacedGlyph, ...]
    overcut_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What one floor (or the whole job, floor "") needs, before spares."""

    floor: str
    signs: int
    pieces: int
    dots: int
    plates: tuple[tuple[str, int], ...]
    plate_mm2: float
    patch_mm2: float
    tape_mm: float
    inserts: int
    fixing_holes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What to buy for the whole job: need, spare, total. `unit` is "pcs", "sheets", "ft" or "m"."""

    item: str
    need: float
    spare: float
    total: float
    unit: str
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CouponCell:
    """A full braille cell of the test piece and the depth it is drilled to."""

    depth_mm: float
    holes: tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupon:
    """A test piece of the job's own lot: cells at three depths, and the letters that are hardest to cut.

    `letters` says which letters and why, for the person who looks at them.
    """

    width_mm: float
    height_mm: float
    cells: tuple[CouponCell, ...]
    paths: tuple[CutPath, ...]
    letters: str


class Cuttable(Protocol):
    """What was planned of a sign alone; the record of a sign has it."""

    @property
    def cutting(self) -> Cutting | None: ...

    @property
    def drilled(self) -> DrillRows | None: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedSign:
    """A released sign on the bench; the request has as many pieces as are to make.

    Cutting and holes are fetched when they are asked for: ask once.
    """

    request: SignRequest
    plate: Plate
    made: Cuttable

    @property
    def sign_id(self) -> str:
        return self.request.sign_id

    @property
    def cutting(self) -> Cutting:
        """What is told and counted of its cutting.

        Raises:
            ValueError: nothing was planned (our bug).
        """
        return self._known(self.made.cutting)

    @property
    def drilled(self) -> DrillRows:
        """Its braille holes; raises as `cutting`."""
        return self._known(self.made.drilled)

    def _known(self, found: _Found | None) -> _Found:
        if found is None:
            raise ValueError(f"sign {self.sign_id!r} was not planned for the bench")
        return found


class CutSetup(Protocol):
    """What every drawing says of the cutter; a plan of the bench has it."""

    @property
    def process(self) -> Process: ...

    @property
    def cut(self) -> CutWidth: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchSetup:
    """The process and the groove it cuts, before anything is planned."""

    process: Process
    cut: CutWidth


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchPlan:
    """All the bench needs for the released signs of a job.

    Attributes:
        signs: the signs to make, in working order.
        kept: released signs that were made from an earlier issue and are as they were.
        patch_nests: the patches of raised sheet, apart.
        mountings: every released sign, kept ones too.
        packed: the signs to make, with as many pieces as are to make.
    """

    process: Process
    cut: CutWidth
    dome: DomePlan | None
    dial: DialPlan | None
    signs: tuple[PlannedSign, ...]
    nests: tuple[Nest, ...]
    patch_nests: tuple[Nest, ...]
    needs: tuple[Need, ...]
    orders: tuple[Order, ...]
    mountings: Sequence[Mounting]
    coupon: Coupon | None
    job_seconds: float
    papers: tuple[Paper, ...]
    flags: tuple[Flag, ...]
    kept: tuple[PlannedSign, ...] = ()
    packed: Sequence[Mounting] = ()
