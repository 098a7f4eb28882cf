"""The benchmark runs and its yardstick makes real files; how fast they are made is not tested here."""

import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def straight(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("straight")
    program = (
        "import sys; from pathlib import Path; import measure, straight_script\n"
        "from schedule2sign.braille.engine import load_bindings\n"
        "folder = Path(sys.argv[1]); measure.write_schedule(folder / 'doors.xlsx', 3)\n"
        "straight_script.make_signs(folder / 'doors.xlsx', folder / 'out', measure.FONTS, load_bindings())\n"
    )
    subprocess.run([sys.executable, "-c", program, str(folder)], cwd=HERE, check=True)
    return folder / "out"


def test_the_yardstick_draws_letters_and_braille(straight: Path) -> None:
    assert sorted(path.suffix for path in straight.iterdir()) == [".dxf"] * 3 + [".svg"] * 3
    for path in straight.glob("*.dxf"):
        space = ezdxf.readfile(path).modelspace()
        # At least the three figures of the room number; and the number sign alone has four dots.
        assert len(space.query('LWPOLYLINE[layer=="LETTERS"]')) > 3
        assert len(space.query('CIRCLE[layer=="BRAILLE"]')) > 4


def test_the_benchmark_runs() -> None:
    run = subprocess.run(
        [sys.executable, str(HERE / "measure.py"), "20", "--workers", "1"], capture_output=True, text=True, check=True
    )
    head, *rows, ours, workers = run.stdout.splitlines()
    assert head.split("\t")[1:] == ["signs", "CPU s", "ms a sign", "signs/s", "times the script"]
    assert [row.split("\t")[0] for row in rows] == [
        "straight script",
        "schedule2sign, signs, list, flags, 1 worker",
        "schedule2sign, complete, 1 worker",
        "schedule2sign, next issue with 1 % changed, 1 worker",
        "schedule2sign, over it with 1 % changed, 1 worker",
    ]
    assert all(int(row.split("\t")[1]) >= 18 and float(row.split("\t")[4]) > 0 for row in rows)
    assert ours.startswith("peak memory of this process: ")
    assert workers.startswith("peak memory of its largest worker: ")
