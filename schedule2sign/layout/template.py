"""Sign templates read from a folder of TOML files, each checked as a whole."""

from pathlib import Path

from schedule2sign.errors import InputError
from schedule2sign.layout.fields import (
    Align,
    BorderField,
    HolesField,
    PictogramDrawing,
    PictogramField,
    Place,
    Remedy,
    Stack,
    Template,
    TextField,
    WindowField,
)
from schedule2sign.layout.pictogramfile import load_pictogram
from schedule2sign.layout.tomltable import TomlTable, read_toml
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.sign import Role

__all__ = ["Template", "load_template", "load_templates"]

_LEAST_PLATE_MM, _MOST_PLATE_MM = 1 * MM_PER_INCH, 48 * MM_PER_INCH
_LEAST_TEXT_MM, _MOST_TEXT_MM = 0.625 * MM_PER_INCH, 2 * MM_PER_INCH  # ADA 703.2.5
_LEAST_FIELD_MM = 6 * MM_PER_INCH  # ADA 703.6.1
_LEAST_MARGIN_MM = 0.25 * MM_PER_INCH  # finger room around braille: common practice, no source
_MOST_LINES = 6
_STYLE = "style.toml"


def load_templates(folder: Path) -> dict[str, Template]:
    """Every template of a folder by name.

    `style.toml` in the folder holds what the whole family shares; with `family = "../signs"` it restyles the
    templates of another folder, and a template here replaces the one of that name. Pictograms come from the
    folder `pictograms` beside it.

    Raises:
        InputError: the folder holds no template, or one of them has a mistake (file, line, what to do).
    """
    style_file = folder / _STYLE
    style = read_toml(style_file) if style_file.is_file() else None
    files = _files(folder)
    if style and style.has("family"):
        base = folder / style.text("family")
        if not (files_there := _files(base)):
            raise style.mistake("family", f"names {base}, which holds no templates")
        files = files_there | files
    if not files:
        raise InputError(f"There are no sign templates (*.toml) in {folder}.")
    drawings = tuple(load_pictogram(path) for path in sorted((folder.parent / "pictograms").glob("*.svg")))
    templates = {name: load_template(files[name], drawings, style) for name in sorted(files)}
    if style:
        for table in (style.table("plate"), style.table("border"), style.table("holes"), style):
            if table:
                table.refuse_rest()
    return templates


def _files(folder: Path) -> dict[str, Path]:
    return {file.stem: file for file in folder.glob("*.toml") if file.name != _STYLE}


def load_template(file: Path, drawings: tuple[PictogramDrawing, ...] = (), style: TomlTable | None = None) -> Template:
    """One template over the family's style; its name is the file's name.

    Raises:
        InputError: a mistake, with its line.
    """
    top = read_toml(file, style)
    plate = top.table("plate")
    if plate is None:
        raise top.mistake("plate", "is missing; write [plate] with widths, heights and margins")
    side = plate.length_mm("margin_side", _LEAST_MARGIN_MM, _MOST_PLATE_MM)
    margin_top = plate.length_mm("margin_top", 0.0, _MOST_PLATE_MM)
    bottom = plate.length_mm("margin_bottom", _LEAST_MARGIN_MM, _MOST_PLATE_MM)
    braille = top.table("braille")
    template = Template(
        name=file.stem,
        title=top.text("title"),
        remedies=top.choices("remedies", Remedy),
        widths_mm=_growing(plate, "widths"),
        heights_mm=_growing(plate, "heights"),
        corner_radius_mm=plate.length_mm("corner_radius", 0.0, 2 * MM_PER_INCH, "0 in"),
        margin_side_mm=side,
        margin_top_mm=margin_top,
        margin_bottom_mm=bottom,
        least_margin_mm=plate.length_mm("least_margin", _LEAST_MARGIN_MM, _MOST_PLATE_MM, "3/8 in"),
        align=plate.choice("align", Align, Align.CENTER),
        stack=plate.choice("stack", Stack, Stack.MIDDLE),
        texts=tuple(_text_field(table) for table in top.tables("text")),
        braille_lines=braille.count("max_lines", 3, 1, _MOST_LINES) if braille else 0,
        pictogram=_pictogram(top.table("pictogram"), drawings),
        window=_window(top.table("window")),
        border=_border(top.table("border")),
        holes=_holes(top.table("holes")),
    )
    _check_whole(top, plate, template)
    for table in (top, plate, braille):
        if table:
            table.refuse_rest()
    return template


def _growing(table: TomlTable, key: str) -> tuple[float, ...]:
    lengths = table.lengths_mm(key, _LEAST_PLATE_MM, _MOST_PLATE_MM)
    if list(lengths) != sorted(set(lengths)):
        raise table.mistake(key, "must grow: the template's own size first, then each larger stock size once")
    return lengths


def _text_field(table: TomlTable) -> TextField:
    heights = table.lengths_mm("heights", _LEAST_TEXT_MM, _MOST_TEXT_MM)
    if list(heights) != sorted(set(heights), reverse=True):
        raise table.mistake("heights", "must fall: the template's own height first, then each smaller one once")
    field = TextField(
        role=table.choice("role", Role),
        heights_mm=heights,
        max_lines=table.count("max_lines", 1, 1, _MOST_LINES),
        clear_above_mm=table.length_mm("clear_above", 0.0, 4 * MM_PER_INCH, "1/2 in"),
        sample=table.text("sample", ""),
    )
    table.refuse_rest()
    return field


def _pictogram(table: TomlTable | None, drawings: tuple[PictogramDrawing, ...]) -> PictogramField | None:
    if table is None:
        return None
    height = table.length_mm("field_height", _LEAST_FIELD_MM, _MOST_PLATE_MM)
    field = PictogramField(
        width_mm=table.length_mm("field_width", 2 * MM_PER_INCH, _MOST_PLATE_MM),
        height_mm=height,
        drawing_mm=table.length_mm("drawing_height", 2 * MM_PER_INCH, height),
        drawings=drawings,
    )
    table.refuse_rest()
    return field


def _window(table: TomlTable | None) -> WindowField | None:
    if table is None:
        return None
    field = WindowField(
        width_mm=table.length_mm("width", 0.0, _MOST_PLATE_MM, "0 in"),
        height_mm=table.length_mm("height", 0.25 * MM_PER_INCH, _MOST_PLATE_MM),
        place=table.choice("place", Place),
        clear_mm=table.length_mm("clear", 0.25 * MM_PER_INCH, _MOST_PLATE_MM, "3/8 in"),
    )
    table.refuse_rest()
    return field


def _border(table: TomlTable | None) -> BorderField | None:
    if table is None:
        return None
    field = BorderField(
        inset_mm=table.length_mm("inset", 0.0, 2 * MM_PER_INCH),
        line_mm=table.length_mm("line", 0.02 * MM_PER_INCH, MM_PER_INCH),
    )
    table.refuse_rest()
    return field


def _holes(table: TomlTable | None) -> HolesField | None:
    if table is None:
        return None
    field = HolesField(
        inset_mm=table.length_mm("inset", 0.1 * MM_PER_INCH, 4 * MM_PER_INCH),
        diameter_mm=table.length_mm("diameter", 0.05 * MM_PER_INCH, MM_PER_INCH),
    )
    table.refuse_rest()
    return field


def _check_whole(top: TomlTable, plate: TomlTable, template: Template) -> None:
    """What no single key can show."""
    roles = [field.role for field in template.texts]
    if len(set(roles)) != len(roles):
        raise top.mistake("text", "has two fields of one role; one field takes every message of its role")
    if template.texts and not template.braille_lines:
        raise top.mistake("braille", "is missing: raised text must be repeated in braille (ADA 703.2)")
    if 2 * template.margin_side_mm >= template.widths_mm[0]:
        raise plate.mistake("margin_side", "leaves no room between the margins of the smallest plate")
    if 2 * template.corner_radius_mm > min(template.widths_mm[0], template.heights_mm[0]):
        raise plate.mistake("corner_radius", "is more than half of the smallest plate")
    if template.pictogram and template.pictogram.width_mm > template.widths_mm[0]:
        raise top.mistake("pictogram", f"field is wider than the smallest plate of {template.widths_mm[0] / 25.4:g} in")
