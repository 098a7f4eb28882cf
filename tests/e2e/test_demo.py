"""The demo, end to end: its account, its files read back by others, and its golden summary."""

import json
import re
import subprocess
import sys
from math import dist
from pathlib import Path

import ezdxf
import openpyxl
import pandas
import pytest

from schedule2sign.resources import demo_folder

GOLDEN = Path(__file__).resolve().parents[2] / "fixtures" / "golden" / "demo-summary.txt"
# Words a shop tool must not use (common practice, no source).
CLAIMS = re.compile(rb"\b(compliant|certified|guaranteed|code[- ]approved)\b", re.IGNORECASE)
INCH_MM = 25.4


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, subprocess.CompletedProcess[str]]:
    folder = tmp_path_factory.mktemp("demo")
    result = subprocess.run(
        [sys.executable, "-P", "-m", "schedule2sign", "demo"], cwd=folder, capture_output=True, text=True, timeout=300
    )
    return folder / "schedule2sign-demo", result


@pytest.fixture(scope="module")
def manifest(demo: tuple[Path, subprocess.CompletedProcess[str]]) -> dict:
    return json.loads((demo[0] / "manifest.json").read_text(encoding="utf-8"))


def test_the_summary_fits_one_screen_and_is_the_golden_one(demo: tuple[Path, subprocess.CompletedProcess[str]]) -> None:
    _, result = demo
    assert result.returncode == 1, result.stderr
    assert len(result.stdout.splitlines()) <= 24
    assert result.stdout == GOLDEN.read_text(encoding="utf-8")


def test_every_row_of_the_workbook_is_accounted_for(manifest: dict) -> None:
    sheet = openpyxl.load_workbook(demo_folder() / "alder-point-doors.xlsx").active
    account = manifest["accounting"]
    assert account["rows_read"] == sheet.max_row == sum(account["rows_by_kind"].values())
    assert account["data_rows"] == account["rows_by_kind"]["data"] == sum(account["outcomes"].values())
    assert account["signs_listed"] == len(manifest["signs"]) == account["signs_released"] + account["signs_held"]
    # Counted independently: rows whose first cell looks like a door mark, less the struck and the hidden one.
    marks = [row[0].value for row in sheet.iter_rows() if re.fullmatch(r"\d{3}[AB]?", str(row[0].value or ""))]
    assert account["data_rows"] == len(marks) - 2
    assert len(marks) >= 120 - 2


def test_every_drawing_passes_audit_and_its_circles_read_as_the_manifest_says(
    demo: tuple[Path, subprocess.CompletedProcess[str]], manifest: dict
) -> None:
    folder, _ = demo
    released = [sign for sign in manifest["signs"] if sign["status"] == "released"]
    assert released
    assert {path.stem for path in (folder / "signs").iterdir()} == {sign["id"] for sign in released}
    for sign in released:
        document = ezdxf.readfile(folder / "signs" / f"{sign['id']}.dxf")
        assert document.header["$INSUNITS"] == 1
        assert not document.audit().has_errors
        circles = [
            (circle.dxf.center.x * INCH_MM, circle.dxf.center.y * INCH_MM)
            for circle in document.modelspace().query('CIRCLE[layer=="BRAILLE_DRILL"]')
        ]
        expected = _from_corner(_expected_centers(sign["braille"], manifest))
        drilled = _from_corner(circles)
        assert len(drilled) == len(expected)
        for center in expected:
            assert min(dist(center, other) for other in drilled) < 0.005, (sign["id"], center)
        for path in document.modelspace().query('LWPOLYLINE[layer=="RAISED_OUTLINE"]'):
            assert path.closed


def _expected_centers(lines: list[dict], manifest: dict) -> list[tuple[float, float]]:
    """Dot centers from the cells by the standard's own pitches (ADA 2010 Table 703.3.1, middle of each range)."""
    size = manifest["standard"]["cell_size"]
    centers = []
    widest = max(len(line["cells"]) for line in lines)
    for index, line in enumerate(lines):
        # Lines are centered over full cells.
        left = (widest - len(line["cells"])) * size["cell_pitch_mm"] / 2
        for place, cell in enumerate(line["cells"]):
            for number in range(6):
                if (ord(cell) - 0x2800) >> number & 1:
                    centers.append(  # noqa: PERF401 - three loops read better than one expression
                        (
                            left + place * size["cell_pitch_mm"] + (number // 3) * size["dot_pitch_mm"],
                            -index * size["line_pitch_mm"] - (number % 3) * size["dot_pitch_mm"],
                        )
                    )
    return centers


def _from_corner(centers: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Centers from the leftmost and topmost dot, in mm: where on the plate the block stands is no matter here."""
    left, top = min(x for x, _ in centers), max(y for _, y in centers)
    return [(x - left, top - y) for x, y in centers]


def test_the_sign_list_read_by_another_library_names_the_same_signs(
    demo: tuple[Path, subprocess.CompletedProcess[str]], manifest: dict
) -> None:
    table = pandas.read_excel(demo[0] / "sign-list.xlsx", sheet_name=0, dtype=str, engine="calamine")
    ids = {sign["id"]: sign["status"] for sign in manifest["signs"]}
    column = next(name for name in table.columns if set(table[name].dropna()) == set(ids))
    assert len(table[column]) == len(ids)


def test_nothing_written_claims_what_a_program_cannot_know(
    demo: tuple[Path, subprocess.CompletedProcess[str]],
) -> None:
    for path in sorted(demo[0].rglob("*")):
        if path.suffix in {".txt", ".csv", ".json", ".svg", ".dxf"}:
            assert not CLAIMS.search(path.read_bytes()), path.name
