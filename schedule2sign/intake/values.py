"""Values of xls and ods workbooks, read by calamine in a process of its own.

A damaged old workbook can bring that reader down, not just make it complain; so it must not be our process.
"""

import json
import subprocess
import sys
from dataclasses import dataclass
from datetime import datetime, time
from pathlib import Path
from typing import Any

from schedule2sign.errors import InputError
from schedule2sign.intake.grid import load_table

_CHILD = Path(__file__).with_name("values_child.py")
_PATIENCE_S = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueSheet:
    """One sheet: `rows` of plain values (empty for a sheet that is too large), merges as in a grid."""

    visible: bool
    size: tuple[int, int]
    rows: tuple[tuple[object, ...], ...]
    merges: tuple[tuple[int, int, int, int], ...]
    merges_known: bool


def read_values(name: str, data: bytes) -> dict[str, ValueSheet]:
    """Sheets by name, in workbook order.

    Raises:
        InputError: password-protected or damaged.
    """
    limits = load_table("limits.toml")
    most = [str(limits[key]) for key in ("rows", "columns", "area", "reader_bytes", "reader_seconds")]
    try:
        result = subprocess.run(  # noqa: S603
            [sys.executable, "-P", str(_CHILD), *most],
            input=data,
            capture_output=True,
            timeout=_PATIENCE_S,
            check=False,
        )
        found: dict[str, Any] = (
            json.loads(result.stdout)
            if result.returncode == 0
            else {"error": f"its reader gave up, within {most[4]} s and {limits['reader_bytes'] // 2**20} MB"}
        )
    except (subprocess.TimeoutExpired, ValueError) as error:
        raise tell_damage(name, error) from error
    if found.get("error") == "password":
        raise InputError(f"{name} is protected by a password. Save a copy without one.")
    if "error" in found:
        raise tell_damage(name, ValueError(found["error"]))
    return {sheet["name"]: _decode(sheet) for sheet in found["sheets"]}


def _decode(sheet: dict[str, Any]) -> ValueSheet:
    merges = sheet["merges"]
    return ValueSheet(
        visible=sheet["visible"],
        size=(sheet["size"][0], sheet["size"][1]),
        rows=tuple(tuple(map(_decode_value, row)) for row in sheet["rows"] or ()),
        merges=tuple((top + 1, left, bottom + 1, right) for (top, left), (bottom, right) in merges or ()),
        merges_known=merges is not None,
    )


def _decode_value(value: Any) -> object:
    if isinstance(value, dict):
        if "date" in value:
            return datetime.fromisoformat(value["date"])
        return _parse_time(value["time"])
    return value


def _parse_time(text: str) -> object:
    try:
        return time.fromisoformat(text)
    except ValueError:
        return text  # A duration longer than a day, as it is shown.


def tell_damage(name: str, error: Exception) -> InputError:
    """The message for a file that no reader can open."""
    return InputError(
        f"{name} is damaged or cut off and cannot be opened ({first_line(error)})."
        " Ask for the file again, or open it in a spreadsheet program and save it as xlsx."
    )


def first_line(error: Exception) -> str:
    """The first line of an error's text, shortened."""
    return (str(error).strip().splitlines() or [type(error).__name__])[0][:160]
