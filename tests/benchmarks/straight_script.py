"""The yardstick: what a shop would script in an afternoon with the same libraries. No rules, no flags, no list.

Reads a workbook (openpyxl), translates each name (louis), outlines its letters (ezdxf's text2path), writes a DXF (ezdxf)
and an SVG (svgwrite) a sign. Every sign is the same plate; nothing is measured, spaced, checked, broken or held.
"""

import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

PLATE_IN = (8.0, 8.0)
LETTER_IN = 0.625
DOT_PITCH_IN, CELL_PITCH_IN, DOT_IN = 0.092, 0.245, 0.063
TABLES = ["unicode.dis", "en-ueb-g2.ctb"]
FONT = "RobotoCondensed-Regular.ttf"


def make_signs(schedule: Path, out: Path, fonts: Path, louis: Any) -> int:
    """Make a DXF and an SVG of every row; returns how many signs were made."""
    from ezdxf.fonts import fonts as font_cache

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the folder's other fonts may be of kinds the cache does not know
        font_cache.font_manager.scan_folder(fonts)
    out.mkdir(parents=True)
    count = 0
    for number, name in read_rooms(schedule):
        cells = louis.translateString(TABLES, name.lower())
        shapes = [*letters(number, 6.5), *letters(name, 4.5)]
        dots = list(braille(cells, 1.0, 2.0))
        (out / f"{number}.dxf").write_bytes(as_dxf(shapes, dots))
        (out / f"{number}.svg").write_text(as_svg(shapes, dots), encoding="utf-8")
        count += 1
    return count


def read_rooms(schedule: Path) -> Iterator[tuple[str, str]]:
    """Room number and name of every row under a header row."""
    from openpyxl import load_workbook

    rows = load_workbook(schedule, read_only=True).active.iter_rows(min_row=2, values_only=True)
    for _door, number, name, *_ in rows:
        yield str(number), str(name).upper()


def letters(text: str, baseline_in: float) -> list[list[tuple[float, float]]]:
    """Closed polylines of a text, its baseline at this height."""
    from ezdxf.addons import text2path
    from ezdxf.fonts.fonts import FontFace

    paths = text2path.make_paths_from_str(text, FontFace(filename=FONT, family="Roboto Condensed"), size=LETTER_IN)
    return [
        [(point.x + 1.0, point.y + baseline_in) for point in part.flattening(0.0005)]
        for path in paths
        for part in path.sub_paths()
    ]


def braille(cells: str, left_in: float, top_in: float) -> Iterator[tuple[float, float]]:
    """Centers of the dots of one line."""
    for place, cell in enumerate(cells):
        for dot in range(6):
            if (ord(cell) - 0x2800) >> dot & 1:
                yield left_in + place * CELL_PITCH_IN + dot // 3 * DOT_PITCH_IN, top_in - dot % 3 * DOT_PITCH_IN


def as_dxf(shapes: list[list[tuple[float, float]]], dots: list[tuple[float, float]]) -> bytes:
    """A drawing in inches with a layer for the plate, the letters and the holes."""
    import io

    import ezdxf

    document = ezdxf.new("R2000", units=1)
    for layer in ("PLATE", "LETTERS", "BRAILLE"):
        document.layers.add(layer)
    space = document.modelspace()
    width, height = PLATE_IN
    edge = [(0, 0), (width, 0), (width, height), (0, height)]
    space.add_lwpolyline(edge, close=True, dxfattribs={"layer": "PLATE"})
    for shape in shapes:
        space.add_lwpolyline(shape, close=True, dxfattribs={"layer": "LETTERS"})
    for dot in dots:
        space.add_circle(dot, DOT_IN / 2, dxfattribs={"layer": "BRAILLE"})
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


def as_svg(shapes: list[list[tuple[float, float]]], dots: list[tuple[float, float]]) -> str:
    """The same as a picture."""
    import svgwrite

    width, height = PLATE_IN
    picture: Any = svgwrite.Drawing(size=(f"{width}in", f"{height}in"), viewBox=f"0 0 {width} {height}")
    picture.add(picture.rect((0, 0), PLATE_IN, fill="#404a54"))
    data = "".join("M" + "L".join(f"{x:.4f} {height - y:.4f}" for x, y in shape) + "Z" for shape in shapes)
    picture.add(picture.path(d=data, fill="white", fill_rule="evenodd"))
    for x, y in dots:
        picture.add(picture.circle((round(x, 4), round(height - y, 4)), DOT_IN / 2, fill="white"))
    return str(picture.tostring())
