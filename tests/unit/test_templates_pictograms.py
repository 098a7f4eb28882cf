"""The shipped pictograms: different drawings, each wide enough for a cutter, in a field kept free."""

from itertools import combinations
from pathlib import Path

import pytest
from shapely.geometry import Polygon

from schedule2sign.layout.pictogramfile import load_pictogram
from schedule2sign.layout.template import load_templates
from schedule2sign.lettering.strokes import thinnest_stroke
from schedule2sign.resources import templates_folder

INCH = 25.4
SHIPPED = sorted((templates_folder() / "pictograms").glob("*.svg"))
FAMILY = load_templates(templates_folder() / "signs")


def test_no_two_pictograms_are_the_same_drawing() -> None:
    drawings = {path.stem: path.read_bytes() for path in SHIPPED}
    assert {"men", "women", "all", "toilet"} <= set(drawings)
    for (one, first), (other, second) in combinations(sorted(drawings.items()), 2):
        assert first != second, f"{one} and {other}"


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_parts_and_slots_are_wider_than_a_small_cutters_cut(path: Path) -> None:
    """0.06 in is twice the cut of the shipped engraving process (common practice, no source)."""
    drawing = load_pictogram(path)
    shown = [
        t.pictogram for t in FAMILY.values() if t.pictogram and path.stem in {d.name for d in t.pictogram.drawings}
    ]
    assert shown, "no template shows this drawing"
    for field in shown:
        scale = min(field.drawing_mm / drawing.box.height_mm, field.width_mm / drawing.box.width_mm)
        parts = [Polygon(ring) for ring in drawing.rings]
        assert all(part.is_valid and part.exterior.is_ccw for part in parts)
        assert min(thinnest_stroke(part) for part in parts) * scale >= 0.06 * INCH
        assert min(a.distance(b) for a, b in combinations(parts, 2)) * scale >= 0.06 * INCH


@pytest.mark.parametrize("name", ["restroom", "all-gender"])
def test_the_field_is_six_inches_or_more_and_holds_the_drawing(name: str) -> None:
    field = FAMILY[name].pictogram
    assert field is not None
    assert field.height_mm >= 6 * INCH  # ADA 703.6.1
    for drawing in field.drawings:
        scale = min(field.drawing_mm / drawing.box.height_mm, field.width_mm / drawing.box.width_mm)
        assert drawing.box.height_mm * scale <= field.height_mm
        assert drawing.box.width_mm * scale <= field.width_mm + 1e-9
