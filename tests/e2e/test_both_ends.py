"""The demo under the oldest libraries the ranges admit and under those of this environment: what is cut is the same.

`.ci/run` names the other environment's command in OTHER_END.
"""

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

OTHER = os.environ.get("OTHER_END", "")
# openpyxl writes its own version there.
PROGRAM_NAME = "docProps/app.xml"


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    if not OTHER:
        pytest.skip("no second environment: OTHER_END is not set")
    here = shutil.which("schedule2sign", path=str(Path(sys.executable).parent))
    assert here
    outs = []
    for place, command in (("here", here), ("other", OTHER)):
        folder = tmp_path_factory.mktemp(place)
        done = subprocess.run(
            [command, "demo", "out", "--quiet"], cwd=folder, capture_output=True, text=True, timeout=300, check=False
        )
        assert (done.returncode, done.stderr) == (1, "")
        outs.append(folder / "out")
    return outs[0], outs[1]


def content(path: Path) -> object:
    """What must agree: all bytes; of a workbook its parts."""
    if path.suffix == ".xlsx":
        with zipfile.ZipFile(path) as archive:
            return {name: archive.read(name) for name in archive.namelist() if name != PROGRAM_NAME}
    return path.read_bytes()


def test_both_ends_write_the_same(folders: tuple[Path, Path]) -> None:
    here, other = folders
    names = sorted(path.relative_to(here) for path in here.rglob("*") if path.is_file())
    assert names == sorted(path.relative_to(other) for path in other.rglob("*") if path.is_file())
    assert {".dxf", ".svg", ".csv", ".xlsx", ".html", ".json", ".pdf", ".txt"} <= {name.suffix for name in names}
    # SHA256SUMS lists the workbooks as well; what is kept for a rebuild knows the libraries it was made with.
    apart = [str(name) for name in names if content(here / name) != content(other / name)]
    kept = [str(name) for name in names if name.parts[0] == "rebuild"]
    assert sorted({*apart, "SHA256SUMS"}) == sorted({*kept, "SHA256SUMS"})
