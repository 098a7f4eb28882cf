"""One issue of a job, read from its manifest."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from schedule2sign.errors import InputError

_SCHEMA = 1
_PLACE_FIELDS = {"door": "door", "room number": "number", "level": "level", "name as given": "name", "hand": "hand"}


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuedSign:
    """One sign as an issue describes it.

    Attributes:
        number: posted room number on the sign, "" where it has none.
        names: its other raised messages.
        text: all raised messages, top to bottom.
        lines: the same as broken into lines.
        cells: all braille, a blank between lines.
        design: hash of the geometry, "" where nothing was laid out.
        place: door, level, side and hand.
        data: what the list says beyond the sign itself.
        person_held: a person's answer holds it.
        row: file, sheet and row.
    """

    sign_id: str
    number: str
    names: tuple[str, ...]
    text: tuple[str, ...]
    lines: tuple[str, ...]
    cells: str
    design: str
    template: str
    size_mm: tuple[float, float] | None
    quantity: int
    released: bool
    person_held: bool
    place: tuple[tuple[str, str], ...]
    data: tuple[tuple[str, str], ...]
    row: tuple[str, str, int]

    @property
    def message(self) -> str:
        """The raised text in one line."""
        return " / ".join(self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuedRow:
    """A data row that made no sign of its own."""

    level: str
    door: str
    number: str
    name: str
    outcome: str
    row: tuple[str, str, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Issue:
    """One issue.

    Attributes:
        label: job, revision and input files.
        ground: what all signs stand on: standard, font, braille tables, material.
        columns: (file, sheet, field) -> column letter.
    """

    job: str
    revision: str
    label: str
    ground: tuple[tuple[str, str], ...]
    signs: tuple[IssuedSign, ...]
    rows: tuple[IssuedRow, ...]
    columns: Mapping[tuple[str, str, str], str]

    def cell(self, row: tuple[str, str, int], field: str) -> str:
        """Where a value of the row stands: "doors.xlsx [LEVEL 1] C14", or the row where no column is known."""
        file, sheet, number = row
        column = self.columns.get((file, sheet, _PLACE_FIELDS.get(field, field)), "")
        place = f"{column}{number}" if column else f"row {number}"
        return f"{file} [{sheet}] {place}" if sheet else f"{file} {place}"


def read_issue(manifest: Mapping[str, Any], name: str) -> Issue:
    """An issue from the data of a manifest.json.

    Args:
        manifest: the parsed document.
        name: what to call it in messages.

    Raises:
        InputError: it is no manifest of ours, of another schema, or lacks a field.
    """
    if manifest.get("schema") != _SCHEMA:
        raise InputError(f"{name} has schema {manifest.get('schema')!r}; this version reads {_SCHEMA}.")
    try:
        return Issue(
            job=manifest["job"]["id"],
            revision=manifest["job"]["revision"],
            label=_label(manifest),
            ground=tuple(_ground(manifest)),
            signs=tuple(read_sign(sign) for sign in manifest["signs"]),
            # A held row whose sign is held too is told by its sign.
            rows=tuple(
                _row(row) for row in manifest["rows_without_a_sign"] if row["outcome"] != "held" or not row["sign_ids"]
            ),
            columns={
                (table["file"], table["sheet"], column["field"]): column["column"]
                for table in manifest["tables"]
                for column in reversed(table["columns"])
                if column["field"]
            },
        )
    except (KeyError, TypeError, AttributeError) as error:
        raise InputError(
            f"{name} is not a manifest this version can read ({type(error).__name__}: {error}). Build that issue again "
            "from its schedule, or give the schedule itself."
        ) from error


def _label(manifest: Mapping[str, Any]) -> str:
    files = ", ".join(entry["file"] for entry in manifest["inputs"])
    return f"{manifest['job']['id']} revision {manifest['job']['revision']} ({files})"


def _ground(manifest: Mapping[str, Any]) -> list[tuple[str, str]]:
    engine, make = manifest["braille_engine"], manifest["make"]
    tables = ", ".join(f"{table['name']} {table['sha256'][:8]}" for table in engine["tables"])
    return [
        ("standard", f"{manifest['standard']['id']} of {manifest['standard']['table_date']}"),
        ("font", f"{manifest['font']['name']} {manifest['font']['sha256'][:8]}"),
        ("braille tables", f"{engine['name']} {engine['version']} {tables}"),
        *((key.replace("_", " "), str(value)) for key, value in sorted(make.items())),
        ("numbers", str(manifest["job"]["numbers"])),
    ]


def read_sign(sign: Mapping[str, Any]) -> IssuedSign:
    """One sign from its entry in a manifest."""
    size = (sign["width_mm"], sign["height_mm"])
    return IssuedSign(
        sign_id=sign["id"],
        number=next((message["text"] for message in sign["messages"] if message["role"] == "number"), ""),
        names=tuple(message["text"] for message in sign["messages"] if message["role"] != "number"),
        text=tuple(message["text"] for message in sign["messages"]),
        lines=tuple(sign["lines"]),
        cells="⠀".join(line["cells"] for line in sign["braille"]),
        design=sign["design"],
        template=sign["template"],
        size_mm=size if None not in size else None,
        quantity=sign["quantity"],
        released=sign["status"] == "released",
        person_held=any(flag["code"] == "signlist/answer-hold" for flag in sign["flags"]),
        place=(("door", sign["door"]), ("level", sign["level"]), ("side", sign["side"]), ("hand", sign["hand"])),
        data=(
            ("room number", sign["room_number"]),
            ("name as given", sign["name_as_given"]),
            ("insert text", sign["insert_text"]),
        ),
        row=_source(sign["source"]),
    )


def _row(row: Mapping[str, Any]) -> IssuedRow:
    return IssuedRow(
        level=row["level"],
        door=row["door"],
        number=row["room_number"],
        name=row["name_as_given"],
        outcome=f"{row['outcome']}: {row['reason']}",
        row=_source(row["source"]),
    )


def _source(source: Mapping[str, Any]) -> tuple[str, str, int]:
    return source["file"], source["sheet"], source["row"]
