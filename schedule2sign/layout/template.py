"""Sign templates read from a folder of TOML files, each checked as a whole."""

import math
from collections.abc import Collection
from dataclasses import replace
from pathlib import Path

from schedule2sign.errors import InputError
from schedule2sign.layout.fields import Align, PictogramDrawing, PlateShape, Remedy, Stack, Template
from schedule2sign.layout.fieldtables import (
    MOST_LINES,
    MOST_PLATE_MM,
    read_border,
    read_colors,
    read_fixing,
    read_laid,
    read_pictogram,
    read_rule,
    read_spacer,
    read_star,
    read_text,
    read_visual,
    read_window,
)
from schedule2sign.layout.pictogramfile import load_pictogram
from schedule2sign.layout.tomltable import TomlTable, read_toml
from schedule2sign.model.measure import MM_PER_INCH

__all__ = ["Template", "load_template", "load_templates"]

_LEAST_PLATE_MM = 1 * MM_PER_INCH
_LEAST_MARGIN_MM = 0.25 * MM_PER_INCH  # finger room around braille: common practice, no source
_STYLE = "style.toml"
_STANDARD = "standard"
_FAMILY = "family"
_PICTOGRAMS = "pictograms"
_STYLED = ("plate", "border", "fixing", "colors")  # tables a style may have


def load_templates(
    folder: Path, *, family: Path | None = None, standard: str = "", standards: Collection[str] = ()
) -> dict[str, Template]:
    """Every template of a folder by name.

    `style.toml` in the folder holds what the whole family shares. A folder that builds on another one (given here,
    or by `family = "../signs"` in its style) restyles the templates there; a template of its own replaces the one of
    that name or adds to them. Pictograms come from the folder `pictograms` beside or inside each.

    Args:
        folder: the templates.
        family: the folder they build on, unless the style names another.
        standard: rule profile in force; a template's [standard.ID] table of that id stands over its other keys.
        standards: ids such a table may name; () takes any.

    Raises:
        InputError: the folder holds no template, or one of them has a mistake (file, line, what to do).
    """
    folders = _folders(folder, family)
    files = {name: file for place in folders for name, file in _files(place).items()}
    if not files:
        raise InputError(f"There are no sign templates (*.toml) in {folder}.")
    styles: list[TomlTable] = []
    for place in folders:
        if (place / _STYLE).is_file():
            styles.append(read_toml(place / _STYLE, styles[-1] if styles else None))
            styles[-1].has_read(_FAMILY)
    style = styles[-1] if styles else None
    drawings = _drawings(folders)
    templates = {
        name: load_template(files[name], drawings, style, standard=standard, standards=standards)
        for name in sorted(files)
    }
    if style:  # a style under it is checked where it is loaded as its own family's
        for table in (*(style.table(key) for key in _STYLED), style):
            if table:
                table.refuse_rest()
    return templates


def _folders(folder: Path, family: Path | None) -> list[Path]:
    """What a folder builds on, then the folder itself."""
    style_file = folder / _STYLE
    if not folder.is_dir():
        raise InputError(f"There is no folder of sign templates {folder}.")
    style = read_toml(style_file) if style_file.is_file() else None
    if style and style.has(_FAMILY):
        name = style.text(_FAMILY)
        places = (folder / name, *((family.parent / name,) if family else ()))
        found = next((place for place in places if _files(place)), None)
        if found is None:
            raise style.mistake(_FAMILY, f"names {places[0]}, which holds no templates")
        return [found, folder]
    return [family, folder] if family and family.resolve() != folder.resolve() else [folder]


def _files(folder: Path) -> dict[str, Path]:
    return {file.stem: file for file in folder.glob("*.toml") if file.name != _STYLE}


def _drawings(folders: list[Path]) -> tuple[PictogramDrawing, ...]:
    """The pictograms of all folders by name; a later one replaces an earlier one."""
    places = [place for folder in folders for place in (folder.parent / _PICTOGRAMS, folder / _PICTOGRAMS)]
    files = {file.stem: file for place in places for file in place.glob("*.svg")}
    return tuple(load_pictogram(files[name]) for name in sorted(files))


def load_template(
    file: Path,
    drawings: tuple[PictogramDrawing, ...] = (),
    style: TomlTable | None = None,
    *,
    standard: str = "",
    standards: Collection[str] = (),
) -> Template:
    """One template over the family's style; its name is the file's name.

    Raises:
        InputError: a mistake, with its line, in the template or what it says for any standard.
    """
    top = read_toml(file, style)
    sides = top.table(_STANDARD)
    found = _read(file.stem, top, drawings)
    top.refuse_rest()
    if sides is None:
        return found
    for key in sides.keys():  # noqa: SIM118 (a table is no mapping)
        if standards and key not in standards:
            raise sides.mistake(key, f"is no standard; known: {', '.join(sorted(standards))}")
        over = sides.table_over(key, top)
        varied = _read(file.stem, over, drawings)
        over.refuse_rest()
        found = varied if key == standard else found
    return found


def _read(name: str, top: TomlTable, drawings: tuple[PictogramDrawing, ...]) -> Template:
    plate = top.table("plate")
    if plate is None:
        raise top.mistake("plate", "is missing; write [plate] with widths, heights and margins")
    braille = top.table("braille")
    template = Template(
        name=name,
        title=top.text("title"),
        remedies=top.choices("remedies", Remedy),
        widths_mm=_growing(plate, "widths"),
        heights_mm=_growing(plate, "heights"),
        corner_radius_mm=plate.length_mm("corner_radius", 0.0, 2 * MM_PER_INCH, "0 in"),
        margin_side_mm=plate.length_mm("margin_side", _LEAST_MARGIN_MM, MOST_PLATE_MM),
        margin_top_mm=plate.length_mm("margin_top", 0.0, MOST_PLATE_MM),
        margin_bottom_mm=plate.length_mm("margin_bottom", _LEAST_MARGIN_MM, MOST_PLATE_MM),
        least_margin_mm=plate.length_mm("least_margin", _LEAST_MARGIN_MM, MOST_PLATE_MM, "3/8 in"),
        align=plate.choice("align", Align, Align.CENTER),
        stack=plate.choice("stack", Stack, Stack.MIDDLE),
        shape=plate.choice("shape", PlateShape, PlateShape.RECTANGLE),
        texts=tuple(read_text(table) for table in top.tables("text")),
        braille_lines=braille.count("max_lines", 3, 1, MOST_LINES) if braille else 0,
        pictogram=read_pictogram(top.table("pictogram"), drawings),
        window=read_window(top.table("window")),
        visual=read_visual(top.table("visual")),
        spacers=tuple(read_spacer(table) for table in top.tables("spacer")),
        rule_line=read_rule(top.table("rule_line")),
        star=read_star(top.table("star")),
        laid=read_laid(top.table("laid_triangle")),
        border=read_border(top.table("border")),
        fixing=read_fixing(top.table("fixing")),
        colors=read_colors(top.table("colors")),
    )
    if "border" not in top.keys() and not (template.texts or template.visual):  # noqa: SIM118 (a table is no mapping)
        template = replace(template, border=None)  # a style's frame goes around text, not around a blank plate
    _check_whole(top, plate, template)
    for table in (plate, braille):
        if table:
            table.refuse_rest()
    return template


def _growing(table: TomlTable, key: str) -> tuple[float, ...]:
    lengths = table.lengths_mm(key, _LEAST_PLATE_MM, MOST_PLATE_MM)
    if list(lengths) != sorted(set(lengths)):
        raise table.mistake(key, "must grow: the template's own size first, then each larger stock size once")
    return lengths


def _check_whole(top: TomlTable, plate: TomlTable, template: Template) -> None:
    """What no single key can show."""
    roles = [field.role for field in template.texts]
    width, height = template.widths_mm[0], template.heights_mm[0]
    if len(set(roles)) != len(roles):
        raise top.mistake("text", "has two fields of one role; one field takes every message of its role")
    if template.texts and not template.braille_lines:
        raise top.mistake("braille", "is missing: raised text must be repeated in braille (ADA 703.2)")
    if 2 * template.margin_side_mm >= width:
        raise plate.mistake("margin_side", "leaves no room between the margins of the smallest plate")
    if 2 * template.corner_radius_mm > min(width, height):
        raise plate.mistake("corner_radius", "is more than half of the smallest plate")
    if template.pictogram and template.pictogram.width_mm > width:
        raise top.mistake("pictogram", f"field is wider than the smallest plate of {width / 25.4:g} in")
    if template.window and template.visual:
        raise top.mistake("visual", "cannot stand beside a window: both show the sign's insert text")
    for key, field in (
        ("rule_line", template.rule_line and template.rule_line.over),
        ("star", template.star and template.star.beside),
    ):
        if field and field not in roles:
            raise top.mistake(key, f"goes with the role {str(field)!r}, which has no [[text]] field here")
    if template.rule_line and template.rule_line.over == roles[0]:
        raise top.mistake("rule_line", f"stands between two messages; no field comes before {str(roles[0])!r}")
    if template.shape is not PlateShape.RECTANGLE:
        _check_odd_plate(top, plate, template)
    if template.laid and template.shape is not PlateShape.CIRCLE:
        raise top.mistake("laid_triangle", 'lies on a round plate: write shape = "circle" in [plate]')


def _check_odd_plate(top: TomlTable, plate: TomlTable, template: Template) -> None:
    """A circle or triangle has one size, and nothing of a sign with text on it."""
    if template.texts or template.pictogram or template.window or template.visual or template.border:
        raise plate.mistake("shape", f"is {template.shape}: such a plate carries no text, pictogram, window or border")
    share = 1.0 if template.shape is PlateShape.CIRCLE else math.sqrt(3) / 2
    if len(template.widths_mm) != 1 or len(template.heights_mm) != 1:
        raise plate.mistake("widths", f"and heights must name one size each for a {template.shape}")
    if abs(template.heights_mm[0] - share * template.widths_mm[0]) > 0.01 * MM_PER_INCH:
        high = share * template.widths_mm[0] / MM_PER_INCH
        raise plate.mistake("heights", f"must be {high:.3f} in: the {template.shape} of that width")
    if template.fixing.inset_mm:
        raise top.mistake("fixing", f"by holes at the corners does not fit a {template.shape}; use tape")
