"""Drawing files read by units and format: what they say in inches, millimeters or pixels is one drawing."""

import io
import math

import ezdxf
import pytest

from schedule2sign.verification.agreement import compare_drawings
from schedule2sign.verification.drawing import UnreadableError
from schedule2sign.verification.dxffile import read_dxf
from schedule2sign.verification.record import RecordError, read_record
from schedule2sign.verification.svgfile import read_svg
from schedule2sign.verification.unmeasured import load_unmeasured


def svg(width: str, height: str, box: str, unit: float, body: str = "") -> bytes:
    """A 4 x 2 in plate with a 1/4 in round corner bottom right, one dot and the inch square; `unit` = units an inch."""
    u = unit
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="{box}"><title>A</title>'
        f'<g id="PLATE_EDGE"><path d="M0 {2 * u}L{3.75 * u} {2 * u}A{0.25 * u} {0.25 * u} 0 0 0 {4 * u} {1.75 * u}'
        f'L{4 * u} 0L0 0Z"/></g><g id="REF"><path d="M{5 * u} {2 * u}h{u}v{-u}H{5 * u}z"/></g>'
        f'<g id="BRAILLE_DRILL"><circle cx="{u}" cy="{1.5 * u}" r="{0.03 * u}"/></g>{body}</svg>'
    ).encode()


INCHES = svg("4in", "2in", "0 0 4 2", 1)


def dxf(units: int, unit: float) -> bytes:
    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = units
    space = document.modelspace()
    u = unit
    for layer in ("PLATE_EDGE", "REF", "BRAILLE_DRILL"):
        document.layers.add(layer)
    bulge = math.tan(math.pi / 8)  # a quarter turn, DXF reference, LWPOLYLINE
    plate = [(0, 0, 0), (3.75 * u, 0, bulge), (4 * u, 0.25 * u, 0), (4 * u, 2 * u, 0), (0, 2 * u, 0)]
    space.add_lwpolyline(plate, format="xyb", close=True, dxfattribs={"layer": "PLATE_EDGE"})
    square = [(5 * u, 0), (6 * u, 0), (6 * u, u), (5 * u, u)]
    space.add_lwpolyline(square, close=True, dxfattribs={"layer": "REF"})
    space.add_circle((u, 0.5 * u), 0.03 * u, dxfattribs={"layer": "BRAILLE_DRILL"})
    stream = io.StringIO()
    document.write(stream)
    return f"999\nSIGN A, revision 0, quantity 1\n{stream.getvalue()}".encode()


@pytest.mark.parametrize(
    "other",
    [
        svg("101.6mm", "50.8mm", "0 0 101.6 50.8", 25.4),
        svg("10.16cm", "5.08cm", "0,0,4,2", 1),
        svg("384px", "192px", "0 0 384 192", 96),  # CSS Values 3, 6.2: 96 px an inch
        svg("288pt", "144pt", "0 0 400 200", 100),
    ],
)
def test_an_svg_is_as_large_as_its_units_say(other: bytes) -> None:
    assert list(compare_drawings(read_svg("a.svg", INCHES), read_svg("b.svg", other), "A")) == []


@pytest.mark.parametrize(("units", "unit"), [(1, 1.0), (4, 25.4), (5, 2.54)])
def test_a_dxf_is_as_large_as_its_units_say(units: int, unit: float) -> None:
    drawing = read_dxf("a.dxf", dxf(units, unit))
    assert drawing.title == "A"
    assert list(compare_drawings(drawing, read_svg("a.svg", INCHES), "A")) == []


@pytest.mark.parametrize("off_in", [0.0003, 0.0005])
def test_a_hundredth_of_a_millimeter_is_the_limit(off_in: float) -> None:
    other = INCHES.replace(b'cx="1"', f'cx="{1 + off_in}"'.encode())
    found = list(compare_drawings(read_svg("a.svg", INCHES), read_svg("b.svg", other), "A"))
    assert bool(found) is (off_in * 25.4 > 0.01)
    assert all(each.sign_id == "A" and each.file == "b.svg" and "BRAILLE_DRILL" in each.message for each in found)


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        (b'width="4in"', b'width="4"', "real size"),
        (b'width="4in"', b'width="100%"', "real size"),
        (b'width="4in"', b'width="5in"', "differently"),
        (b'viewBox="0 0 4 2"', b"", "real size"),
        (b"<svg", b"<!DOCTYPE x><svg", "document type"),
        (b"L4 0L0 0Z", b"L4 0L0 0", "open path"),
        (b"L4 0L0 0Z", b"L4 0L0 zero 0Z", "path data"),
        (b"<circle", b'<circle transform="scale(2)"', "transform"),
        (b"<circle", b"<ellipse", "ellipse"),
        (b'id="BRAILLE_DRILL"', b'id="OTHER"', "'OTHER'"),
        (b'r="0.03"', b'r="0"', "no size"),
        (b'cx="1"', b'cx="inf"', "no size or no place"),
    ],
)
def test_an_svg_that_cannot_be_trusted_is_refused(old: bytes, new: bytes, named: str) -> None:
    assert old in INCHES
    with pytest.raises(UnreadableError, match=named):
        read_svg("a.svg", INCHES.replace(old, new))


def test_no_entity_is_ever_expanded() -> None:
    bomb = b'<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;">]>' + INCHES.replace(
        b"<title>A", b"<title>&b;"
    )
    with pytest.raises(UnreadableError, match="document type"):
        read_svg("a.svg", bomb)
    with pytest.raises(UnreadableError, match="XML"):
        read_svg("a.svg", INCHES.replace(b"<title>A", b"<title>&b;"))


@pytest.mark.parametrize("units", [0, 2, 6])
def test_a_dxf_without_known_units_is_refused(units: int) -> None:
    with pytest.raises(UnreadableError, match="INSUNITS"):
        read_dxf("a.dxf", dxf(units, 1.0))


@pytest.mark.parametrize("data", [b"", b"0\nEOF\n", b"PK\x03\x04 0\nEOF\n", b"  0\nSECTION\n  2\nENTITIES\n  0\nEOF\n"])
def test_what_is_no_dxf_is_refused(data: bytes) -> None:
    with pytest.raises(UnreadableError):
        read_dxf("a.dxf", data)


@pytest.mark.parametrize("data", [b"", b"[]", b"{}", b"\xff", b'{"tool": {"name": "schedule2sign"}}', b'{"tool": 5}'])
def test_a_record_that_cannot_be_used_is_told(data: bytes) -> None:
    with pytest.raises(RecordError):
        read_record(data)


def test_only_rules_that_exist_are_called_not_measurable() -> None:
    from schedule2sign.rules.registry import BY_ID

    assert set(load_unmeasured(font=False)) <= set(BY_ID)
    assert set(load_unmeasured(font=True)) < set(load_unmeasured(font=False))
