"""The search for a plate: tries from no remedy to all, smallest stock size first."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from schedule2sign.layout.brailleblock import break_braille
from schedule2sign.layout.fields import Align, Template
from schedule2sign.layout.freedom import Freedom, Spacing, spacing_of, tries
from schedule2sign.layout.linebreak import break_lines
from schedule2sign.layout.stacking import Stacked, TextBlock, pitch_for, stack_fields
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.drawing import DrawingRules
from schedule2sign.model.shape import SetLine, Typesetter
from schedule2sign.model.sign import Message, Role

SLACK_MM = 0.001  # a length this much over its limit is rounding


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
    ) -> None:
        self.messages = messages
        self.braille = braille
        self.template = template
        self.drawing = drawing
        self.align = align
        self._setter = setter
        self._words = [message.text.split() for message in messages]
        self._fields = {field.role: field for field in template.texts}
        self._lines: dict[tuple[str, float, float], SetLine] = {}

    def fit(self) -> Fit | None:
        """The first try that fits, on the smallest stock plate it fits on; None where not even all remedies help."""
        for free in tries(self.template):
            widths = self.template.widths_mm if free.grow_plate else self.template.widths_mm[:1]
            found = [fit for width_mm in widths if (fit := self._fit_width(free, width_mm))]
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
        ranges = break_lines(words, self.measure(index, free, spacing), live_mm + SLACK_MM, most, self.align)
        if ranges is None:
            return None
        height_mm = self._height_mm(index, free)
        lines = tuple(self._set_line(" ".join(words[first:end]), height_mm, spacing) for first, end in ranges)
        return TextBlock(
            message=index,
            lines=lines,
            starts=frozenset(first for first, _ in ranges if first),
            pitch_mm=pitch_for(lines, spacing.pitch_ratio, self.drawing),
            clear_above_mm=self._fields[message.role].clear_above_mm,
        )

    def _fit_width(self, free: Freedom, width_mm: float) -> Fit | None:
        template, spacing = self.template, spacing_of(free, self.template, self.drawing)
        live_mm = width_mm - 2 * spacing.margin_side_mm
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
        stacked = stack_fields(blocks, braille, template, self.drawing)
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
