"""The record of a run, manifest.json, as far as a drawing can be held against it."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from schedule2sign.model.braille import BrailleLine, CellSize
from schedule2sign.model.shape import Box, Build, FontFacts, Hole
from schedule2sign.model.sign import Message, Role

MANIFEST = "manifest.json"
TOOL = "schedule2sign"
_LISTS = ("holes", "decorations")
_DAMAGE = (KeyError, TypeError, ValueError, IndexError, AttributeError)


class RecordError(ValueError):
    """The record is damaged, or lacks what is compared; the message says what."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedLetter:
    """A letter and the box its ink fills."""

    char: str
    box: Box


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedLine:
    """A line of letters. `message` is the index of its message, -1 for flat text, which is no message."""

    text: str
    message: int
    height_mm: float
    baseline_mm: float
    letters: tuple[RecordedLetter, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedCut:
    """What the record says is cut of a released sign.

    Attributes:
        outline_mm2: area of a plate that is no rectangle, None for a rectangle with its corner radius.
        cutter_offset_mm: center line of the letter cutter to the letters, None where no center line is drawn.
        visual: lines of flat text.
        boxes: what is neither letter, decoration nor hole, by name.
        decorations: outer boxes of raised parts that are no letters.
    """

    width_mm: float
    height_mm: float
    corner_radius_mm: float
    outline_mm2: float | None
    cutter_offset_mm: float | None
    messages: tuple[Message, ...]
    lines: tuple[RecordedLine, ...]
    visual: tuple[RecordedLine, ...]
    braille: tuple[BrailleLine, ...]
    boxes: dict[str, Box]
    decorations: tuple[Box, ...]
    holes: tuple[Hole, ...]
    measured: dict[str, dict[str, float]]
    outcomes: dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedSign:
    """One sign. `pieces` are to make now: all of its `quantity`, or what is left of it after an earlier issue.

    `cut` is None for a held sign, or where its record is damaged and `fault` says how.
    """

    sign_id: str
    released: bool
    pictogram: str
    files: tuple[str, ...]
    quantity: int
    pieces: int
    cut: RecordedCut | None
    fault: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """The whole record. `build` and `size` are None where no sign was laid out."""

    version: str
    standard: str
    font: FontFacts
    build: Build | None
    size: CellSize | None
    signs: tuple[RecordedSign, ...]


def read_record(data: bytes) -> Record:
    """Read manifest.json.

    Raises:
        RecordError: not ours, damaged, or of a version that did not record what is cut.
    """
    try:
        document = json.loads(data)
        _check_origin(document)
        size, to_make = document["standard"]["cell_size"], (document.get("bench") or {}).get("to_make")
        return Record(
            version=str(document["tool"]["version"]),
            standard=str(document["standard"]["id"]),
            font=FontFacts(**document["font"]),
            build=Build(**document["build"]) if document["build"] else None,
            size=CellSize(**size) if size else None,
            signs=tuple(_read_sign(sign, to_make) for sign in document["signs"]),
        )
    except RecordError:
        raise
    except _DAMAGE as error:
        raise RecordError(f"it is damaged ({type(error).__name__}: {error})") from None


def _check_origin(document: dict[str, Any]) -> None:
    if document["tool"]["name"] != TOOL:
        raise RecordError(f"it was written by {document['tool']['name']!r}")
    if "build" not in document:
        raise RecordError("it was written by a version that did not record what is cut: build the job again")


def _read_sign(sign: dict[str, Any], to_make: dict[str, Any] | None) -> RecordedSign:
    released = sign["status"] == "released"
    cut, fault = None, ""
    try:
        if released:
            cut = _read_cut(sign, sign["as_cut"])
    except RecordError as error:
        fault = str(error)
    except _DAMAGE as error:
        fault = f"it does not record what is cut ({type(error).__name__}: {error})"
    return RecordedSign(
        sign_id=str(sign["id"]),
        released=released,
        pictogram=str(sign["pictogram"]),
        files=tuple(map(str, sign["files"])),
        quantity=int(sign["quantity"]),
        pieces=int(sign["quantity"]) if to_make is None else int(to_make.get(str(sign["id"]), 0)),
        cut=cut,
        fault=fault,
    )


def _read_cut(sign: dict[str, Any], cut: dict[str, Any]) -> RecordedCut:
    lines = tuple(_read_line(line) for line in cut["lines"])
    braille = tuple(
        BrailleLine(text=str(line["text"]), cells=str(line["cells"]), code=str(line["code"])) for line in cut["braille"]
    )
    _agree("lines", sign["lines"], [line.text for line in lines])
    _agree("braille", [line["cells"] for line in sign["braille"]], [line.cells for line in braille])
    _agree("braille", [line["text"] for line in sign["braille"]], [line.text for line in braille])
    others = cut["others_mm"]
    return RecordedCut(
        width_mm=float(sign["width_mm"]),
        height_mm=float(sign["height_mm"]),
        corner_radius_mm=float(cut["corner_radius_mm"]),
        outline_mm2=_float_or_none(cut["outline_mm2"]),
        cutter_offset_mm=_float_or_none(cut["cutter_offset_mm"]),
        messages=tuple(
            Message(role=Role(message["role"]), text=str(message["text"]), code=str(message["braille_code"]))
            for message in cut["messages"]
        ),
        lines=lines,
        visual=tuple(_read_line(line) for line in cut["visual_lines"]),
        braille=braille,
        boxes={name: _read_box(text) for name, text in others.items() if name not in _LISTS},
        decorations=tuple(_read_box(text) for text in others.get("decorations", ())),
        holes=tuple(_read_hole(text) for text in others.get("holes", ())),
        measured={rule: dict(values) for rule, values in cut["measured"].items()},
        outcomes={rule: outcome for outcome, rules in sign["verdicts"].items() for rule in rules},
    )


def _read_line(line: dict[str, Any]) -> RecordedLine:
    letters = tuple(RecordedLetter(char=text[0], box=_read_box(text[2:])) for text in line["letters_mm"])
    text = str(line["text"])
    if "".join(letter.char for letter in letters) != "".join(text.split()):
        raise RecordError(f"the letters recorded for the line {text!r} do not spell it")
    return RecordedLine(
        text=text,
        message=int(line.get("message", -1)),
        height_mm=float(line["height_mm"]),
        baseline_mm=float(line["baseline_mm"]),
        letters=letters,
    )


def _agree(what: str, told: list[str], cut: list[str]) -> None:
    if told != cut:
        raise RecordError(f"it tells the {what} as {told} in one place and as {cut} in another")


def _float_or_none(value: float | None) -> float | None:
    return None if value is None else float(value)


def _numbers(text: str, count: int, make: Callable[..., Any]) -> Any:
    values = [float(part) for part in text.split()]
    if len(values) != count:
        raise RecordError(f"{text!r} should be {count} numbers")
    return make(*values)


def _read_box(text: str) -> Box:
    box: Box = _numbers(
        text, 4, lambda left, bottom, right, top: Box(left_mm=left, bottom_mm=bottom, right_mm=right, top_mm=top)
    )
    return box


def _read_hole(text: str) -> Hole:
    hole: Hole = _numbers(text, 3, lambda x, y, diameter: Hole(x_mm=x, y_mm=y, diameter_mm=diameter))
    return hole
