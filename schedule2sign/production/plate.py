"""A finished layout as the few facts that planning, papers and lists need of it."""

from schedule2sign.model.plate import Plate
from schedule2sign.model.process import Method, Process
from schedule2sign.model.shape import Box, SignLayout
from schedule2sign.production.mounting import tactile_baselines, tactile_span
from schedule2sign.production.takeoff import patches


def describe_plate(layout: SignLayout, process: Process) -> Plate:
    """What stands on the plate, and what is laid on it."""
    return Plate(
        width_mm=layout.width_mm,
        height_mm=layout.height_mm,
        corner_radius_mm=layout.corner_radius_mm,
        outline=layout.outline,
        build=layout.build,
        cell_size=layout.cell_size,
        fixing=layout.fixing,
        texts=tuple(line.text for line in sorted(layout.lines, key=lambda line: -line.baseline_mm)),
        tactile_mm=tactile_baselines(layout),
        span_mm=tactile_span(layout),
        braille_dots=len(layout.dots),
        braille_lines=len(layout.braille),
        patches=lay_patches(layout, process),
        holes=layout.holes,
        window=layout.window,
        remedies=layout.remedies,
    )


def lay_patches(layout: SignLayout, process: Process) -> tuple[Box, ...]:
    """Raised sheet laid on the plate; none where letters are cut from solid."""
    return patches(layout, process.spares.patch_margin_mm) if process.method is Method.APPLIQUE else ()
