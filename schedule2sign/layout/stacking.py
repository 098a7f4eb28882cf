"""One try at a sign: its fields stacked from the top, every clearance measured on ink and dot edges."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from schedule2sign.geometry.dotgrid import block_height_mm, cell_dots, line_span_mm
from schedule2sign.layout.fields import Place, Template
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.drawing import DrawingRules
from schedule2sign.model.shape import SetLine

WINDOW_CLEAR_MM = 6.35  # 1/4 in from braille to a window, hole or edge: common practice, no source
MESSAGE_CLEAR_MM = 8.89  # .35 in of clear plate between two messages: common practice, no source
_INK_SHARE = 0.8  # of the clear height asked for must stay clear of ink that rises or hangs
_ACCENT_IN_MARGIN_MM = 3.175  # 1/8 in of an accent may stand in the top margin
_PITCH_ROOM = 0.001  # kept from the maximum ratio
_RULE_ROOM_MM = 0.5  # over the clearance of raised decoration
VISUAL_PITCH_RATIO = 1.5  # baseline to baseline of flat text, inside the 135 to 170 % of ADA 703.5.9
_BRAILLE_ROOM_MM = 0.254  # .01 in above the legal minimum where a tail uses up the aim


@dataclass(frozen=True, slots=True, kw_only=True)
class TextBlock:
    """The lines of one message, top to bottom.

    `starts` are the word indexes where a line begins but the first; `pitch_mm` is baseline to baseline.
    """

    message: int
    lines: tuple[SetLine, ...]
    starts: frozenset[int]
    pitch_mm: float
    clear_above_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stacked:
    """Heights measured down from the top of the stack, all positive.

    Attributes:
        baselines_mm: one for every line of raised text, in order.
        braille_top_mm: dot edge of the first braille cell's top row; None where there is no braille.
        visual_mm: baselines of the flat text.
        rule_mm: middle of the rule line, None where none is drawn.
    """

    height_mm: float
    field_top_mm: float | None
    window_top_mm: float | None
    baselines_mm: tuple[float, ...]
    braille_top_mm: float | None
    visual_mm: tuple[float, ...] = ()
    rule_mm: float | None = None


def line_rise_mm(line: SetLine) -> float:
    """Highest ink over the baseline."""
    return max([glyph.outline.box.top_mm for glyph in line.glyphs])


def line_hang_mm(line: SetLine) -> float:
    """Lowest ink under the baseline, as a positive number (a round letter, a tail, a comma)."""
    return max(0.0, -lowest_mm(line))


def lowest_mm(line: SetLine) -> float:
    """Lowest ink from the baseline, negative under it."""
    return min([glyph.outline.box.bottom_mm for glyph in line.glyphs])


def pitch_for(lines: Sequence[SetLine], ratio: float, drawing: DrawingRules) -> float:
    """Line pitch of one message, opened up to the maximum where an accent would come near a tail above."""
    height_mm = lines[0].height_mm
    least_mm = max(
        (line_hang_mm(a) + line_rise_mm(b) + drawing.least_gap_mm for a, b in pairwise(lines)),
        default=0.0,
    )
    return min(max(ratio * height_mm, least_mm), (drawing.most_pitch_ratio - _PITCH_ROOM) * height_mm)


def stack_fields(
    blocks: Sequence[TextBlock],
    braille: Sequence[BrailleLine],
    template: Template,
    drawing: DrawingRules,
    visual: Sequence[SetLine] = (),
    ruled: int | None = None,
) -> Stacked:
    """Stack spacer, flat text, window, pictogram field, raised text and braille; `ruled` is the block under a rule."""
    down = template.spacer_mm(Place.ABOVE)
    window_top = field_top = braille_top = rule_mm = None
    flat: list[float] = []
    if visual and template.visual and template.visual.place is Place.ABOVE:
        flat, down = _flat_baselines(visual, down)
    if template.window and template.window.place is Place.ABOVE:
        window_top = down
        down += template.window.height_mm
    if template.pictogram:
        field_top = down
        down += template.pictogram.height_mm

    baselines: list[float] = []
    lowest, ink = down, 0.0
    for turn, block in enumerate(blocks):
        for index, line in enumerate(block.lines):
            if index:
                baseline = baselines[-1] + block.pitch_mm
            elif turn == ruled and template.rule_line:
                clear = drawing.border_clear_mm + _RULE_ROOM_MM
                top = max(lowest + 2 * clear + template.rule_line.line_mm, baselines[-1] + block.clear_above_mm)
                baseline = max(top + line.height_mm, top + line_rise_mm(line))
                rule_mm = (lowest + baseline - line_rise_mm(line)) / 2
            elif down == 0.0 and not baselines:
                baseline = max(line.height_mm, line_rise_mm(line) - _ACCENT_IN_MARGIN_MM)
            else:
                # Capitals stand on one rhythm; only ink that rises or hangs far moves a line.
                above = baselines[-1] if baselines else down
                baseline = max(
                    above + block.clear_above_mm + line.height_mm,
                    lowest + min(_INK_SHARE * block.clear_above_mm, MESSAGE_CLEAR_MM) + line_rise_mm(line),
                )
            baselines.append(baseline)
            lowest = max(lowest, baseline + line_hang_mm(line))
            ink = max(ink, baseline - lowest_mm(line))
    if baselines:
        down = baselines[-1]

    if braille:
        braille_top = _braille_top(down, ink if baselines else down, braille, drawing)
        down = braille_top + block_height_mm(len(braille), drawing.cell_size)
    else:
        down = lowest
    if visual and template.visual and template.visual.place is Place.BELOW:
        flat, down = _flat_baselines(visual, down + (template.visual.clear_mm if down else 0.0))
    if template.window and template.window.place is Place.BELOW:
        window_top = down + template.window.clear_mm
        down = window_top + template.window.height_mm
    down += template.spacer_mm(Place.BELOW)
    return Stacked(
        height_mm=down,
        field_top_mm=field_top,
        window_top_mm=window_top,
        baselines_mm=tuple(baselines),
        braille_top_mm=braille_top,
        visual_mm=tuple(flat),
        rule_mm=rule_mm,
    )


def _flat_baselines(lines: Sequence[SetLine], top: float) -> tuple[list[float], float]:
    """Baselines of flat text and its lowest ink."""
    baselines = [top + lines[0].height_mm]
    for line in lines[1:]:
        baselines.append(baselines[-1] + VISUAL_PITCH_RATIO * line.height_mm)
    return baselines, baselines[-1] + line_hang_mm(lines[-1])


def _braille_top(baseline: float, ink: float, braille: Sequence[BrailleLine], drawing: DrawingRules) -> float:
    """Top dot edge of the first full cell, from the top of the stack.

    The aim is kept from the baseline, so braille stands alike on all signs; the legal window is kept from the
    lowest ink (ADA 703.3.2), under the baseline (a tail) or over it (a lone dash), to the highest dot that is
    really there.
    """
    least, most = drawing.braille_gap_least_mm, drawing.braille_gap_most_mm
    room = min(_BRAILLE_ROOM_MM, (most - least) / 2)
    first_dot = min(max(baseline + drawing.braille_gap_aim_mm, ink + least + room), ink + most - room)
    return first_dot - _empty_top_mm(braille[0], drawing)


def _empty_top_mm(line: BrailleLine, drawing: DrawingRules) -> float:
    """How far the highest dot of a line lies under its cells' top row."""
    rows = [(number - 1) % 3 for cell in set(line.cells) for number in cell_dots(cell)]
    return min(rows, default=0) * drawing.cell_size.dot_pitch_mm


def braille_width_mm(braille: Sequence[BrailleLine], drawing: DrawingRules) -> float:
    """Width of the widest braille line, dot edge to dot edge."""
    return max((line_span_mm(line.cells, drawing.cell_size) for line in braille), default=0.0)
