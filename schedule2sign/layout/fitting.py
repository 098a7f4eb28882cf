"""The search for a plate: tries from no remedy to all, smallest stock size first."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from schedule2sign.layout.brailleblock import break_braille
from schedule2sign.layout.fields import Align, Template
from schedule2sign.layout.figures import star_box_mm
from schedule2sign.layout.freedom import Freedom, Spacing, spacing_of, tries
from schedule2sign.layout.linebreak import break_lines, narrowest
from schedule2sign.layout.stacking import Stacked, TextBlock, pitch_for, stack_fields
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.drawing import DrawingRules
from schedule2sign.model.shape import SetLine, Typesetter
from schedule2sign.model.sign import Message, Role

SLACK_MM = 0.001  # a length this much over its limit is rounding
# Share of the height between flat letters: ADA 703.5.8 asks for 0.10 to 0.35, and a margin is kept.
_VISUAL_LEAST_GAP, _VISUAL_MOST_GAP = 0.12, 0.34


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """A try that fits its plate."""

    free: Freedom
    spacing: Spacing
    width_mm: float
    height_mm: float
    blocks: tuple[TextBlock, ...]
    braille: tuple[BrailleLine, ...]
    stacked: Stacked
    visual: tuple[SetLine, ...] = ()
    indent_mm: float = 0.0  # of flush-left text, for a star


class Fitter:
    """Fits one sign's messages and braille to a template; every line of letters is set once."""

    def __init__(
        self,
        messages: Sequence[Message],
        braille: Sequence[BrailleLine],
        template: Template,
        setter: Typesetter,
        drawing: DrawingRules,
        align: Align,
        insert: str = "",
        *,
        star: bool = False,
    ) -> None:
        self.messages = messages
        self.braille = braille
        self.template = template
        self.drawing = drawing
        self.align = align
        self.insert = insert
        self.star = star
        self._setter = setter
        self._words = [message.text.split() for message in messages]
        self._fields = {field.role: field for field in template.texts}
        self._lines: dict[tuple[str, float, float], SetLine] = {}

    def fit(self) -> Fit | None:
        """The first try that fits, on the smallest stock plate it fits on; None where not even all remedies help."""
        for free in tries(self.template):
            widths = self.template.widths_mm if free.grow_plate else self.template.widths_mm[:1]
            spacing = spacing_of(free, self.template, self.drawing)
            found = [fit for width_mm in widths if (fit := self._fit_width(free, spacing, width_mm))]
            if found:
                return min(found, key=lambda fit: (round(fit.width_mm * fit.height_mm, 3), fit.width_mm))
        return None

    def most_lines(self, role: Role, free: Freedom) -> int:
        """Lines a message may take at a try."""
        return self._fields[role].max_lines if free.break_lines else 1

    def measure(self, index: int, free: Freedom, spacing: Spacing) -> Callable[[int, int], float]:
        """A function for the width of words [first, end) of a message on one line."""
        words, height_mm = self._words[index], self._height_mm(index, free)
        return lambda first, end: self._set_line(" ".join(words[first:end]), height_mm, spacing).width_mm

    def block(self, index: int, free: Freedom, spacing: Spacing, live_mm: float) -> TextBlock | None:
        """A message broken into lines, or None where it is too wide."""
        words, message = self._words[index], self.messages[index]
        most = self.most_lines(message.role, free)
        height_mm = self._height_mm(index, free)
        ranges = break_lines(words, self.measure(index, free, spacing), live_mm + SLACK_MM, most, self.align)
        if ranges is None:
            return None
        lines = tuple(self._set_line(" ".join(words[first:end]), height_mm, spacing) for first, end in ranges)
        return TextBlock(
            message=index,
            lines=lines,
            starts=frozenset(first for first, _ in ranges if first),
            pitch_mm=pitch_for(lines, spacing.pitch_ratio, self.drawing),
            clear_above_mm=self._fields[message.role].clear_above_mm,
        )

    def star_mm(self, free: Freedom) -> float:
        """Width a star and its clearance take beside the text; 0 without one."""
        star = self.template.star
        if not self.star or star is None:
            return 0.0
        heights = self._fields[star.beside].heights_mm
        return star_box_mm(heights[min(free.smaller, len(heights) - 1)])[0] + star.clear_mm

    def live_mm(self, width_mm: float, free: Freedom, spacing: Spacing) -> float:
        """What text and braille may measure; centered text keeps the star's room on both sides."""
        sides = 1 if self.align is Align.LEFT else 2
        return width_mm - 2 * spacing.margin_side_mm - sides * self.star_mm(free)

    def visual(self, free: Freedom, live_mm: float) -> tuple[SetLine, ...] | None:
        """The flat text broken into lines, its own line breaks kept; None where it is too wide."""
        field = self.template.visual
        if field is None or not self.insert.strip():
            return ()
        height_mm = field.heights_mm[min(free.smaller, len(field.heights_mm) - 1)]
        lines: list[SetLine] = []
        for part in self.insert.splitlines():
            words = part.split()
            if not words:
                continue
            most = field.max_lines if free.break_lines else 1
            ranges = break_lines(words, self._flat_width(words, height_mm), live_mm + SLACK_MM, most, self.align)
            if ranges is None:
                return None
            lines += [self._set_flat(" ".join(words[first:end]), height_mm) for first, end in ranges]
        return tuple(lines)

    def visual_widths(self, free: Freedom, live_mm: float) -> list[tuple[float, str, int]]:
        """For each given line of flat text: its least width, the words that need it, characters that would fit."""
        field = self.template.visual
        if field is None:
            return []
        height_mm = field.heights_mm[min(free.smaller, len(field.heights_mm) - 1)]
        found = []
        for words in filter(None, (part.split() for part in self.insert.splitlines())):
            most = field.max_lines if free.break_lines else 1
            width_mm, first, end = narrowest(words, self._flat_width(words, height_mm), most)
            text = " ".join(words[first:end])
            found.append((width_mm, repr(text), int(live_mm / width_mm * len(text))))
        return found

    def _flat_width(self, words: Sequence[str], height_mm: float) -> Callable[[int, int], float]:
        return lambda first, end: self._set_flat(" ".join(words[first:end]), height_mm).width_mm

    def _set_flat(self, text: str, height_mm: float) -> SetLine:
        # Nothing of the line spacing of raised letters binds flat ones: the window is that of ADA 703.5.8.
        most_strokes = _VISUAL_MOST_GAP / self._setter.facts.stroke_ratio
        return self._setter.set_line(text, height_mm, _VISUAL_LEAST_GAP * height_mm, most_strokes)

    def ruled_block(self) -> int | None:
        """The first message of the role the rule line stands over, unless it is the sign's first."""
        over = self.template.rule_line.over if self.template.rule_line else None
        turns = [turn for turn, message in enumerate(self.messages) if message.role is over]
        return turns[0] if turns and turns[0] else None

    def _fit_width(self, free: Freedom, spacing: Spacing, width_mm: float) -> Fit | None:
        template, live_mm = self.template, self.live_mm(width_mm, free, spacing)
        if template.window and template.window.width_mm > live_mm + SLACK_MM:
            return None
        blocks: list[TextBlock] = []
        braille: list[BrailleLine] = []
        for index, line in enumerate(self.braille):
            block = self.block(index, free, spacing, live_mm)
            if block is None:
                return None
            most = template.braille_lines if free.break_braille else 1
            parts = break_braille(line, self.drawing.cell_size, live_mm + SLACK_MM, most, self.align, block.starts)
            if parts is None:
                return None
            blocks.append(block)
            braille += parts
        if len(braille) > template.braille_lines:
            return None
        visual = self.visual(free, live_mm)
        if visual is None or (template.visual and len(visual) > template.visual.max_lines):
            return None
        stacked = stack_fields(blocks, braille, template, self.drawing, visual, self.ruled_block())
        needed_mm = spacing.margin_top_mm + stacked.height_mm + spacing.margin_bottom_mm
        heights = template.heights_mm if free.grow_plate else template.heights_mm[:1]
        height_mm = min((height for height in heights if height + SLACK_MM >= needed_mm), default=None)
        if height_mm is None:
            return None
        return Fit(
            free=free,
            spacing=spacing,
            width_mm=width_mm,
            height_mm=height_mm,
            blocks=tuple(blocks),
            braille=tuple(braille),
            stacked=stacked,
            visual=visual,
            indent_mm=self.star_mm(free),
        )

    def _height_mm(self, index: int, free: Freedom) -> float:
        heights = self._fields[self.messages[index].role].heights_mm
        return heights[min(free.smaller, len(heights) - 1)]

    def _set_line(self, text: str, height_mm: float, spacing: Spacing) -> SetLine:
        key = (text, height_mm, spacing.gap_mm)
        if key not in self._lines:
            self._lines[key] = self._setter.set_line(
                text, height_mm, spacing.gap_mm, self.drawing.most_gap_strokes, by_eye=spacing.by_eye
            )
        return self._lines[key]
