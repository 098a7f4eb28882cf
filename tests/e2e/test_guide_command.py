"""The guide command: what a user of the wheel can read and try."""

import subprocess
import sys
from pathlib import Path


def run(*arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-P", "-m", "schedule2sign", *arguments]
    return subprocess.run(command, cwd=cwd, capture_output=True, text=True, check=False, timeout=60)


def test_every_page_is_listed_and_printed(tmp_path: Path) -> None:
    listed = run("guide", cwd=tmp_path)
    assert listed.returncode == 0
    names = [line.split()[0] for line in listed.stdout.splitlines()[:-1]]
    assert {"production-lead", "designer", "checker"} <= set(names)
    for name in names:
        page = run("guide", name, cwd=tmp_path)
        assert page.returncode == 0
        assert page.stdout.startswith("# ")
        assert page.stdout.splitlines()[0].removeprefix("# ") in listed.stdout


def test_the_copy_holds_a_schedule_to_try(tmp_path: Path) -> None:
    assert run("guide", "--copy", "try", cwd=tmp_path).returncode == 0
    assert (
        run("read", "try/alder-point-doors.xlsx", "--job", "try/alder-point.toml", cwd=tmp_path).returncode == 1
    )  # some rows ask
    again = run("guide", "--copy", "try", cwd=tmp_path)
    assert again.returncode == 2
    assert "not empty" in again.stderr


def test_an_unknown_page_is_named(tmp_path: Path) -> None:
    done = run("guide", "nothing", cwd=tmp_path)
    assert done.returncode == 2
    assert "production-lead" in done.stderr
