"""The remedies of a template as a sequence of ever freer tries, and what each used remedy is called."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from schedule2sign.layout.fields import Remedy, Template
from schedule2sign.model.drawing import DrawingRules

TIGHTEN_STEPS = 3  # letter gaps, then line pitch, then margins
_HOLE_CLEAR_MM = 6.35  # 1/4 in from text and braille to a fixing hole: common practice, no source
_ABOVE_LIMIT_MM = 0.003  # kept above a legal minimum, so that rounding a file's coordinates cannot cross it


@dataclass(frozen=True, slots=True, kw_only=True)
class Freedom:
    """What one try may do. `tight` counts steps of tightening, `smaller` steps down in character height."""

    break_lines: bool = False
    break_braille: bool = False
    grow_plate: bool = False
    tight: int = 0
    smaller: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacing:
    """The distances one try uses. `by_eye`: letter gaps even to the eye, or all at `gap_mm`."""

    gap_mm: float
    by_eye: bool
    pitch_ratio: float
    margin_side_mm: float
    margin_top_mm: float
    margin_bottom_mm: float


def tries(template: Template) -> Iterator[Freedom]:
    """From no remedy at all to every remedy, in the template's order.

    Breaking and growing only add choices, so they stay on once reached; of tightening and smaller text as little
    as possible is used, the later listed one first tried without the earlier.
    """
    free = Freedom()
    yield free
    tight_steps = smaller_steps = 0
    for remedy in template.remedies:
        match remedy:
            case Remedy.BREAK_LINES:
                free = replace(free, break_lines=True)
                yield replace(free, tight=tight_steps, smaller=smaller_steps)
            case Remedy.BREAK_BRAILLE:
                free = replace(free, break_braille=True)
                yield replace(free, tight=tight_steps, smaller=smaller_steps)
            case Remedy.GROW_PLATE:
                free = replace(free, grow_plate=True)
                yield replace(free, tight=tight_steps, smaller=smaller_steps)
            case Remedy.TIGHTEN:
                tight_steps = TIGHTEN_STEPS
                for tight in range(1, tight_steps + 1):
                    for smaller in range(smaller_steps + 1):
                        yield replace(free, tight=tight, smaller=smaller)
            case Remedy.SMALLER_TEXT:
                smaller_steps = max((len(field.heights_mm) for field in template.texts), default=1) - 1
                for smaller in range(1, smaller_steps + 1):
                    for tight in range(tight_steps + 1):
                        yield replace(free, tight=tight, smaller=smaller)


def spacing_of(free: Freedom, template: Template, drawing: DrawingRules) -> Spacing:
    """The distances of a try; margins never reach into the clearance of a raised border."""
    border_mm = holes_mm = 0.0
    if template.border:
        border_mm = template.border.inset_mm + template.border.line_mm + drawing.border_clear_mm
    if template.fixing.diameter_mm:
        covered_mm = max(template.fixing.diameter_mm, template.fixing.cap_mm)
        holes_mm = template.fixing.inset_mm + covered_mm / 2 + _HOLE_CLEAR_MM

    def margin(value_mm: float) -> float:
        wanted = min(value_mm, template.least_margin_mm) if free.tight >= 3 else value_mm
        return max(wanted, border_mm)

    return Spacing(
        gap_mm=drawing.least_gap_mm + _ABOVE_LIMIT_MM if free.tight >= 1 else drawing.aim_gap_mm,
        by_eye=free.tight < 1,
        pitch_ratio=drawing.least_pitch_ratio + 0.001 if free.tight >= 2 else drawing.aim_pitch_ratio,
        margin_side_mm=max(margin(template.margin_side_mm), holes_mm),
        margin_top_mm=margin(template.margin_top_mm),
        margin_bottom_mm=margin(template.margin_bottom_mm),
    )
