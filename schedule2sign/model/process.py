"""How the shop makes the job: process, cutters, materials and settings."""

from dataclasses import dataclass
from enum import StrEnum


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
class PatchStock:
    """Sheets of the raised material as bought; patches are cut out of them with a knife."""

    width_mm: float
    height_mm: float
    margin_mm: float
    gap_mm: float


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
    patch_stock: PatchStock | None = None
    drill: Drill | None = None
    sphere: Sphere | None = None
    drilling: Drilling | None = None
    accuracy: Accuracy | None = None
    dial: Dial | None = None
    dot_form: DotForm | None = None
    clearing: Clearing | None = None
    assumed: tuple[str, ...] = ()
    stated: tuple[str, ...] = ()
