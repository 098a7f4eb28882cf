"""A file of the customer: what it really is, whether it is safe to open, and its sheets."""

import hashlib
from pathlib import Path

from schedule2sign.errors import InputError
from schedule2sign.intake.archive import look_into
from schedule2sign.intake.delimited import read_delimited
from schedule2sign.intake.grid import load_table
from schedule2sign.intake.workbook import Workbook, open_with_calamine, open_workbook
from schedule2sign.model.schedule import InputFile

TEXT_SUFFIXES = (".csv", ".tsv", ".txt", ".tab")
READABLE = "xlsx, xlsm, xls, ods, csv, tsv, txt and ifc"
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_FOREIGN = (
    (b"%PDF", "a PDF", "Ask for the schedule as a spreadsheet: printed pages and scans are not read"),
    (b"\x89PNG", "a picture", "Ask for the schedule as a spreadsheet"),
    (b"\xff\xd8\xff", "a picture", "Ask for the schedule as a spreadsheet"),
    (b"{\\rtf", "a text document", "Copy its table into a spreadsheet and save that as xlsx"),
    (b"Rar!", "an archive", "Unpack it first"),
    (b"7z\xbc\xaf", "an archive", "Unpack it first"),
    (b"\x1f\x8b", "an archive", "Unpack it first"),
)


def read_bytes(path: Path) -> tuple[InputFile, bytes]:
    """The file's bytes and its record.

    Raises:
        InputError: no such file, not readable, empty or too large.
    """
    limit = load_table("limits.toml")["file_bytes"]
    try:
        if path.is_dir():
            raise InputError(f"{path} is a folder; name the schedule file in it.")
        size = path.stat().st_size
        if size > limit:
            raise InputError(
                f"{path.name} is {size / 2**20:.0f} MB; at most {limit / 2**20:.0f} MB are read."
                " Save only the schedule sheets to a new file."
            )
        data = path.read_bytes()
    except OSError as error:
        raise InputError(f"{path} cannot be read: {error.strerror}.") from error
    if not data:
        raise InputError(f"{path.name} is empty (0 bytes). Ask for the file again.")
    return InputFile(name=path.name, sha256=hashlib.sha256(data).hexdigest(), size_bytes=len(data)), data


def open_sheets(path: Path, data: bytes) -> Workbook:
    """The sheets of a table file; a text file has one, named "".

    Raises:
        InputError: the content is not what the file's ending says, or cannot be opened.
    """
    name, suffix = path.name, path.suffix.lower()
    if suffix not in (".xlsx", ".xlsm", ".xls", ".ods", *TEXT_SUFFIXES):
        raise InputError(f"{name} ends in {suffix or 'nothing'}; {READABLE} files are read.")
    found = _look(name, data)
    wanted = {".xlsx": "xlsx", ".xlsm": "xlsx", ".xls": "xls", ".ods": "ods"}.get(suffix, "text")
    if found != wanted:
        titles = {
            "xlsx": "an xlsx workbook",
            "xls": "an old xls workbook",
            "ods": "an ods workbook",
            "text": "plain text",
        }
        better = {"text": ".csv"}.get(found, f".{found}")
        raise InputError(f"{name} is not what its ending says: it holds {titles[found]}. Rename it to end in {better}.")
    if found == "text":
        grid = read_delimited(name, data)
        return Workbook(sheets=(("", True),), read=lambda _sheet: grid)
    if found == "xlsx":
        return open_workbook(name, data)
    return open_with_calamine(name, data)


def _look(name: str, data: bytes) -> str:
    """ "xlsx", "ods", "xls" or "text", by content."""
    for magic, what, fix in _FOREIGN:
        if data.startswith(magic):
            raise InputError(f"{name} is {what}, whatever its ending. {fix}.")
    if data.startswith(_OLE):
        # An encrypted xlsx is stored in the old container format.
        if "EncryptedPackage".encode("utf-16-le") in data:
            raise InputError(f"{name} is protected by a password. Save a copy without one.")
        return "xls"
    if data.startswith(b"PK"):
        return _look_into_zip(name, data)
    start = data[:512].lstrip().lower()
    if start.startswith((b"<!doctype html", b"<html", b"<table", b"<?xml", b"<meta")):
        raise InputError(
            f"{name} is a web page or XML, whatever its ending. Open it in a spreadsheet program and save it as xlsx."
        )
    return "text"


def _look_into_zip(name: str, data: bytes) -> str:
    names = look_into(name, data)
    if "xl/workbook.xml" in names:
        return "xlsx"
    if "xl/workbook.bin" in names:
        raise InputError(f"{name} is a binary workbook (xlsb). Save it as xlsx.")
    if "content.xml" in names and "mimetype" in names:
        return "ods"
    if "word/document.xml" in names:
        raise InputError(f"{name} is a text document. Copy its table into a spreadsheet and save that as xlsx.")
    raise InputError(f"{name} is an archive without a workbook in it. Unpack it, or name the schedule itself.")
