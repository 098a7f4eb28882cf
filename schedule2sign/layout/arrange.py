"""A sign request, its braille and a template to finished geometry, or to the numbers that say why not."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise

from schedule2sign.geometry.dotgrid import line_span_mm, place_line
from schedule2sign.layout.fields import Align, Template, TextField
from schedule2sign.layout.fitting import SLACK_MM, Fit, Fitter
from schedule2sign.layout.furniture import (
    border_rings,
    corner_holes,
    draw_pictogram,
    laid_rings,
    place_star,
    plate_outline,
    rule_rings,
)
from schedule2sign.layout.reasons import (
    remedies_used,
    say_braille_lines,
    say_close_lines,
    say_gap,
    say_misfit,
    say_missing_braille,
    say_missing_field,
    say_missing_glyphs,
    say_missing_pictogram,
    say_missing_star,
    say_missing_visual,
    say_no_height,
)
from schedule2sign.layout.shortfall import measure_shortfall
from schedule2sign.layout.stacking import line_hang_mm, line_rise_mm
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.drawing import DrawingRules
from schedule2sign.model.flag import Flag, holds
from schedule2sign.model.shape import (
    Box,
    Build,
    Dot,
    PlacedGlyph,
    RaisedLine,
    SetLine,
    SignLayout,
    Typesetter,
    VisualLine,
)
from schedule2sign.model.sign import SignRequest

STAR = "star"  # as a request's pictogram: the star of the exit discharge level
_MANY_BRAILLE_LINES = 3
_SAME_MM = 5e-4


def lay_out(
    request: SignRequest,
    braille: Sequence[BrailleLine],
    template: Template,
    setter: Typesetter,
    drawing: DrawingRules,
    build: Build,
) -> tuple[SignLayout | None, tuple[Flag, ...]]:
    """Lay out one sign.

    Args:
        request: what the sign says.
        braille: one line for each message, in the same order.
        template: the member of the sign family to use.
        setter: the typeface.
        drawing: legal windows and aims.
        build: how the sign is made, handed through.

    Returns:
        The layout and what to tell about it; or None and at least one HOLD that says why, with numbers.
    """
    if len(braille) != len(request.messages):
        raise ValueError(f"{len(request.messages)} messages but {len(braille)} lines of braille")
    refusals = _refuse(request, braille, template, setter, drawing)
    if refusals:
        return None, refusals
    usable = _keep_legal_heights(template, drawing)
    align = _alignment(template, drawing)
    star = request.pictogram == STAR
    fitter = Fitter(request.messages, braille, usable, setter, drawing, align, request.insert_text, star=star)
    fit = fitter.fit()
    if fit is None:
        return None, (say_misfit(measure_shortfall(fitter), usable),)
    flags = _judge(fit, drawing, setter)
    if holds(flags):
        return None, flags
    return _place(request, fit, template, setter, drawing, build, align), flags


def _refuse(
    request: SignRequest,
    braille: Sequence[BrailleLine],
    template: Template,
    setter: Typesetter,
    drawing: DrawingRules,
) -> tuple[Flag, ...]:
    """What no plate can help."""
    flags: list[Flag] = []
    for message, line in zip(request.messages, braille, strict=True):
        field = template.text_field(message.role)
        if field is None or not message.text.strip():
            flags.append(say_missing_field(message, template))
        elif not _legal_heights(field, drawing):
            flags.append(say_no_height(message, field, drawing))
        if missing := setter.missing(message.text):
            flags.append(say_missing_glyphs(message.text, missing, setter.facts))
        if not line.cells and template.braille_lines:
            flags.append(say_missing_braille(message))
    if template.visual and (missing := setter.missing(request.insert_text)):
        flags.append(say_missing_glyphs(request.insert_text, missing, setter.facts))
    if template.visual and not template.texts and not request.insert_text.strip():
        flags.append(say_missing_visual(template))
    if request.pictogram == STAR and not template.star:
        flags.append(say_missing_star(template))
    if template.pictogram and not any(drawn.name == request.pictogram for drawn in template.pictogram.drawings):
        flags.append(say_missing_pictogram(request.pictogram, template))
    if template.texts and not request.messages:
        flags.append(say_missing_field(None, template))
    return tuple(flags)


def _legal_heights(field: TextField, drawing: DrawingRules) -> tuple[float, ...]:
    low, high = drawing.least_height_mm - SLACK_MM, drawing.most_height_mm + SLACK_MM
    return tuple(height for height in field.heights_mm if low <= height <= high)


def _keep_legal_heights(template: Template, drawing: DrawingRules) -> Template:
    """The template without character heights the standard does not allow."""
    legal = [_legal_heights(field, drawing) for field in template.texts]
    if all(heights == field.heights_mm for heights, field in zip(legal, template.texts, strict=True)):
        return template
    texts = (replace(field, heights_mm=heights) for heights, field in zip(legal, template.texts, strict=True))
    return replace(template, texts=tuple(texts))


def _alignment(template: Template, drawing: DrawingRules) -> Align:
    left = template.align is Align.LEFT or drawing.braille_align == Align.LEFT
    return Align.LEFT if left else Align.CENTER


def _judge(fit: Fit, drawing: DrawingRules, setter: Typesetter) -> tuple[Flag, ...]:
    """Flags of a fit: gaps the typeface cannot bring into the window, many lines of braille."""
    flags: list[Flag] = []
    for block in fit.blocks:
        for upper, lower in pairwise(block.lines):
            clear_mm = block.pitch_mm - line_hang_mm(upper) - line_rise_mm(lower)
            if clear_mm < drawing.least_gap_mm - _SAME_MM:
                flags.append(say_close_lines(f"{upper.text} {lower.text}", clear_mm, drawing.least_gap_mm))
        for line in block.lines:
            most_mm = drawing.most_gap_strokes * setter.facts.stroke_ratio * line.height_mm
            pairs = [
                (line.glyphs[i].outline.char, line.glyphs[i + 1].outline.char)
                for first, end in line.words
                for i in range(first, end - 1)
            ]
            flags += [
                say_gap(line.text, pair, gap, drawing.least_gap_mm, most_mm)
                for pair, gap in zip(pairs, line.gaps_mm, strict=True)
                if not drawing.least_gap_mm - _SAME_MM <= gap <= most_mm + _SAME_MM
            ]
    if len(fit.braille) >= _MANY_BRAILLE_LINES:
        flags.append(say_braille_lines(len(fit.braille)))
    return tuple(flags)


def _place(
    request: SignRequest,
    fit: Fit,
    template: Template,
    setter: Typesetter,
    drawing: DrawingRules,
    build: Build,
    align: Align,
) -> SignLayout:
    spacing, stacked = fit.spacing, fit.stacked
    slack = fit.height_mm - spacing.margin_top_mm - stacked.height_mm - spacing.margin_bottom_mm
    top = fit.height_mm - spacing.margin_top_mm - (slack / 2 if template.stack == "middle" else 0.0)

    def left_of(width_mm: float) -> float:
        return spacing.margin_side_mm if align is Align.LEFT else (fit.width_mm - width_mm) / 2

    def text_left_of(width_mm: float) -> float:
        return left_of(width_mm) + (fit.indent_mm if align is Align.LEFT else 0.0)

    lines: list[RaisedLine] = []
    decoration = list(border_rings(template.border, fit.width_mm, fit.height_mm, template.corner_radius_mm))
    downs = iter(stacked.baselines_mm)
    star = template.star if request.pictogram == STAR else None
    for block in fit.blocks:
        message = request.messages[block.message]
        for line in block.lines:
            baseline = top - next(downs)
            x = text_left_of(line.width_mm)
            if star and message.role is star.beside:
                decoration.append(place_star(star, line, x, baseline))
                star = None
            lines.append(
                RaisedLine(
                    text=line.text,
                    role=message.role,
                    message=block.message,
                    height_mm=line.height_mm,
                    baseline_mm=baseline,
                    glyphs=_stand_at(line, x, baseline),
                    words=line.words,
                )
            )
    decoration += rule_rings(template.rule_line, stacked.rule_mm, fit.width_mm, spacing.margin_side_mm, left_of, top)
    decoration += laid_rings(template)
    dots: list[Dot] = []
    if stacked.braille_top_mm is not None:
        for index, part in enumerate(fit.braille):
            dots += place_line(
                part.cells,
                line=index,
                left_mm=text_left_of(line_span_mm(part.cells, drawing.cell_size)),
                top_mm=top - stacked.braille_top_mm - index * drawing.cell_size.line_pitch_mm,
                size=drawing.cell_size,
            )
    return SignLayout(
        request=request,
        template=template.name,
        width_mm=fit.width_mm,
        height_mm=fit.height_mm,
        corner_radius_mm=template.corner_radius_mm,
        lines=tuple(lines),
        braille=fit.braille,
        dots=tuple(dots),
        cell_size=drawing.cell_size,
        font=setter.facts,
        build=_in_colors(build, template),
        pictogram=draw_pictogram(request.pictogram, template.pictogram, left_of, top - (stacked.field_top_mm or 0.0)),
        border=tuple(decoration),
        holes=corner_holes(template.fixing, fit.width_mm, fit.height_mm),
        window=_window(fit, template, left_of, top),
        remedies=remedies_used(fit, template, drawing),
        outline=plate_outline(template),
        visual=tuple(
            _flat(line, left_of(line.width_mm), top - down)
            for line, down in zip(fit.visual, stacked.visual_mm, strict=True)
        ),
        fixing=template.fixing.kind.value,
    )


def _flat(line: SetLine, x: float, baseline: float) -> VisualLine:
    return VisualLine(
        text=line.text,
        height_mm=line.height_mm,
        baseline_mm=baseline,
        glyphs=_stand_at(line, x, baseline),
    )


def _stand_at(line: SetLine, x: float, baseline: float) -> tuple[PlacedGlyph, ...]:
    return tuple(PlacedGlyph(outline=glyph.outline, x_mm=glyph.x_mm + x, baseline_mm=baseline) for glyph in line.glyphs)


def _in_colors(build: Build, template: Template) -> Build:
    """The job's materials, with those the template names; a reflectance declared for another color is dropped."""
    base, letters = template.colors.base, template.colors.letters
    if base and base != build.base_color:
        build = replace(build, base_color=base, base_reflectance=None)
    if letters and letters != build.letter_color:
        build = replace(build, letter_color=letters, letter_reflectance=None)
    return build


def _window(fit: Fit, template: Template, left_of: Callable[[float], float], top: float) -> Box | None:
    if template.window is None or fit.stacked.window_top_mm is None:
        return None
    width = template.window.width_mm or fit.width_mm - 2 * fit.spacing.margin_side_mm
    left = left_of(width)
    upper = top - fit.stacked.window_top_mm
    return Box(left_mm=left, bottom_mm=upper - template.window.height_mm, right_mm=left + width, top_mm=upper)
