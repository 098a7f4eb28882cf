"""What the help must not wait for: libraries that only a job needs."""

import subprocess
import sys

HEAVY = (
    "numpy",
    "shapely",
    "ezdxf",
    "openpyxl",
    "fontTools",
    "svgwrite",
    "rectpack",
    "multiprocessing.pool",
)


def test_help_loads_no_heavy_library() -> None:
    program = (
        "import sys\nfrom schedule2sign.cli.main import main\n"
        "try:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        "print(*sys.modules, file=sys.stderr)"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    loaded = set(run.stderr.split())
    assert "schedule2sign.cli.jobs" in loaded
    assert loaded.isdisjoint(HEAVY)
