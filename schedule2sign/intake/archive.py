"""A zipped workbook, measured before any reader builds it in memory."""

import codecs
import html
import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass

from schedule2sign.errors import InputError
from schedule2sign.intake.grid import load_table

_PIECE = 1 << 20
_LONGEST_TAG = 1 << 16
_ENTRY = b"PK\x01\x02"
_ENCRYPTED = 1  # bit of the flags of an entry (APPNOTE 4.4.4)
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # all that ISO/IEC 29500-2 and ODF 1.2 part 3 allow
_EBCDIC = b"\x4c\x6f\xa7\x94"  # "<?xm"
_UTF_16 = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"<\x00", "utf-16-le"), (b"\x00<", "utf-16-be"))
# A picture, and the list of parts of old ods files, may name a document type; a sheet never does (ISO/IEC 29500-2, 8.1.4).
_WITH_TYPE = re.compile(r"\.svg$|^META-INF/manifest\.xml$", re.IGNORECASE)
_NAME = rb"(?:[\w.-]+:)?"
_CELL = re.compile(rb"<" + _NAME + rb"c[\s/>]")
_ROW = re.compile(rb"<" + _NAME + rb"row[\s/>]")
_SPREAD = re.compile(rb"<" + _NAME + rb"(?:mergeCell|hyperlink)\s([^<]*)")
# Marks a reader makes an object of its own for: all but those of rows, cells and their texts.
_HEAVY = re.compile(rb"<(?!/)(?!" + _NAME + rb"(?:row|c|v|f|is|t|si|r)[\s/>])")
_VALUE = re.compile(rb"=\s*(?:\"([^\"]*)\"|'([^']*)')")
_RANGE = re.compile(r"(?=[^:]+:.)\s*\$?([A-Z]{0,3})\$?(\d{0,9}):\$?([A-Z]{0,3})\$?(\d{0,9})\s*", re.IGNORECASE)
_LAST_ROW, _LAST_COLUMN = 1_048_576, 16_384


@dataclass(slots=True)
class _Size:
    """What building the workbook in memory would take."""

    cells: int = 0
    marks: int = 0


def look_into(name: str, data: bytes) -> frozenset[str]:
    """Names of the parts of a zip archive that is safe to open.

    Raises:
        InputError: it is damaged, protected, far larger than it looks, or holds what no workbook holds.
    """
    limits = load_table("limits.toml")
    if data.count(_ENTRY) > limits["parts"]:
        raise _refuse(name, f"it holds more than {limits['parts']} parts")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = archive.infolist()
            unpacked = sum(entry.file_size for entry in entries)
            if unpacked > limits["unpacked_bytes"]:
                raise InputError(
                    f"{name} unpacks to {unpacked / 2**20:.0f} MB; at most {limits['unpacked_bytes'] / 2**20:.0f} MB"
                    " are opened. It is no usual schedule; save the schedule sheet alone to a new file."
                )
            size = _Size()
            for entry in entries:
                if entry.flag_bits & _ENCRYPTED:
                    raise InputError(f"{name} is protected by a password. Save a copy without one.")
                if entry.compress_type not in _METHODS:
                    raise _refuse(name, f"{entry.filename!r} is packed in a way that workbooks are not")
                _measure(name, archive, entry, size)
    except (zipfile.BadZipFile, NotImplementedError, ValueError, EOFError, OSError) as error:
        raise InputError(f"{name} is damaged or cut off ({error}). Ask for the file again.") from error
    return frozenset(entry.filename for entry in entries)


def _measure(name: str, archive: zipfile.ZipFile, entry: zipfile.ZipInfo, size: _Size) -> None:
    limits = load_table("limits.toml")
    for piece in _marked_up(name, archive, entry):
        if b"<!DOCTYPE" in piece and not _WITH_TYPE.search(entry.filename):
            raise _refuse(name, f"{entry.filename!r} declares a document type, which can make a small file grow")
        size.cells += max(sum(1 for _ in _CELL.finditer(piece)), sum(1 for _ in _ROW.finditer(piece)))
        size.cells += sum(_area(found[1]) for found in _SPREAD.finditer(piece))
        size.marks += sum(1 for _ in _HEAVY.finditer(piece))
        if size.cells > limits["cells"]:
            what = "cells, counting those that are only formatted, merged or linked"
            raise _too_many(name, limits["cells"], what)
        if size.marks > limits["marks"]:
            raise _too_many(name, limits["marks"], "formats, notes and pictures")


def _marked_up(name: str, archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> Iterator[bytes]:
    """The part in pieces that split no tag; nothing where it is no XML, or cannot be unpacked: its reader will say."""
    try:
        with archive.open(entry) as part:
            piece = part.read(_PIECE)
            decoder = next(
                (codecs.getincrementaldecoder(codec)("replace") for mark, codec in _UTF_16 if piece.startswith(mark)),
                None,
            )
            if piece.startswith(_EBCDIC):
                raise _refuse(name, f"{entry.filename!r} is written in a code that workbooks are not")
            if decoder is None and not piece.removeprefix(codecs.BOM_UTF8).lstrip().startswith(b"<"):
                return
            rest = b""
            while piece:
                rest += decoder.decode(piece).encode("utf-8", "replace") if decoder else piece
                cut = rest.rfind(b"<")
                if cut > 0 and len(rest) - cut < _LONGEST_TAG:
                    yield rest[:cut]
                    rest = rest[cut:]
                elif len(rest) > _LONGEST_TAG:
                    yield rest
                    rest = b""
                piece = part.read(_PIECE)
            yield rest
    except (zipfile.BadZipFile, zlib.error, EOFError):
        return


def _area(tag: bytes) -> int:
    """Cells of the largest range that a tag names."""
    most = 0
    for value in _VALUE.findall(tag):  # whichever attribute it is: a link may also hold an address with a colon
        found = _RANGE.fullmatch(html.unescape((value[0] or value[1]).decode("utf-8", "replace")))
        if found is None:
            continue
        left, top, right, bottom = found.groups()
        wide = _column(right, _LAST_COLUMN) - _column(left, 1) + 1
        high = min(int(bottom or _LAST_ROW), _LAST_ROW) - int(top or 1) + 1
        most = max(most, wide * high)
    return most


def _column(letters: str, default: int) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return min(number, _LAST_COLUMN) or default


def _too_many(name: str, most: int, what: str) -> InputError:
    return InputError(
        f"{name} holds more than {most} {what}. Delete what is no schedule, or save the schedule sheet alone to a new"
        " file."
    )


def _refuse(name: str, why: str) -> InputError:
    return InputError(
        f"{name} is not opened: {why}. It is no usual workbook; ask for it again, saved by a spreadsheet program."
    )
