"""What a tapered cutter leaves: groove width, offset, lean of the walls, and where it can go. Lengths in mm."""

import math
from enum import StrEnum

from schedule2sign.model.bench import CutWidth
from schedule2sign.model.process import LetterCut, LetterCutter, Material
from schedule2sign.production.limits import load_limits


class Waste(StrEnum):
    """What is left standing between two cuts."""

    CLEAN = "comes off in one piece"
    SLIVER = "a hair of plastic"
    CRUMBS = "cut away whole"
    BLOCKED = "the cutter cannot enter"


def groove_width_mm(cutter: LetterCutter, depth_mm: float) -> float:
    """Width at the face of a groove of this depth."""
    return cutter.tip_mm + 2 * depth_mm * math.tan(math.radians(cutter.included_angle_deg / 2))


def plan_cut(cutter: LetterCutter, cut: LetterCut) -> CutWidth:
    """Groove and offset at final depth; every pass keeps the same center line."""
    width = groove_width_mm(cutter, cut.depth_mm)
    return CutWidth(
        width_mm=width,
        offset_mm=width / 2,
        spread_mm=(width - cutter.tip_mm) / 2,
        pass_depths_mm=tuple(cut.depth_mm * number / cut.passes for number in range(1, cut.passes + 1)),
    )


def at_base(gap_mm: float, stroke_mm: float, cut: CutWidth) -> tuple[float, float]:
    """Gap and stroke at the foot of the walls; at the top both are as drawn."""
    return gap_mm - 2 * cut.spread_mm, stroke_mm + 2 * cut.spread_mm


def on_the_line(gap_mm: float, stroke_mm: float, cut: CutWidth) -> tuple[float, float]:
    """Gap and stroke at the top if the path were run on the outline itself: why the offset is not optional."""
    return gap_mm + cut.width_mm, stroke_mm - cut.width_mm


def judge_waste(gap_mm: float, cut: CutWidth, path_error_mm: float) -> Waste:
    """What happens to the material in a gap or counter of this width."""
    slug = gap_mm - 2 * cut.width_mm
    if gap_mm < cut.width_mm + 2 * path_error_mm:
        return Waste.BLOCKED
    if slug <= 0:
        return Waste.CRUMBS
    return Waste.SLIVER if slug < load_limits()["sliver"].high else Waste.CLEAN


def least_letter_depth_mm(material: Material) -> float:
    """Through sheet and film, and a bite into the base."""
    return material.sheet_mm + material.film_mm + material.bite_mm if material.sheet_mm else 0.0
