"""How the shop makes the job: process, cutters and settings, and what the bench is then told to do."""

from dataclasses import dataclass
from enum import StrEnum

from schedule2sign.model.flag import Flag
from schedule2sign.model.shape import Point, Ring


class Method(StrEnum):
    """How the raised parts and the dots come about."""

    APPLIQUE = "raised sheet, inserted spheres"
    SOLID = "one piece, cut from solid"


class DepthTo(StrEnum):
    """What the depth of a drilled hole is measured to."""

    TIP = "tip"
    SHOULDER = "shoulder"


class Direction(StrEnum):
    """How the cutter goes round a letter, spindle turning clockwise seen from above."""

    CLIMB = "climb"
    CONVENTIONAL = "conventional"


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterCutter:
    """A tapered cutter: tip width, included angle (0 is a straight cutter), depth its edge is good for."""

    tip_mm: float
    included_angle_deg: float
    usable_depth_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LetterCut:
    """How letters are profile-cut.

    Attributes:
        depth_mm: final depth, from the face of the raised sheet (of the blank when cut from solid).
        stay_down: the next pass starts where the last one ended, without a lift.
        overcut_mm: how far a pass runs on past its start.
        path_error_mm: how far off its path the cutter may run, each side.
    """

    depth_mm: float
    passes: int
    feed_mm_s: float
    plunge_mm_s: float
    lift_mm: float
    stay_down: bool
    overcut_mm: float
    path_error_mm: float
    direction: Direction


@dataclass(frozen=True, slots=True, kw_only=True)
class Drill:
    """The braille drill. A flat bottom is a point angle of 180."""

    diameter_mm: float
    point_angle_deg: float
    depth_to: DepthTo


@dataclass(frozen=True, slots=True, kw_only=True)
class Sphere:
    """The ball that makes a dot."""

    diameter_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Drilling:
    """How braille holes are drilled.

    Attributes:
        depth_mm: from the bare base face, to the drill's tip or shoulder as `Drill.depth_to` says.
        depth_solved: the depth was computed for `aim_dome_mm`, not given.
        depth_error_mm: how far off the real depth may be, each way.
        run_in_mm: how far short a hole is approached from, so that lost motion always has the same sign.
        dwell_in_ms: the machine's dwell word is read as milliseconds, not seconds.
    """

    depth_mm: float
    depth_solved: bool
    aim_dome_mm: float
    depth_error_mm: float
    travel_mm_s: float
    plunge_mm_s: float
    lift_mm: float
    dwell_s: float
    dwell_in_ms: bool
    run_in_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Accuracy:
    """How far one dot may be off its place: the machine, spindle runout, wander of the drill, ball in its hole."""

    position_mm: float
    runout_mm: float
    wander_mm: float
    seat_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """A depth dial, and the clicks the drill is zeroed away from the letter cutter."""

    click_mm: float
    clicks_per_turn: int
    offset_clicks: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DotForm:
    """A cutter that forms the dots out of the solid: the dome it leaves."""

    dome_mm: float
    base_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearing:
    """The end mill that takes the background away around letters cut from solid."""

    diameter_mm: float
    stepover_share: float
    feed_mm_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """What is cut. `bite_mm` is how far a letter cut goes into the base; sheet and film are 0 when cut from solid."""

    sheet_mm: float
    film_mm: float
    base_mm: float
    bite_mm: float
    least_floor_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """Sheets as bought, and how they are cut up. With `grain` no plate is turned on its sheet."""

    width_mm: float
    height_mm: float
    margin_mm: float
    gap_mm: float
    plate_cutter_mm: float
    grain: bool
    plate_feed_mm_s: float
    plate_passes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HandWork:
    """Seconds of hand work: a batch set up, a sign peeled, a counter picked out, a ball pressed in, a sign checked."""

    batch_s: float
    peel_s: float
    counter_s: float
    sphere_s: float
    check_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spares:
    """What is ordered beyond what the signs need."""

    sphere_share: float
    sphere_least: int
    sphere_scrap: int
    sphere_pack: int
    plate_share: float
    plate_least: int
    patch_margin_mm: float
    tape_strips: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Process:
    """Everything the bench is set to.

    Attributes:
        unit: "in" or "mm", for papers; values here are mm and seconds.
        assumed: keys whose value nobody at the shop has confirmed yet; they are printed on the setup sheet.
        stated: keys the job file set.
    """

    id: str
    title: str
    method: Method
    unit: str
    letter_cutter: LetterCutter
    letter_cut: LetterCut
    material: Material
    stock: Stock
    hand_work: HandWork
    spares: Spares
    drill: Drill | None = None
    sphere: Sphere | None = None
    drilling: Drilling | None = None
    accuracy: Accuracy | None = None
    dial: Dial | None = None
    dot_form: DotForm | None = None
    clearing: Clearing | None = None
    assumed: tuple[str, ...] = ()
    stated: tuple[str, ...] = ()


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
    """Points the drill goes through: every hole, and the run-ins before holes that need one.

    `bound_mm` is less than or equal to any way of visiting the holes (their minimum spanning tree).
    """

    points: tuple[Point, ...]
    length_mm: float
    bound_mm: float


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
class SignCut:
    """One sign on the bench. Paths are cutter center lines, offset already: compensation stays off.

    Attributes:
        paths: raised parts in cutting order.
        edge: the plate's own edge for a straight cutter, cut after holes and letters.
        holes: braille holes in drilling order.
        hop_mm: travel between letter paths, start to start, cutter up.
        hop_bound_mm: less than or equal to the travel of any order of these paths.
        corner_share: plastic the cutter cannot reach, as a share of the area of the worst letter (`worst_part`).
        least_gap_mm: narrowest place the cutter passes between raised parts, None with fewer than two parts.
    """

    sign_id: str
    paths: tuple[CutPath, ...]
    edge: CutPath
    overcut_mm: float
    holes: tuple[Point, ...]
    run: Run
    hop_mm: float
    hop_bound_mm: float
    counters: int
    corner_share: float
    worst_part: str
    least_gap_mm: float | None
    times: Times
    flags: tuple[Flag, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPlate:
    """A plate on a sheet, by its bottom left corner; `turned` is a quarter turn counter-clockwise."""

    sign_id: str
    copy: int
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    turned: bool

    def place(self, point: Point) -> Point:
        """A point of the plate, where it lies on the sheet."""
        if self.turned:
            return self.x_mm + self.width_mm - point[1], self.y_mm + point[0]
        return self.x_mm + point[0], self.y_mm + point[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class NestedSheet:
    """One stock sheet. `used_share` is plate area over the area inside the margins; `run` drills all its plates.

    `width_mm` and `height_mm` of a plate are those on the sheet, after turning. A plate with no sign id is a spare blank.
    """

    number: int
    stock: str
    width_mm: float
    height_mm: float
    plates: tuple[PlacedPlate, ...]
    used_share: float
    run: Run | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Nest:
    """Plates of one material; `bound` is the fewest sheets their area could ever fit on."""

    stock: str
    sheets: tuple[NestedSheet, ...]
    bound: int


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
    """What to buy for the whole job: need, spare, total. `unit` is "pcs", "sheets", "m2" or "m"."""

    item: str
    need: float
    spare: float
    total: float
    unit: str
    how: str


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
    baselines_mm: tuple[float, ...]
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
    rows: tuple[tuple[str, ...], ...]
    fill_in: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A bench paper: paragraphs first (cautions are printed large), then its tables."""

    name: str
    title: str
    cautions: tuple[str, ...]
    tables: tuple[PaperTable, ...]


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


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchPlan:
    """All the bench needs for the released signs of a job."""

    process: Process
    cut: CutWidth
    dome: DomePlan | None
    dial: DialPlan | None
    signs: tuple[SignCut, ...]
    nests: tuple[Nest, ...]
    needs: tuple[Need, ...]
    orders: tuple[Order, ...]
    mountings: tuple[Mounting, ...]
    coupon: Coupon | None
    job_seconds: float
    papers: tuple[Paper, ...]
    flags: tuple[Flag, ...]
