"""One released sign as its DXF says it, in readable text, against fixtures/golden/written-sign.txt.

After a change that is meant: `python tests/golden/test_written_sign.py` writes the text anew; read the difference.
"""

import importlib.util
import io
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from types import ModuleType

import ezdxf
import ezdxf.bbox
import pytest

from schedule2sign.writers.sign_dxf import SignDxf

GOLDEN = Path(__file__).resolve().parents[2] / "fixtures" / "golden" / "written-sign.txt"


def load_sample() -> ModuleType:
    spec = importlib.util.spec_from_file_location("sample_job", Path(__file__).with_name("sample_job.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def write_dxf() -> str:
    """The restroom sign: every layer in use."""
    files = {file.path: file.data for file in SignDxf().render(load_sample().sample_job())}
    return files["signs/HH-01-102-C.dxf"].decode("ascii")


def tell(dxf: str) -> str:
    """Comments, then each entity on a line: layer, corners, box and turn of a path; center and diameter of a circle."""
    document = ezdxf.read(io.StringIO(dxf, newline=None))
    lines = re.findall(r"^999\r?\n(.*?)\r?$", dxf, re.MULTILINE)
    lines += ["", f"units {document.header['$INSUNITS']}, extents {_pair(document.header['$EXTMAX'])}", ""]
    for entity in document.modelspace():
        layer = f"{entity.dxf.layer:<15}"
        if entity.dxftype() == "CIRCLE":
            lines.append(f"{layer} circle {_pair(entity.dxf.center)} diameter {2 * entity.dxf.radius:.4f}")
            continue
        box = ezdxf.bbox.extents([entity])
        points = list(entity)
        area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, [*points[1:], points[0]], strict=True))
        turn = "outer" if area > 0 else "inner"
        arcs = sum(bool(point[4]) for point in points)
        closed = "closed" if entity.closed else "OPEN"
        lines.append(
            f"{layer} {closed} {turn} {len(points)} corners {arcs} arcs {_pair(box.extmin)} to {_pair(box.extmax)}"
        )
    return "\n".join(lines) + "\n"


def _pair(point: Sequence[float]) -> str:
    # + 0.0 turns -0.0 into 0.0
    return f"({round(point[0], 4) + 0.0:.4f}, {round(point[1], 4) + 0.0:.4f})"


def test_the_written_sign_is_the_golden_one() -> None:
    assert tell(write_dxf()) == GOLDEN.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "damage",
    [
        lambda text: text.replace("diameter 0.0610", "diameter 0.0620", 1),
        lambda text: re.sub(r"^BRAILLE_DRILL.*\n", "", text, count=1, flags=re.MULTILINE),
        lambda text: text.replace("closed inner", "closed outer", 1),
        lambda text: text.replace("units 1,", "units 4,"),
    ],
    ids=["dot size", "lost dot", "counter", "units"],
)
def test_a_damaged_golden_fails(damage: Callable[[str], str]) -> None:
    golden = GOLDEN.read_text(encoding="utf-8")
    assert damage(golden) != golden
    assert tell(write_dxf()) != damage(golden)


@pytest.mark.parametrize(
    "damage",
    [
        lambda dxf: dxf.replace("0.030500", "0.031000", 1),
        lambda dxf: dxf.replace("\r\n 70\r\n1\r\n 43", "\r\n 70\r\n0\r\n 43", 1),
        lambda dxf: dxf.replace("PATH=EDGE", "PATH=CENTER"),
        lambda dxf: dxf.replace("  8\r\nFIXING_HOLES", "  8\r\nBRAILLE_DRILL", 1),
    ],
    ids=["one dot larger", "one path open", "path note", "hole on the drill layer"],
)
def test_a_damaged_drawing_is_seen(damage: Callable[[str], str]) -> None:
    dxf = write_dxf()
    assert damage(dxf) != dxf
    assert tell(damage(dxf)) != GOLDEN.read_text(encoding="utf-8")


if __name__ == "__main__":
    GOLDEN.write_text(tell(write_dxf()), encoding="utf-8")
