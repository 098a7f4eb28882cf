"""The text around the entities of a drawing: the reference is ezdxf, which writes the whole of it for the same layers."""

import io
import re

import ezdxf
import numpy
import pytest

from schedule2sign.writers.cut_drawing import RAISED_CUT, layers_of
from schedule2sign.writers.drawing import LAYERS, Circles, Shape
from schedule2sign.writers.dxf import Layers, render_dxf

SQUARE = Shape("A", (numpy.array([(0, 0), (8_250_000, 0), (8_250_000, 4_500_000), (0, 4_500_000)]),))
HOLES = Circles("B", numpy.array([(1_000_000, 2_000_000), (3_000_000, 2_000_000)]), 0.03)
ENTITIES = re.compile(r"(?<=  2\r\nENTITIES\r\n).*?(?=  0\r\nENDSEC\r\n)", re.DOTALL)


def ezdxf_text(layers: Layers, width: float, height: float) -> str:
    """An empty drawing of this size as the library writes it, with fixed dates."""
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        document = ezdxf.new("R2000", units=1)  # $INSUNITS 1: inches
        document.header["$MEASUREMENT"] = 0
        document.header["$LUNITS"] = 2
        document.header["$LUPREC"] = 5
        for layer, color in layers:
            document.layers.add(layer, color=color)
        space = document.modelspace()
        space.reset_extents((0, 0, 0), (width, height, 0))
        space.reset_limits((0, 0), (width, height))
        document.header["$EXTMIN"], document.header["$EXTMAX"] = (0, 0, 0), (width, height, 0)
        # Else a reader that prints takes the default sheet of 420 x 297 for inches.
        document.paperspace().reset_limits((0, 0), (width, height))
        stream = io.StringIO()
        document.write(stream)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = False
    return stream.getvalue().replace("\n", "\r\n")


@pytest.mark.parametrize(
    "layers", [(), layers_of(LAYERS), layers_of((*LAYERS, RAISED_CUT)), tuple((f"L{n}", n + 1) for n in range(30))]
)
def test_the_text_around_the_entities_is_what_the_library_writes(layers: Layers) -> None:
    text = render_dxf(layers, (), (SQUARE,), (HOLES,)).decode("ascii")
    library = ezdxf_text(layers, 8.25, 4.5)
    # Our three entities take the handles that are free in the library's drawing, and the next one is free in ours.
    (free,) = re.findall(r"\$HANDSEED\r\n  5\r\n(\w+)\r\n", library)
    assert re.findall(r"  0\r\n(?:LWPOLYLINE|CIRCLE)\r\n  5\r\n(\w+)\r\n", text) == [
        f"{int(free, 16) + number:X}" for number in range(3)
    ]
    library = library.replace(f"$HANDSEED\r\n  5\r\n{free}\r\n", f"$HANDSEED\r\n  5\r\n{int(free, 16) + 3:X}\r\n")
    around = re.sub(r"(?<=\n)(8\.25|4\.5)0+(?=\r)", r"\1", ENTITIES.sub("", text))
    assert around.split("\r\n") == library.split("\r\n")


def test_entities_belong_to_the_model_space_and_their_layers() -> None:
    layers = (("A", 1), ("B", 2))
    document = ezdxf.read(
        io.StringIO(render_dxf(layers, ("said",), (SQUARE,), (HOLES,)).decode("ascii").replace("\r", ""))
    )
    assert not document.audit().has_issues
    found = [(entity.dxftype(), entity.dxf.layer, entity.dxf.owner) for entity in document.modelspace()]
    key = document.modelspace().layout_key
    assert found == [("LWPOLYLINE", "A", key), ("CIRCLE", "B", key), ("CIRCLE", "B", key)]
    assert [(layer.dxf.name, layer.dxf.color) for layer in document.layers][2:] == list(layers)
