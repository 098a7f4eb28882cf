"""The Python interface: what a program of your own may import; guide/python.md shows it at work.

What is named here keeps its name and meaning from version to version; what is not may change. Lengths are floats in
millimeters. Where an input cannot be used, `InputError` says what, where and what to do.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from schedule2sign.braille.translator import open_translator
from schedule2sign.errors import AccountingError, InputError
from schedule2sign.intake.reader import read_schedule
from schedule2sign.model.braille import BrailleLine
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Accounting, Job, SignRecord, Status
from schedule2sign.model.revision import ChangeKind, Comparison, FieldChange, RowChange, SignChange, Stage
from schedule2sign.model.rule import Outcome, Verdict
from schedule2sign.model.schedule import Field, RawRow, RowKind, Schedule
from schedule2sign.model.settings import Settings
from schedule2sign.model.shape import SignLayout
from schedule2sign.model.source import Source
from schedule2sign.pipeline import build_job, issue_of, write_job
from schedule2sign.recheck.report import Report
from schedule2sign.recheck.verify import verify_folder
from schedule2sign.revision.compare import compare_issues
from schedule2sign.revision.folder import read_folder, read_stages
from schedule2sign.revision.issue import Issue
from schedule2sign.rules.engine import check_sign
from schedule2sign.rules.profile import Profile, load_profile
from schedule2sign.settings import load_settings
from schedule2sign.writers.manifest import describe_job

__all__ = [
    "Accounting",
    "AccountingError",
    "BrailleLine",
    "ChangeKind",
    "Comparison",
    "Field",
    "FieldChange",
    "Flag",
    "InputError",
    "Issue",
    "Job",
    "Outcome",
    "Profile",
    "RawRow",
    "Report",
    "RowChange",
    "RowKind",
    "Schedule",
    "Settings",
    "Severity",
    "SignChange",
    "SignLayout",
    "SignRecord",
    "Source",
    "Stage",
    "Status",
    "Verdict",
    "build_job",
    "check_sign",
    "compare",
    "describe_job",
    "load_issue",
    "load_profile",
    "load_schema",
    "load_settings",
    "read_schedule",
    "read_stages",
    "schema_names",
    "translate_line",
    "translate_lines",
    "verify_folder",
    "write_job",
]

_SCHEMAS = Path(__file__).resolve().parent / "schemas"
_SUFFIX = ".schema.json"


def translate_lines(texts: Iterable[str], settings: Settings | None = None) -> tuple[BrailleLine, ...]:
    """Raised lines as braille, in order: each in capitals with one space between words, as a sign shows it.

    Args:
        texts: one raised line each.
        settings: the job, for its lexicon, standard and braille code; None for the defaults.

    Returns:
        A line each, with `cells` (braille characters), `back` (the cells read back) and `flags`. A line whose flags
        hold it must not be cut before a person has settled them.

    Raises:
        InputError: an unknown standard or code, or the braille engine is not installed.
    """
    settings = settings or Settings()
    code = settings.braille_code or load_profile(settings.standard).drawing.braille_code
    translator = open_translator(code, settings.lexicon)
    return tuple(translator.translate(" ".join(text.upper().split())) for text in texts)


def translate_line(text: str, settings: Settings | None = None) -> BrailleLine:
    """One raised line as braille; see `translate_lines`, which is quicker for many."""
    return translate_lines((text,), settings)[0]


def compare(old: Path | Job, new: Path | Job, stages: Mapping[str, Stage] | None = None) -> Comparison:
    """What changed between two issues of a job, sign by sign.

    Args:
        old, new: an output folder of `write_job` or the command build, or a job just built.
        stages: sign id -> how far the old sign has come (`read_stages` reads a list); it decides what is to be done.

    Raises:
        InputError: no output folder, another job, or so many identities changed that a column was likely misread.
    """
    return compare_issues(_issue(old), _issue(new), dict(stages or {}))


def load_issue(folder: Path) -> Issue:
    """The issue in an output folder, as `build_job(since=...)` takes it.

    Raises:
        InputError: no output folder, or one whose record cannot be read.
    """
    return read_folder(folder)


def _issue(given: Path | Job) -> Issue:
    return issue_of(given) if isinstance(given, Job) else load_issue(given)


def schema_names() -> Sequence[str]:
    """Names of the JSON documents this program writes, as `load_schema` takes them."""
    return tuple(sorted(path.name.removesuffix(_SUFFIX) for path in _SCHEMAS.glob(f"*{_SUFFIX}")))


def load_schema(name: str) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a document: "manifest", or a command with --json (guide/json.md lists them).

    Raises:
        InputError: there is no such document.
    """
    if name not in schema_names():
        raise InputError(f"There is no schema {name!r}. Known: {', '.join(schema_names())}.")
    schema: dict[str, Any] = json.loads((_SCHEMAS / f"{name}{_SUFFIX}").read_text(encoding="utf-8"))
    return schema
