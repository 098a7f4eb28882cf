"""What layout says: flags with numbers, and the remedies used, in words."""

from collections.abc import Sequence

from schedule2sign.layout.fields import Template, TextField
from schedule2sign.layout.fitting import Fit
from schedule2sign.layout.shortfall import Shortfall
from schedule2sign.model.drawing import DrawingRules
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.measure import inches
from schedule2sign.model.shape import FontFacts, SetLine
from schedule2sign.model.sign import Message


def say_misfit(short: Shortfall, template: Template) -> Flag:
    """No plate of the template takes the sign."""
    plate = f"{_in(short.plate_width_mm)} x {_in(short.plate_height_mm)} in"
    largest = f"the largest plate of template {template.name!r} is {plate}"
    if short.height_mm == 0.0:
        needed, given = f"{_in(short.width_mm)} in wide", f"{_in(short.live_mm)} in between the margins"
        what = f"{short.part} is {needed}; {largest} and leaves {given}."
    elif short.braille_lines > template.braille_lines:
        needed, given = f"{short.braille_lines} braille lines", f"{template.braille_lines} braille lines"
        what = f"The sign takes {needed}; {largest} and takes {given}."
    elif template.visual and short.visual_lines > template.visual.max_lines:
        needed, given = f"{short.visual_lines} lines of flat text", f"{template.visual.max_lines} lines"
        what = f"The sign takes {needed}; template {template.name!r} takes {given}."
    else:
        needed, given = f"{_in(short.height_mm)} in high", f"{_in(short.plate_height_mm)} in"
        what = f"The sign needs a plate {needed}; {largest}."
    most = max((field.max_lines for field in template.texts), default=1)
    return Flag(
        code="layout/does-not-fit",
        severity=Severity.HOLD,
        message=f"{what} Every remedy of the template was tried.",
        measured=needed,
        required=f"{given} at most",
        fix=f"Approve a shorter wording (about {short.characters} characters a line fit, on {most} lines at most, "
        "words not divided), or use a larger plate, or a narrower font that passes the font checks.",
        who="architect",
    )


def say_close_lines(text: str, clear_mm: float, least_mm: float) -> Flag:
    """An accent under a tail that the largest line pitch does not part."""
    return Flag(
        code="layout/lines-too-close",
        severity=Severity.HOLD,
        message=f"The lines of {text!r} come within {inches(clear_mm):.4f} in of each other at the largest line pitch.",
        given=text,
        measured=f"{inches(clear_mm):.4f} in",
        required=f"{inches(least_mm):.4f} in min.",
        fix="Use a font with a shorter tail or flatter accent, or approve another wording.",
        who="shop",
    )


def say_no_height(message: Message, field: TextField, drawing: DrawingRules) -> Flag:
    """All heights of the field lie outside the standard."""
    heights = ", ".join(_in(height) for height in field.heights_mm)
    return Flag(
        code="layout/no-legal-height",
        severity=Severity.HOLD,
        message=f"The template sets {message.role} {message.text!r} at {heights} in; the standard asks for "
        f"{_in(drawing.least_height_mm)} to {_in(drawing.most_height_mm)} in.",
        given=message.text,
        required=f"{_in(drawing.least_height_mm)} to {_in(drawing.most_height_mm)} in",
        clause="ADA 703.2.5",
        fix="Give the template's field a height inside the range.",
        who="shop",
    )


def say_missing_glyphs(text: str, missing: Sequence[str], font: FontFacts) -> Flag:
    """The font cannot draw some characters."""
    named = ", ".join(f"{char!r} (U+{ord(char):04X})" for char in missing)
    return Flag(
        code="layout/missing-glyph",
        severity=Severity.HOLD,
        message=f"{font.name} has no {named}, which {text!r} needs.",
        given=text,
        fix="Use a font that has the character, or approve another wording.",
        who="shop",
    )


def say_missing_field(message: Message | None, template: Template) -> Flag:
    """The template has no place for a message, or there is nothing to place."""
    roles = ", ".join(str(field.role) for field in template.texts) or "no text"
    if message is not None and message.text.strip():
        what = f"Template {template.name!r} takes {roles}; it has no field for {message.role} {message.text!r}."
    else:
        what = f"The sign has no text for template {template.name!r}, which takes {roles}."
    return Flag(
        code="layout/no-field-for-message",
        severity=Severity.HOLD,
        message=what,
        given=message.text if message else "",
        fix="Choose another template for this sign, or add the field to the template.",
        who="shop",
    )


def say_missing_braille(message: Message) -> Flag:
    """A raised message without braille is no tactile sign."""
    return Flag(
        code="layout/no-braille",
        severity=Severity.HOLD,
        message=f"{message.text!r} has no braille to place.",
        given=message.text,
        clause="ADA 703.2",
        fix="Supply the braille of this wording.",
        who="transcriber",
    )


def say_missing_pictogram(name: str, template: Template) -> Flag:
    """The template has a pictogram field but not this drawing."""
    known = ", ".join(drawing.name for drawing in template.pictogram.drawings) if template.pictogram else ""
    wanted = f"pictogram {name!r} is not among the drawings" if name else "no pictogram was chosen"
    return Flag(
        code="layout/no-pictogram",
        severity=Severity.HOLD,
        message=f"Template {template.name!r} has a pictogram field, but {wanted}: {known}.",
        given=name,
        fix="Choose one of the drawings, or add a drawing with its licence.",
        who="shop",
    )


def say_missing_star(template: Template) -> Flag:
    """A star is asked for and the template draws none under this standard."""
    return Flag(
        code="layout/no-star",
        severity=Severity.HOLD,
        message=f"The sign asks for the star of the exit discharge level; template {template.name!r} draws none "
        "under this standard.",
        clause="CBC 1023.9, 11B-504.8",
        fix="Add a [star] table to the template, or take the star off the sign.",
        who="architect",
    )


def say_missing_visual(template: Template) -> Flag:
    """A sign of flat text alone without its text."""
    return Flag(
        code="layout/no-visual-text",
        severity=Severity.HOLD,
        message=f"Template {template.name!r} shows flat text, and the sign has none.",
        fix="Give the text (an occupant load comes from the designer or the building official, never from a guess).",
        who="architect",
    )


def say_gap(text: str, pair: tuple[str, str], gap_mm: float, least_mm: float, most_mm: float) -> Flag:
    """Two characters that cannot stand inside the legal window."""
    return Flag(
        code="layout/gap-out-of-range",
        severity=Severity.HOLD,
        message=f"In {text!r} the closest points of {pair[0]!r} and {pair[1]!r} are {inches(gap_mm):.4f} in apart, "
        "however they are moved.",
        given=text,
        measured=f"{inches(gap_mm):.4f} in",
        required=f"{inches(least_mm):.4f} to {inches(most_mm):.4f} in",
        clause="ADA 703.2.7",
        fix="Approve a wording without this pair of characters.",
        who="architect",
    )


def say_braille_lines(count: int) -> Flag:
    """Many lines of braille are slow to read."""
    return Flag(
        code="layout/many-braille-lines",
        severity=Severity.NOTE,
        message=f"The braille takes {count} lines.",
        fix="Nothing, or approve a shorter wording.",
        who="shop",
    )


def remedies_used(fit: Fit, template: Template, drawing: DrawingRules) -> tuple[str, ...]:
    """What was done to make the sign fit, in the order of the remedies."""
    said = [f"{_quoted(block.lines)} set in {len(block.lines)} lines" for block in fit.blocks if len(block.lines) > 1]
    if len(fit.braille) > sum(1 for block in fit.blocks):
        said.append(f"braille broken into {len(fit.braille)} lines")
    own = (template.widths_mm[0], template.heights_mm[0])
    if (fit.width_mm, fit.height_mm) != own:
        said.append(f"plate {_in(fit.width_mm)} x {_in(fit.height_mm)} in instead of {_in(own[0])} x {_in(own[1])} in")
    if fit.free.tight >= 1:
        said.append(f"letter gaps {inches(fit.spacing.gap_mm):.3f} in instead of {inches(drawing.aim_gap_mm):.3f} in")
    if fit.free.tight >= 2 and any(len(block.lines) > 1 for block in fit.blocks):
        percent, own_percent = 100 * fit.spacing.pitch_ratio, 100 * drawing.aim_pitch_ratio
        said.append(f"line pitch {percent:.1f} % instead of {own_percent:.0f} %")
    if fit.free.tight >= 3:
        said.append(f"margins {_in(fit.spacing.margin_side_mm)} in instead of {_in(template.margin_side_mm)} in")
    if len(fit.visual) > 1:
        said.append(f"flat text in {len(fit.visual)} lines")
    if fit.free.smaller:
        for block in fit.blocks:
            height = block.lines[0].height_mm
            said.append(f"{_quoted(block.lines)} {_in(height)} in high")
    return tuple(said)


def _quoted(lines: Sequence[SetLine]) -> str:
    return repr(" ".join(line.text for line in lines))


def _in(value_mm: float) -> str:
    return f"{inches(value_mm):.4f}".rstrip("0").rstrip(".")
