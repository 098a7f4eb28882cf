"""The tables of a template file that describe one field each."""

from schedule2sign.layout.fields import (
    BorderField,
    Colors,
    Fixing,
    FixingField,
    LaidField,
    PictogramDrawing,
    PictogramField,
    Place,
    RuleField,
    SpacerField,
    StarField,
    TextField,
    VisualField,
    WindowField,
)
from schedule2sign.layout.tomltable import TomlTable
from schedule2sign.model.measure import MM_PER_INCH
from schedule2sign.model.sign import Role

MOST_PLATE_MM = 48 * MM_PER_INCH
MOST_LINES = 6
_LEAST_TEXT_MM, _MOST_TEXT_MM = 0.625 * MM_PER_INCH, 2 * MM_PER_INCH  # ADA 703.2.5
_LEAST_VISUAL_MM, _MOST_VISUAL_MM = 0.375 * MM_PER_INCH, 6 * MM_PER_INCH  # from the text of a printed insert up
_LEAST_FIELD_MM = 6 * MM_PER_INCH  # ADA 703.6.1
_LEAST_HOLE_INSET_MM, _LEAST_HOLE_MM = 0.1 * MM_PER_INCH, 0.05 * MM_PER_INCH


def read_text(table: TomlTable) -> TextField:
    """A [[text]] table."""
    field = TextField(
        role=table.choice("role", Role),
        heights_mm=_falling(table, _LEAST_TEXT_MM, _MOST_TEXT_MM),
        max_lines=table.count("max_lines", 1, 1, MOST_LINES),
        clear_above_mm=table.length_mm("clear_above", 0.0, 4 * MM_PER_INCH, "1/2 in"),
        sample=table.text("sample", ""),
        codes=table.texts("codes"),
    )
    table.refuse_rest()
    return field


def read_visual(table: TomlTable | None) -> VisualField | None:
    """The [visual] table."""
    if table is None:
        return None
    field = VisualField(
        heights_mm=_falling(table, _LEAST_VISUAL_MM, _MOST_VISUAL_MM),
        max_lines=table.count("max_lines", 3, 1, MOST_LINES),
        place=table.choice("place", Place, Place.BELOW),
        clear_mm=table.length_mm("clear", 0.25 * MM_PER_INCH, MOST_PLATE_MM, "1/2 in"),
        sample=table.text("sample", ""),
    )
    table.refuse_rest()
    return field


def read_pictogram(table: TomlTable | None, drawings: tuple[PictogramDrawing, ...]) -> PictogramField | None:
    """The [pictogram] table; `drawings` are those of the folder."""
    if table is None:
        return None
    height = table.length_mm("field_height", _LEAST_FIELD_MM, MOST_PLATE_MM)
    allowed = table.texts("drawings")
    known = {drawing.name: drawing for drawing in drawings}
    for name in allowed:
        if name not in known:
            raise table.mistake("drawings", f"names {name!r}; the pictograms are {', '.join(known) or 'none'}")
    field = PictogramField(
        width_mm=table.length_mm("field_width", 2 * MM_PER_INCH, MOST_PLATE_MM),
        height_mm=height,
        drawing_mm=table.length_mm("drawing_height", 2 * MM_PER_INCH, height),
        drawings=tuple(known[name] for name in allowed) or drawings,
    )
    table.refuse_rest()
    return field


def read_window(table: TomlTable | None) -> WindowField | None:
    """The [window] table."""
    if table is None:
        return None
    field = WindowField(
        width_mm=table.length_mm("width", 0.0, MOST_PLATE_MM, "0 in"),
        height_mm=table.length_mm("height", 0.25 * MM_PER_INCH, MOST_PLATE_MM),
        place=table.choice("place", Place),
        clear_mm=table.length_mm("clear", 0.25 * MM_PER_INCH, MOST_PLATE_MM, "3/8 in"),
    )
    table.refuse_rest()
    return field


def read_spacer(table: TomlTable) -> SpacerField:
    """A [[spacer]] table."""
    field = SpacerField(
        height_mm=table.length_mm("height", 0.0, MOST_PLATE_MM),
        place=table.choice("place", Place),
    )
    table.refuse_rest()
    return field


def read_rule(table: TomlTable | None) -> RuleField | None:
    """The [rule_line] table."""
    if table is None:
        return None
    field = RuleField(
        over=table.choice("over", Role),
        line_mm=table.length_mm("line", 0.02 * MM_PER_INCH, MM_PER_INCH),
        width_mm=table.length_mm("width", 0.0, MOST_PLATE_MM, "0 in"),
    )
    table.refuse_rest()
    return field


def read_star(table: TomlTable | None) -> StarField | None:
    """The [star] table."""
    if table is None:
        return None
    field = StarField(
        beside=table.choice("beside", Role),
        clear_mm=table.length_mm("clear", 0.375 * MM_PER_INCH, 4 * MM_PER_INCH, "7/16 in"),
    )
    table.refuse_rest()
    return field


def read_laid(table: TomlTable | None) -> LaidField | None:
    """The [laid_triangle] table."""
    if table is None:
        return None
    field = LaidField(edge_mm=table.length_mm("edge", 0.0, 2 * MM_PER_INCH))
    table.refuse_rest()
    return field


def read_border(table: TomlTable | None) -> BorderField | None:
    """The [border] table."""
    if table is None:
        return None
    field = BorderField(
        inset_mm=table.length_mm("inset", 0.0, 2 * MM_PER_INCH),
        line_mm=table.length_mm("line", 0.02 * MM_PER_INCH, MM_PER_INCH),
    )
    table.refuse_rest()
    return field


def read_fixing(table: TomlTable | None) -> FixingField:
    """The [fixing] table; a plate without one is taped."""
    if table is None:
        return FixingField(kind=Fixing.TAPE)
    kind = table.choice("kind", Fixing)
    field = FixingField(kind=kind)
    if kind is not Fixing.TAPE:
        diameter = table.length_mm("diameter", _LEAST_HOLE_MM, MM_PER_INCH)
        field = FixingField(
            kind=kind,
            inset_mm=table.length_mm("inset", _LEAST_HOLE_INSET_MM, 4 * MM_PER_INCH),
            diameter_mm=diameter,
            cap_mm=table.length_mm("cap", 0.0, 2 * MM_PER_INCH, "0 in"),
        )
    table.refuse_rest()
    return field


def read_colors(table: TomlTable | None) -> Colors:
    """The [colors] table."""
    if table is None:
        return Colors()
    colors = Colors(base=table.text("base", ""), letters=table.text("letters", ""))
    table.refuse_rest()
    return colors


def _falling(table: TomlTable, low_mm: float, high_mm: float) -> tuple[float, ...]:
    heights = table.lengths_mm("heights", low_mm, high_mm)
    if list(heights) != sorted(set(heights), reverse=True):
        raise table.mistake("heights", "must fall: the template's own height first, then each smaller one once")
    return heights
