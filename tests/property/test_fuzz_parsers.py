"""The parsers of files that somebody else made, fed by a coverage-guided fuzzer, from seeds and by what once broke them."""

import importlib.util
import os
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

PROGRAM = Path(__file__).with_name("fuzz_targets.py")
FIXTURES = PROGRAM.parents[2] / "fixtures" / "hostile"
SEEDS, CRASHES = FIXTURES / "seeds", FIXTURES / "crashes"
# Runs of one test, fixed, so that the same sources always see the same inputs.
RUNS = {"csv": 1_000, "workbook": 100, "job": 400, "template": 1_500, "waivers": 1_500}


@pytest.fixture(scope="module")
def targets() -> ModuleType:
    spec = importlib.util.spec_from_file_location("fuzz_targets", PROGRAM)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_every_target_has_seeds_and_a_number_of_runs(targets: ModuleType) -> None:
    assert set(targets.TARGETS) == set(RUNS) == {path.name for path in SEEDS.iterdir() if path.is_dir()}
    assert all(any((SEEDS / target).iterdir()) for target in RUNS)


@pytest.mark.parametrize("path", sorted(SEEDS.glob("*/*")), ids=lambda path: f"{path.parent.name}/{path.name}")
def test_a_seed_is_read_or_refused_in_words(targets: ModuleType, path: Path) -> None:
    targets.feed(path.parent.name, path.read_bytes())


@pytest.mark.parametrize("path", sorted(CRASHES.glob("*/*")), ids=lambda path: f"{path.parent.name}/{path.name}")
def test_what_once_broke_a_parser_no_longer_does(targets: ModuleType, path: Path) -> None:
    targets.feed(path.parent.name, path.read_bytes())


@pytest.mark.skipif(importlib.util.find_spec("atheris") is None, reason="atheris is not installed")
@pytest.mark.parametrize("target", RUNS)
def test_the_fuzzer_finds_nothing_in_a_fixed_number_of_runs(tmp_path: Path, target: str) -> None:
    words = SEEDS / ("toml.dict" if target in ("job", "template", "waivers") else "csv.dict")
    corpus = tmp_path / "corpus"
    corpus.mkdir()
    options = (
        f"-runs={RUNS[target]}",
        "-seed=1",
        "-timeout=20",
        "-rss_limit_mb=1024",
        f"-dict={words}",
        "-artifact_prefix=./",
    )
    # A child of a shell of its own: Linux hands a process that only execs the peak memory of the one it came from.
    shell = ("sh", "-c", '"$@"; exit $?', "sh")
    command = [*shell, sys.executable, str(PROGRAM), target, str(corpus), str(SEEDS / target), *options]
    env = {**os.environ, "PYTHONHASHSEED": "0"}
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, timeout=300, check=False, env=env)
    found = [path.name for path in tmp_path.iterdir() if path.is_file()]
    assert done.returncode == 0, f"copy {found} to {CRASHES / target}\n{done.stderr[-3000:]}"
    assert f"Done {RUNS[target]} runs" in done.stderr
