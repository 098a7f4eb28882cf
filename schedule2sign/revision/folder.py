"""An earlier issue from its output folder, and how far its signs have come from a list the shop keeps."""

import csv
import json
from pathlib import Path

from schedule2sign.errors import InputError
from schedule2sign.model.revision import Stage
from schedule2sign.revision.issue import Issue, read_issue

MANIFEST = "manifest.json"
_ID, _STAGE = "sign id", "stage"


def read_folder(folder: Path) -> Issue:
    """The issue in an output folder.

    Raises:
        InputError: no folder, no manifest in it, or one that cannot be read.
    """
    path = folder / MANIFEST
    if not folder.is_dir():
        raise InputError(f"{folder} is no output folder. Give the folder an earlier build wrote.")
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise InputError(f"{folder} has no {MANIFEST}, so it is no output folder of a build.") from error
    except (OSError, ValueError, RecursionError) as error:
        raise InputError(f"{path} cannot be read: {error}. Build that issue again from its schedule.") from error
    if not isinstance(data, dict):
        raise InputError(f"{path} is not a manifest: it holds a {type(data).__name__}, not a table of names.")
    return read_issue(data, str(path))


def read_stages(path: Path) -> dict[str, Stage]:
    """How far each sign has come: a CSV file with the columns "sign id" and "stage".

    Raises:
        InputError: not readable, a column missing, an unknown stage, or a sign named twice with two stages.
    """
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            reader = csv.DictReader(file)
            names = {(name or "").strip().casefold(): name for name in reader.fieldnames or ()}
            if _ID not in names or _STAGE not in names:
                found = ", ".join(names) or "nothing"
                raise InputError(f"{path.name} needs the columns '{_ID}' and '{_STAGE}'; its first line has {found}.")
            rows = [(reader.line_num, row[names[_ID]] or "", row[names[_STAGE]] or "") for row in reader]
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise InputError(f"The list {path} cannot be read as CSV: {error}.") from error
    stages: dict[str, Stage] = {}
    for line, sign_id, word in rows:
        known = ", ".join(Stage)
        try:
            stage = Stage(word.strip().casefold())
        except ValueError:
            raise InputError(f"{path.name} line {line}: stage {word!r} is none of: {known}.") from None
        if stages.setdefault(sign_id.strip(), stage) is not stage:
            raise InputError(f"{path.name} line {line}: {sign_id} stands there twice, with two stages.")
    return stages
