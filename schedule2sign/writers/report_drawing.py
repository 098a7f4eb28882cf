"""Drawings of the report page: a plate without its text is shared by many signs, and so are outlines of letters."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from schedule2sign.model.shape import Box, Build, Hole, Outline, Ring, SignLayout
from schedule2sign.writers.colors import find_colors, mix
from schedule2sign.writers.pagejson import page_json
from schedule2sign.writers.report_shared import Shared, with_names

_PLACES = 2  # decimals of a millimetre; a screen shows no finer, and the drawings in signs/ are exact


@dataclass(frozen=True, slots=True)
class _Plate:
    """What is drawn of a sign beside letters and dots, and how wide a dot is."""

    width_mm: float
    height_mm: float
    corner_radius_mm: float
    outline: Ring
    border: tuple[Ring, ...]
    pictogram: tuple[Ring, ...]
    window: Box | None
    holes: tuple[Hole, ...]
    dot_mm: float
    build: Build


def describe_plate(layout: SignLayout, shared: Shared) -> str:
    """The name of the plate: size, paths of edge, border, pictogram and openings, width of a dot, colors."""
    plate = _Plate(
        width_mm=layout.width_mm,
        height_mm=layout.height_mm,
        corner_radius_mm=layout.corner_radius_mm,
        outline=layout.outline,
        border=layout.border,
        pictogram=layout.pictogram.rings if layout.pictogram else (),
        window=layout.window,
        holes=layout.holes,
        dot_mm=layout.cell_size.base_mm,
        build=layout.build,
    )
    return shared.name(_plate_text, plate)


def describe_letters(layout: SignLayout, shared: Shared) -> tuple[list[str], str]:
    """Names of the outlines, each once; and of each baseline its y, then number of the outline and x of every letter."""
    height = layout.height_mm
    numbers: dict[str, str] = {}
    baselines: dict[str, list[str]] = {}
    glyphs = [glyph for line in layout.lines for glyph in line.glyphs]
    glyphs += [glyph for line in layout.visual for glyph in line.glyphs]
    for glyph in glyphs:
        name, y = shared.name(_outline_text, glyph.outline), _n(height - glyph.baseline_mm)
        number = numbers.get(name) or numbers.setdefault(name, str(len(numbers)))
        (baselines.get(y) or baselines.setdefault(y, [y])).append(f"{number},{_n(glyph.x_mm)}")
    return list(numbers), _arrays(baselines.values())


def describe_dots(layout: SignLayout) -> str:
    """Of each row of dots its y, then every x."""
    height = layout.height_mm
    rows: dict[str, list[str]] = {}
    for dot in layout.dots:
        y = _n(height - dot.y_mm)
        (rows.get(y) or rows.setdefault(y, [y])).append(_n(dot.x_mm))
    return _arrays(rows.values())


def _arrays(rows: Iterable[Iterable[str]]) -> str:
    return f"[{','.join(['[' + ','.join(row) + ']' for row in rows])}]"


def _outline_text(outline: Outline) -> str:
    return with_names((), page_json(_rings_path(outline.rings, 0.0)))


def _plate_text(plate: _Plate) -> str:
    height = plate.height_mm
    base, letter, _ = find_colors(plate.build)
    paths = (
        _edge_path(plate),
        _rings_path(plate.border, height),
        _rings_path(plate.pictogram, height),
        _openings_path(plate),
    )
    colors = (base, letter, mix(base, "#ffffff", 0.55))
    return with_names((), _n(plate.width_mm), _n(height), *map(page_json, paths), _n(plate.dot_mm), page_json(colors))


def _edge_path(plate: _Plate) -> str:
    if plate.outline:
        return _rings_path((plate.outline,), plate.height_mm)
    width, height, radius = plate.width_mm, plate.height_mm, plate.corner_radius_mm
    arc = f"a{_n(radius)} {_n(radius)} 0 0 1 "
    across, down, r = _n(width - 2 * radius), _n(height - 2 * radius), _n(radius)
    return (
        f"M{r} 0h{across}{arc}{r} {r}v{down}{arc}-{r} {r}h-{across}{arc}-{r} -{r}v-{down}{arc}{r} -{r}z"
        if radius
        else f"M0 0h{_n(width)}v{_n(height)}h-{_n(width)}z"
    )


def _openings_path(plate: _Plate) -> str:
    """Window and fixing holes."""
    paths = []
    if plate.window is not None:
        box = plate.window
        left, top = _n(box.left_mm), _n(plate.height_mm - box.top_mm)
        paths.append(f"M{left} {top}h{_n(box.width_mm)}v{_n(box.height_mm)}h-{_n(box.width_mm)}z")
    for hole in plate.holes:
        r, d = _n(hole.diameter_mm / 2), _n(hole.diameter_mm)
        arc = f"a{r} {r} 0 1 1 "
        left, middle = _n(hole.x_mm - hole.diameter_mm / 2), _n(plate.height_mm - hole.y_mm)
        paths.append(f"M{left} {middle}{arc}{d} 0{arc}-{d} 0z")
    return "".join(paths)


def _rings_path(rings: Iterable[Ring], height: float) -> str:
    """Path data with y down, from `height` at the top."""
    return "".join("M" + "L".join(f"{_n(x)} {_n(height - y)}" for x, y in ring) + "z" for ring in rings)


@lru_cache(maxsize=4096)  # dots and letters of many signs stand on few lines
def _n(value: float) -> str:
    text = f"{value:.{_PLACES}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
