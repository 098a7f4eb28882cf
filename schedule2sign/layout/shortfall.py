"""Why nothing fits: what the sign needs with every remedy used, against the largest stock plate."""

from dataclasses import dataclass

from schedule2sign.geometry.dotgrid import BLANK
from schedule2sign.layout.brailleblock import break_braille, narrowest_braille
from schedule2sign.layout.fitting import SLACK_MM, Fitter
from schedule2sign.layout.freedom import Freedom, Spacing, spacing_of, tries
from schedule2sign.layout.linebreak import narrowest
from schedule2sign.layout.stacking import TextBlock, stack_fields
from schedule2sign.model.braille import BrailleLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortfall:
    """The numbers of a sign that fits no plate.

    Attributes:
        part: the text that needs the most width and can be broken no further.
        width_mm, live_mm: what it needs, and what the largest plate leaves between its margins.
        height_mm: plate height the sign needs at that width, 0 where the width already fails.
        braille_lines: lines of braille it would take there.
        visual_lines: lines of flat text it would take there.
        plate_width_mm, plate_height_mm: the largest stock plate.
        characters: about how many characters fit on a line.
    """

    part: str
    width_mm: float
    live_mm: float
    height_mm: float
    braille_lines: int
    plate_width_mm: float
    plate_height_mm: float
    characters: int
    visual_lines: int = 0


def measure_shortfall(fitter: Fitter) -> Shortfall:
    """Measure the freest try."""
    *_, free = tries(fitter.template)
    spacing = spacing_of(free, fitter.template, fitter.drawing)
    plate_width_mm = max(fitter.template.widths_mm) if free.grow_plate else fitter.template.widths_mm[0]
    plate_height_mm = max(fitter.template.heights_mm) if free.grow_plate else fitter.template.heights_mm[0]
    live_mm = fitter.live_mm(plate_width_mm, free, spacing)
    width_mm, part, characters = max(_widths(fitter, free, spacing, live_mm), default=(0.0, "", 0))
    height_mm, braille_lines, visual_lines = 0.0, 0, 0
    if width_mm <= live_mm + SLACK_MM:
        height_mm, braille_lines = _height(fitter, free, spacing, live_mm)
        visual_lines = len(fitter.visual(free, live_mm) or ())
    return Shortfall(
        part=part,
        width_mm=width_mm,
        live_mm=live_mm,
        height_mm=height_mm,
        braille_lines=braille_lines,
        plate_width_mm=plate_width_mm,
        plate_height_mm=plate_height_mm,
        characters=characters,
        visual_lines=visual_lines,
    )


def _widths(fitter: Fitter, free: Freedom, spacing: Spacing, live_mm: float) -> list[tuple[float, str, int]]:
    """Needed width, its text, and the characters that would fit, for every message and its braille."""
    found: list[tuple[float, str, int]] = []
    size = fitter.drawing.cell_size
    for index, (message, line) in enumerate(zip(fitter.messages, fitter.braille, strict=True)):
        words = message.text.split()
        measure = fitter.measure(index, free, spacing)
        width_mm, first, end = narrowest(words, measure, fitter.most_lines(message.role, free))
        text = " ".join(words[first:end])
        found.append((width_mm, repr(text), int(live_mm / width_mm * len(text))))
        most = fitter.template.braille_lines if free.break_braille else 1
        cells_mm, part = narrowest_braille(line, size, most)
        found.append((cells_mm, f"the braille of {part!r}", int(live_mm / size.cell_pitch_mm)))
    found += fitter.visual_widths(free, live_mm)
    if fitter.template.window:
        found.append((fitter.template.window.width_mm, "the window", 0))
    return found


def _height(fitter: Fitter, free: Freedom, spacing: Spacing, live_mm: float) -> tuple[float, int]:
    """Plate height and braille lines at the largest width, with as many braille lines as it takes."""
    blocks: list[TextBlock] = []
    braille: list[BrailleLine] = []
    for index, line in enumerate(fitter.braille):
        block = fitter.block(index, free, spacing, live_mm)
        if block is not None:
            blocks.append(block)
        most = line.cells.count(BLANK) + 1
        parts = break_braille(line, fitter.drawing.cell_size, live_mm, most, fitter.align, frozenset())
        braille += parts or (line,)
    visual = fitter.visual(free, live_mm) or ()
    stacked = stack_fields(blocks, braille, fitter.template, fitter.drawing, visual, fitter.ruled_block())
    return spacing.margin_top_mm + stacked.height_mm + spacing.margin_bottom_mm, len(braille)
