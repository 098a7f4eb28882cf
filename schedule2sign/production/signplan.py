"""One sign on the bench: what speaks against cutting it, and what is cut."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from schedule2sign.model.bench import CutWidth, DialPlan, DomePlan, PathKind, SignCut
from schedule2sign.model.flag import Flag, holds
from schedule2sign.model.plate import Cutting, Times
from schedule2sign.model.process import Drilling, Process
from schedule2sign.model.shape import Point, SignLayout
from schedule2sign.once import once
from schedule2sign.production.coupon import closest_gap
from schedule2sign.production.cutpath import length_of, plan_edge, plan_paths
from schedule2sign.production.cutwidth import plan_cut
from schedule2sign.production.dial import plan_dial
from schedule2sign.production.dome import plan_dome
from schedule2sign.production.drilling import check_holes, drill_way, order_dots, spanning_length
from schedule2sign.production.machining import check_build, check_door_symbol, check_setup
from schedule2sign.production.mounting import check_band
from schedule2sign.production.nesting import check_stock, stock_of
from schedule2sign.production.plate import lay_patches
from schedule2sign.production.raised import Part, area_mm2, raised_parts
from schedule2sign.production.reach import SignReach, check_reach
from schedule2sign.production.timing import (
    clearing_seconds,
    hand_seconds,
    holes_seconds,
    letters_seconds,
    plate_seconds,
)


def check_process(process: Process) -> tuple[Flag, ...]:
    """What a person must know about the setup; a HOLD among these holds every sign."""
    dome, dial = dome_of(process), dial_of(process)
    return check_setup(process, dome, dial)


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """What the check of a sign and its plan both need, and is dear to find: its raised parts, and where no cutter goes."""

    parts: tuple[Part, ...]
    reach: SignReach


def study_sign(layout: SignLayout, process: Process) -> Study:
    """Look at one sign as the cutter will."""
    parts = raised_parts(layout)
    return Study(parts=parts, reach=check_reach(layout, process, cut_of(process), parts))


@once
def _held_setup(process: Process) -> tuple[Flag, ...]:
    return tuple(flag for flag in check_process(process) if holds((flag,)))


def check_for_bench(layout: SignLayout, process: Process, study: Study | None = None) -> tuple[Flag, ...]:
    """Everything that speaks against cutting one sign with this process; to be asked before a sign is released."""
    study = study or study_sign(layout, process)
    found = (
        *_held_setup(process),
        *check_build(process, layout.build),
        *check_door_symbol(process, layout),
        *study.reach.flags,
        *check_holes(layout, process, study.parts),
        *_check_stocks(layout, process),
        *check_band(layout),
    )
    sign_id, source = layout.request.sign_id, layout.request.source
    return tuple(replace(flag, sign_id=sign_id, source=flag.source or source) for flag in found)


def plan_sign(layout: SignLayout, process: Process, study: Study | None = None) -> tuple[SignCut, Cutting]:
    """Paths of one sign, and what is told and counted of them."""
    cut, study = cut_of(process), study or study_sign(layout, process)
    paths = plan_paths(layout, cut, process.letter_cut.direction)
    edge = plan_edge(layout, process.stock.plate_cutter_mm, process.letter_cut.direction)
    reach = study.reach
    holes = [(dot.x_mm, dot.y_mm) for dot in order_dots(layout.dots)]
    starts = [path.start for path in paths]
    hop = length_of(starts)
    closest = closest_gap(layout)
    counters = sum(path.kind is PathKind.COUNTER for path in paths)
    lengths = [path.length_mm + process.letter_cut.overcut_mm for path in paths]
    background = layout.width_mm * layout.height_mm - sum(map(area_mm2, study.parts))
    cutting = Cutting(
        hop_mm=hop,
        hop_bound_mm=spanning_length(starts),
        counters=counters,
        corner_share=reach.corner_share,
        worst_part=reach.worst_part,
        corners=reach.corners,
        least_gap_mm=reach.least_gap_mm,
        least_stroke_mm=min((line.height_mm for line in layout.lines), default=0.0) * layout.font.stroke_ratio or None,
        closest_mm=closest[0] if closest else None,
        times=Times(
            letters_s=letters_seconds(lengths, process.letter_cut, cut.pass_depths_mm, hop),
            holes_s=_drilling_seconds(holes, process.drilling) if process.drilling else 0.0,
            clearing_s=clearing_seconds(process, background),
            plate_s=plate_seconds(process, edge.length_mm),
            hand_s=hand_seconds(process.hand_work, counters, len(holes) if process.sphere else 0),
        ),
    )
    overcut_mm = process.letter_cut.overcut_mm
    flat = tuple(glyph for line in layout.visual for glyph in line.glyphs)
    sign_id = layout.request.sign_id
    return SignCut(sign_id=sign_id, paths=paths, edge=edge, flat=flat, overcut_mm=overcut_mm), cutting


def _drilling_seconds(holes: Sequence[Point], drilling: Drilling) -> float:
    return holes_seconds(len(holes), drilling, length_of(drill_way(holes, drilling.run_in_mm)))


def _check_stocks(layout: SignLayout, process: Process) -> tuple[Flag, ...]:
    flags = check_stock("plate", layout.width_mm, layout.height_mm, process.stock)
    if process.patch_stock is None:
        return flags
    stock = stock_of(process.patch_stock, grain=process.stock.grain)
    return (
        *flags,
        *(
            flag
            for box in lay_patches(layout, process)
            for flag in check_stock("patch of raised sheet", box.width_mm, box.height_mm, stock)
        ),
    )


def cut_of(process: Process) -> CutWidth:
    """The groove the letter cutter leaves."""
    return plan_cut(process.letter_cutter, process.letter_cut)


def dome_of(process: Process) -> DomePlan | None:
    """The domes of the braille; None where nothing is drilled for balls."""
    if process.sphere is None or process.drill is None or process.drilling is None:
        return None
    return plan_dome(process.sphere, process.drill, process.drilling)


def dial_of(process: Process) -> DialPlan | None:
    """What the dial is set to; None for a machine without one."""
    if process.dial is None or process.drilling is None:
        return None
    return plan_dial(process.letter_cut.depth_mm, process.drilling.depth_mm, process.dial)
