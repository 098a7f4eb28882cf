"""What the fuzzer feeds: bytes to each parser of a file that somebody else may have made.

As a program (`python fuzz_targets.py TARGET SEEDS... -runs=N`) it runs the coverage-guided fuzzer atheris over one target.
"""

import contextlib
import functools
import io
import sys
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures" / "hostile"
_FOLDER = Path(tempfile.mkdtemp(prefix="fuzz-"))


def _put(name: str, data: bytes) -> Path:
    path = _FOLDER / name
    path.write_bytes(data)
    return path


def _read(path: Path) -> None:
    from schedule2sign.intake.reader import read_schedule
    from schedule2sign.naming.rename import name_rows

    schedule = read_schedule([path])
    rows = [row.source.row for row in schedule.rows if not row.source.column]
    assert len(rows) == len(set(rows)), "a row is counted twice"
    settings, vocabulary = _naming()
    assert len(name_rows(schedule.rows, vocabulary, settings)) == sum(row.kind == "data" for row in schedule.rows)


@functools.cache
def _naming() -> tuple[object, object]:
    from schedule2sign.model.settings import Settings
    from schedule2sign.naming.vocabulary import load_vocabulary

    return Settings(), load_vocabulary(Settings())


@functools.cache
def _package() -> dict[str, bytes]:
    from openpyxl import Workbook

    stream = io.BytesIO()
    Workbook().save(stream)
    with zipfile.ZipFile(stream) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@functools.cache
def _templates() -> object:
    from schedule2sign.layout.template import load_templates
    from schedule2sign.resources import templates_folder

    return load_templates(templates_folder() / "signs")


def feed_csv(data: bytes) -> None:
    """A text file."""
    _read(_put("rooms.csv", data))


def feed_workbook(data: bytes) -> None:
    """A workbook whose first sheet is the data."""
    with zipfile.ZipFile(_FOLDER / "rooms.xlsx", "w") as archive:
        for name, part in _package().items():
            archive.writestr(name, data if name == "xl/worksheets/sheet1.xml" else part)
    _read(_FOLDER / "rooms.xlsx")


def feed_job(data: bytes) -> None:
    """A job file, and the tables of others that it fills."""
    from schedule2sign.production.keys import nest_keys
    from schedule2sign.production.process import load_process
    from schedule2sign.settings import load_settings
    from schedule2sign.signlist.rulebook import load_rules

    settings = load_settings(_put("job.toml", data))
    load_rules(settings.wording, settings.rules, _templates())
    load_process("applique-rotary", nest_keys(settings.process_values))


def feed_template(data: bytes) -> None:
    """A sign template over the shipped style."""
    from schedule2sign.layout.template import load_template
    from schedule2sign.layout.tomltable import read_toml
    from schedule2sign.resources import templates_folder

    load_template(_put("room.toml", data), (), read_toml(templates_folder() / "signs" / "style.toml"))


def feed_waivers(data: bytes) -> None:
    """A waiver file."""
    from schedule2sign.rules.waivers import load_waivers

    load_waivers(_put("waivers.toml", data))


TARGETS: dict[str, Callable[[bytes], None]] = {
    "csv": feed_csv,
    "workbook": feed_workbook,
    "job": feed_job,
    "template": feed_template,
    "waivers": feed_waivers,
}


def feed(target: str, data: bytes) -> None:
    """Feed one target; a refusal in words is a right answer, anything else is ours to fix."""
    from schedule2sign.errors import InputError

    with contextlib.suppress(InputError):
        TARGETS[target](data)


def main() -> None:
    import atheris

    target = sys.argv.pop(1)
    with atheris.instrument_imports(include=["schedule2sign"]):
        feed(target, b"")
    atheris.Setup(sys.argv, lambda data: feed(target, data))
    atheris.Fuzz()


if __name__ == "__main__":
    main()
