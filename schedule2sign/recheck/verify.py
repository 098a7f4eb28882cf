"""Reads an output folder back and compares all that can be compared."""

import hashlib
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from schedule2sign import __version__
from schedule2sign.errors import InputError
from schedule2sign.lettering.typeface import Typeface, load_typeface
from schedule2sign.model.shape import FontFacts, Outline
from schedule2sign.recheck.reading import misread
from schedule2sign.recheck.remeasure import remeasure
from schedule2sign.recheck.report import Report, Tally
from schedule2sign.rules.profile import Profile, load_profile
from schedule2sign.signmaker import find_font
from schedule2sign.verification.agreement import compare_drawings
from schedule2sign.verification.difference import Difference
from schedule2sign.verification.drawing import ReadDrawing, UnreadableError, check_scale, check_title
from schedule2sign.verification.dxffile import read_dxf, read_sheet
from schedule2sign.verification.folder import Folder, compare_files, open_folder
from schedule2sign.verification.rebuild import Facts, Rebuilt, rebuild_sign
from schedule2sign.verification.record import MANIFEST, Record, RecordedCut, RecordedSign, RecordError, read_record
from schedule2sign.verification.sheets import Work, compare_sheets, sign_work
from schedule2sign.verification.svgfile import read_svg
from schedule2sign.verification.unmeasured import load_unmeasured

Progress = Callable[[str, int, int], None]
_SHEETS = "sheets/"
_READERS: dict[str, Callable[[str, bytes], ReadDrawing]] = {".dxf": read_dxf, ".svg": read_svg}


def verify_folder(path: Path, font: Path | None = None, *, progress: Progress | None = None) -> Report:
    """Compare an output folder with its own record, from the files alone.

    Args:
        font: the job's font, where it is not one that ships.

    Raises:
        InputError: no output folder of this program, or the font given is not the job's.
    """
    folder = open_folder(path)
    data = folder.read(MANIFEST)
    tally = Tally()
    tally.counts["files"] = len(set(folder.listed or ()) & set(folder.found))
    try:
        record = read_record(data or b"")
    except RecordError as error:
        # With a checksum list the folder is ours, only damaged; without, it is any folder.
        if MANIFEST not in (folder.listed or ()):
            raise InputError(
                f"{path} is no output folder of this program: "
                f"{f'its {MANIFEST} cannot be used, {error}' if data else f'it has no {MANIFEST}'}."
            ) from None
        tally.differences += compare_files(folder)
        message = f"{MANIFEST} cannot be used, so no drawing was compared: {error if data else 'it is missing'}."
        tally.differences.append(Difference(code="record", file=MANIFEST, message=message))
        return tally.report(path, "", "", ())
    tally.differences += compare_files(folder)
    tally.differences += _compare_presence(folder, record)
    typeface, notes = _find_typeface(record.font, font)
    checker = _Checker(folder, record, load_profile(record.standard), typeface, tally)
    released = [sign for sign in record.signs if sign.released]
    for index, sign in enumerate(released, start=1):
        checker.check(sign)
        if progress:
            progress("reading drawings", index, len(released))
    checker.check_sheets([name for name in folder.found if name.startswith(_SHEETS) and name.endswith(".dxf")])
    return tally.report(path, record.standard, record.version, notes)


def _compare_presence(folder: Folder, record: Record) -> list[Difference]:
    """Released signs have their drawings, held signs have nothing to cut, no drawing is nobody's."""
    found: list[Difference] = []
    drawings: dict[str, list[str]] = {}
    for name in folder.found:
        if (path := Path(name)).suffix in _READERS:
            drawings.setdefault(path.stem, []).append(name)
    for sign in record.signs:
        if not sign.released:
            for name in sorted({*drawings.get(sign.sign_id, ()), *sign.files}):
                message = f"Sign {sign.sign_id} is held, so it must have no production file, but has {name}."
                found.append(Difference(code="held-has-file", file=name, sign_id=sign.sign_id, message=message))
            continue
        for suffix in _READERS:
            if not any(name.endswith(suffix) for name in sign.files):
                message = f"Sign {sign.sign_id} is released but lists no {suffix} file."
                found.append(Difference(code="released-lacks-file", sign_id=sign.sign_id, message=message))
        for name in sign.files:
            if name not in folder.found:
                message = f"Sign {sign.sign_id} is released but its file {name} is missing."
                found.append(Difference(code="released-lacks-file", file=name, sign_id=sign.sign_id, message=message))
    claimed = {name for sign in record.signs for name in sign.files}
    found += [
        Difference(code="nobodys-file", file=name, message=f"{name} belongs to no released sign.")
        for name in folder.found
        if name.startswith("signs/") and name not in claimed
    ]
    return found


def _find_typeface(recorded: FontFacts, given: Path | None) -> tuple[Typeface | None, tuple[str, ...]]:
    """The font whose bytes were recorded; else none, and a note."""
    if given is not None:
        path = find_font(str(given))
        if _sha256(path) != recorded.sha256:
            raise InputError(f"{given} is not the font of this job: {recorded.name}, SHA-256 {recorded.sha256}.")
        return load_typeface(path), ()
    with suppress(InputError):
        path = find_font(recorded.file)
        if _sha256(path) == recorded.sha256:
            return load_typeface(path), ()
    return None, (
        f"The font {recorded.name} ({recorded.file}) is not at hand, so no letter was compared with it: "
        "give it with --font FILE.",
    )


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


@dataclass(frozen=True, slots=True)
class _FontAlphabet:
    """The lettering stage's typeface as the reader of drawings needs it."""

    typeface: Typeface
    known: dict[tuple[str, float], Outline] = field(default_factory=dict)

    @property
    def facts(self) -> FontFacts:
        return self.typeface.facts

    def missing(self, text: str) -> tuple[str, ...]:
        return self.typeface.missing(text)

    def outline(self, char: str, height_mm: float) -> Outline:
        key = char, height_mm
        if key not in self.known:
            self.known[key] = self.typeface.letter(char, height_mm).outline
        return self.known[key]


class _Checker:
    """Takes one released sign after the other through reading, rebuilding and rules."""

    def __init__(
        self, folder: Folder, record: Record, profile: Profile, typeface: Typeface | None, tally: Tally
    ) -> None:
        self._folder = folder
        self._profile = profile
        self._tally = tally
        self._works: list[tuple[str, int, Work]] = []
        self._same_version = record.version == __version__
        self._unmeasured = load_unmeasured(font=typeface is not None)
        self._facts: Facts | None = None
        if record.build and record.size:
            alphabet = _FontAlphabet(typeface) if typeface else None
            self._facts = Facts(font=record.font, build=record.build, size=record.size, alphabet=alphabet)

    def check(self, sign: RecordedSign) -> None:
        if sign.cut is None or self._facts is None:
            message = f"The record of sign {sign.sign_id} cannot be used: {sign.fault or 'it lacks how it is made'}."
            self._add(Difference(code="record", file=MANIFEST, sign_id=sign.sign_id, message=message))
            return
        drawings = [drawing for name in sign.files if (drawing := self._read(name, sign.sign_id))]
        for drawing in drawings:
            self._tally.differences += check_scale(drawing, sign.sign_id)
            self._tally.differences += check_title(drawing, sign.sign_id)
            if drawing.file.endswith(".dxf") and (work := sign_work(drawing)):
                self._works.append((sign.sign_id, sign.pieces, work))
        if not drawings:
            return
        first, *others = drawings
        rebuilt = [rebuild_sign(first, sign, sign.cut, self._facts)]
        for other in others:
            apart = list(compare_drawings(first, other, sign.sign_id))
            self._tally.differences += apart
            if apart:  # then it must be seen which of them left the record
                rebuilt.append(rebuild_sign(other, sign, sign.cut, self._facts))
        for each in rebuilt:
            self._tally.differences += each.differences
        self._count(rebuilt[0])
        for each in rebuilt:
            if each.layout is not None:
                remeasure(
                    each.layout,
                    sign.cut,
                    self._profile,
                    self._unmeasured,
                    each.file,
                    self._tally,
                    same_version=self._same_version,
                )
        self._read_braille(sign.sign_id, sign.cut, rebuilt[0])

    def check_sheets(self, names: Sequence[str]) -> None:
        """The stock sheets, once all signs were read; without any there is nothing to compare."""
        sheets = [drawing for name in names if (drawing := self._read(name, "", read_sheet))]
        for sheet in sheets:
            self._tally.differences += check_scale(sheet, "")
        self._tally.counts["sheets"] = len(sheets)
        if sheets:
            self._tally.differences += compare_sheets(sheets, self._works)

    def _add(self, difference: Difference) -> None:
        self._tally.differences.append(difference)

    def _read(
        self, name: str, sign_id: str, reader: Callable[[str, bytes], ReadDrawing] | None = None
    ) -> ReadDrawing | None:
        reader, data = reader or _READERS.get(Path(name).suffix), self._folder.read(name)
        if reader is None or data is None:
            return None  # another kind of file, or a missing one: named already
        try:
            drawing = reader(name, data)
        except UnreadableError as error:
            message = f"{name} cannot be read back: {error}."
            self._add(Difference(code="unreadable", file=name, sign_id=sign_id, message=message))
            return None
        self._tally.counts["drawings"] += 1
        return drawing

    def _count(self, rebuilt: Rebuilt) -> None:
        self._tally.counts["signs"] += rebuilt.layout is not None
        self._tally.counts["letters"] += rebuilt.letters
        self._tally.counts["dots"] += rebuilt.dots

    def _read_braille(self, sign_id: str, cut: RecordedCut, rebuilt: Rebuilt) -> None:
        """The dots of each line read as its text; a message's lines follow each other in the record."""
        for line, cells in zip(cut.braille, rebuilt.cells, strict=False):
            self._tally.counts["braille_lines"] += 1
            read = misread(line.text, cells, line.code)
            if read:
                message = f"The braille under {line.text!r} reads {read!r}."
                self._add(
                    Difference(
                        code="braille-reading",
                        file=rebuilt.file,
                        sign_id=sign_id,
                        message=message,
                        found=read,
                        expected=line.text,
                    )
                )
