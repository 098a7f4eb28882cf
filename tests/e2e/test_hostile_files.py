"""Files made to do harm, or broken: each ends in a flagged row or in exit 2 with one message, within 10 s and 1 GB.

Every case runs as the command in a process of its own. Time is what the processor spent on it and its own readers, so
that a busy machine changes nothing; memory is the largest resident set of the process and of the readers it started.
"""

import hashlib
import io
import json
import os
import resource
import struct
import subprocess
import sys
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from openpyxl import Workbook

from schedule2sign.errors import InputError
from schedule2sign.intake import archive
from schedule2sign.intake.grid import load_table

MOST_SECONDS, MOST_BYTES = 10, 2**30
ROWS = (("ROOM NO", "ROOM NAME"), ("101", "LIBRARY"), ("102", "CLASSROOM"), ("103", "STORAGE"))
MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
SHEET, STRINGS = "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml"
EXTERNAL = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/externalLinkPath"
ODS = (
    'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"'
    ' xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"'
    ' xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.2"'
)
LAUGHS = "".join(f'<!ENTITY l{n + 1} "{f"&l{n};" * 10}">' for n in range(12))


@dataclass(frozen=True)
class Ended:
    """How a run ended."""

    code: int
    said: str
    seconds: float
    most_bytes: int


def run(*arguments: str | Path, cwd: Path) -> Ended:
    """The command in a process of its own, never with more than 4 GB, and its use of the machine."""

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_DATA, (4 * 2**30, 4 * 2**30))
        resource.setrlimit(resource.RLIMIT_CPU, (60, 60))

    command = [sys.executable, "-m", "schedule2sign", *map(str, arguments)]
    with subprocess.Popen(
        command, cwd=cwd, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, preexec_fn=limit
    ) as child:
        assert child.stdout is not None
        said = child.stdout.read().decode()
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
    return Ended(child.returncode, said, used.ru_utime + used.ru_stime, used.ru_maxrss * 1024)


# ------------------------------------------------------------------ making the files


def book_bytes(edit: Callable[[Workbook], None] | None = None) -> bytes:
    book = Workbook()
    for row in ROWS:
        book.active.append(row)
    if edit:
        edit(book)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def with_parts(changes: dict[str, bytes | Callable[[bytes], bytes]], data: bytes | None = None) -> bytes:
    """A workbook with parts changed or added."""
    stream = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data or book_bytes())) as old,
        zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        names = old.namelist()
        for name in [*names, *(name for name in changes if name not in names)]:
            change = changes.get(name)
            was = old.read(name) if name in names else b""
            new.writestr(name, was if change is None else change if isinstance(change, bytes) else change(was))
    return stream.getvalue()


def streamed(name: str, pieces: Iterator[bytes]) -> bytes:
    """A workbook one part of which is written piece by piece."""
    stream = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(book_bytes())) as old,
        zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as new,
    ):
        for part in old.namelist():
            if part != name:
                new.writestr(part, old.read(part))
        with new.open(name, "w", force_zip64=True) as file:
            for piece in pieces:
                file.write(piece)
    return stream.getvalue()


def sheet_of(body: Iterator[bytes], after: bytes = b"") -> Iterator[bytes]:
    yield f"<worksheet {MAIN}><sheetData>".encode()
    yield from body
    yield b"</sheetData>" + after + b"</worksheet>"


def in_sheet(old: str, new: str, data: bytes | None = None) -> bytes:
    def change(xml: bytes) -> bytes:
        assert old.encode() in xml
        return xml.replace(old.encode(), new.encode())

    return with_parts({SHEET: change}, data)


def many_cells(cell: bytes, *, rows: int, columns: int) -> bytes:
    row = b"<row>" + cell * columns + b"</row>"
    return streamed(SHEET, sheet_of(row for _ in range(rows)))


def ods(body: str, *, head: str = "", method: int = zipfile.ZIP_DEFLATED) -> bytes:
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?>{head}<office:document-content {ODS}><office:body><office:spreadsheet>'
        f'<table:table table:name="Rooms">{body}</table:table></office:spreadsheet></office:body></office:document-content>'
    )
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", method) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet", zipfile.ZIP_STORED)
        archive.writestr(
            "META-INF/manifest.xml",
            '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>',
        )
        archive.writestr("content.xml", content)
    return stream.getvalue()


def ods_row(*cells: str, repeat: str = "") -> str:
    return (
        f"<table:table-row {repeat}>"
        + "".join(
            f'<table:table-cell office:value-type="string"><text:p>{cell}</text:p></table:table-cell>' for cell in cells
        )
        + "</table:table-row>"
    )


ODS_ROWS = "".join(ods_row(*row) for row in ROWS)


def lying_xlsx() -> bytes:
    """A sheet of 300 MB said to be of 5,000 bytes."""
    data = streamed(SHEET, sheet_of(b" " * 2**20 for _ in range(300)))
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        true = archive.getinfo(SHEET).file_size
    assert data.count(struct.pack("<I", true)) >= 1
    return data.replace(struct.pack("<I", true), struct.pack("<I", 5_000))


def lying_ods() -> bytes:
    """An ods that says its sheet is small and unpacks to 300 MB (the reader in Rust goes by what is packed)."""
    data = bytearray(ods(ODS_ROWS + "<!--" + " " * 300_000_000 + "-->"))
    true = struct.pack("<I", len(content := zipfile.ZipFile(io.BytesIO(data)).read("content.xml")))
    assert data.count(true) == 2
    assert len(content) > 300_000_000
    return bytes(data.replace(true, struct.pack("<I", 5_000)))


def picture_of_100_000_by_100_000() -> bytes:
    """A workbook with a picture that claims ten thousand million pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", 100_000, 100_000, 8, 2, 0, 0, 0))
    png = b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
    relations = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006/relationships"
    drawing = (
        '<xdr:wsDr xmlns:xdr="http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"'
        f' xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main" xmlns:r="{relations}"><xdr:oneCellAnchor>'
        "<xdr:from><xdr:col>0</xdr:col><xdr:colOff>0</xdr:colOff><xdr:row>0</xdr:row><xdr:rowOff>0</xdr:rowOff></xdr:from>"
        '<xdr:ext cx="1" cy="1"/><xdr:pic><xdr:nvPicPr><xdr:cNvPr id="1" name="p"/><xdr:cNvPicPr/></xdr:nvPicPr>'
        '<xdr:blipFill><a:blip r:embed="rId1"/></xdr:blipFill><xdr:spPr/></xdr:pic><xdr:clientData/></xdr:oneCellAnchor></xdr:wsDr>'
    )
    return with_parts(
        {
            SHEET: lambda xml: xml.replace(
                b"</worksheet>", f'<drawing xmlns:r="{relations}" r:id="rId1"/></worksheet>'.encode()
            ),
            "xl/worksheets/_rels/sheet1.xml.rels": f'<Relationships xmlns="{package}"><Relationship Id="rId1" Type="{relations}/drawing" Target="/xl/drawings/drawing1.xml"/></Relationships>'.encode(),
            "xl/drawings/drawing1.xml": drawing.encode(),
            "xl/drawings/_rels/drawing1.xml.rels": f'<Relationships xmlns="{package}"><Relationship Id="rId1" Type="{relations}/image" Target="/xl/media/image1.png"/></Relationships>'.encode(),
            "xl/media/image1.png": png,
            "[Content_Types].xml": lambda xml: xml.replace(
                b"</Types>",
                b'<Default Extension="png" ContentType="image/png"/><Override PartName="/xl/drawings/drawing1.xml" ContentType="application/vnd.openxmlformats-officedocument.drawing+xml"/></Types>',
            ),
        }
    )


def external_entity(xml: bytes) -> bytes:
    declared = b'<!DOCTYPE w [<!ENTITY x SYSTEM "file:///etc/passwd">]>'
    assert b"LIBRARY" in xml
    return xml.replace(b"<worksheet", declared + b"<worksheet", 1).replace(b"LIBRARY", b"&x;")


def laughing(xml: bytes) -> bytes:
    declared = f'<!DOCTYPE w [<!ENTITY l0 "ha">{LAUGHS}]>'.encode()
    assert b"LIBRARY" in xml
    return xml.replace(b"<worksheet", declared + b"<worksheet", 1).replace(b"LIBRARY", b"&l12;")


def in_utf_16(xml: bytes) -> bytes:
    return ("<?xml version='1.0' encoding='utf-16'?>" + laughing(xml).decode()).encode("utf-16")


def protected() -> bytes:
    # Container and stream name of an encrypted workbook: MS-OFFCRYPTO 2.3, MS-CFB 2.2.
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504) + "EncryptedPackage".encode("utf-16-le")


def a_million_entries() -> bytes:
    entry = struct.pack("<4s6H3L5H2L", b"PK\x01\x02", 20, 20, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0) + b"a"
    count = 1_000_000
    whole = entry * count
    return b"PK\x03\x04" + whole + struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 0xFFFF, 0xFFFF, len(whole), 4, 0)


def cut(data: bytes, share: float) -> bytes:
    return data[: int(len(data) * share)]


REFUSED: dict[str, tuple[str, Callable[[], bytes], str]] = {
    "a zip bomb": (
        "a.xlsx",
        lambda: streamed(SHEET, sheet_of(b" " * 2**20 for _ in range(300))),
        "unpacks to 300 MB; at most 256 MB are opened",
    ),
    "1 GB of empty cells": (
        "a.xlsx",
        lambda: streamed(SHEET, sheet_of(b'<c s="0"/>' * 104_858 for _ in range(1024))),
        "unpacks to 1024 MB; at most 256 MB are opened",
    ),
    "a zip bomb that lies about its size": ("a.xlsx", lying_xlsx, "damaged or cut off"),
    "shared strings of 200 MB in small pieces": (
        "a.xlsx",
        lambda: streamed(
            STRINGS,
            (f"<sst {MAIN}>".encode() if not n else b"<si><r><rPr/><t>x</t></r></si>" * 33_000 for n in range(200)),
        ),
        "holds more than 500000 formats, notes and pictures",
    ),
    "a million parts": ("a.xlsx", a_million_entries, "holds more than 5000 parts"),
    "a part packed so that Python must guess": (
        "a.ods",
        lambda: ods(ODS_ROWS, method=zipfile.ZIP_LZMA),
        "packed in a way that workbooks are not",
    ),
    "billion laughs": ("a.xlsx", lambda: with_parts({SHEET: laughing}), "declares a document type"),
    "billion laughs in UTF-16": ("a.xlsx", lambda: with_parts({SHEET: in_utf_16}), "declares a document type"),
    "billion laughs in EBCDIC": (
        "a.xlsx",
        lambda: with_parts(
            {SHEET: lambda xml: ("<?xml version='1.0' encoding='cp037'?>" + laughing(xml).decode()).encode("cp037")}
        ),
        "in a code that workbooks are not",
    ),
    "an external entity": ("a.xlsx", lambda: with_parts({SHEET: external_entity}), "declares a document type"),
    "billion laughs in ods": (
        "a.ods",
        lambda: ods(ODS_ROWS.replace("LIBRARY", "&l12;"), head=f'<!DOCTYPE w [<!ENTITY l0 "ha">{LAUGHS}]>'),
        "declares a document type",
    ),
    "an external entity in ods": (
        "a.ods",
        lambda: ods(ODS_ROWS.replace("LIBRARY", "&x;"), head='<!DOCTYPE w [<!ENTITY x SYSTEM "file:///etc/passwd">]>'),
        "declares a document type",
    ),
    "a sheet of a million columns": (
        "a.xlsx",
        lambda: many_cells(b'<c t="n"><v>1</v></c>', rows=1, columns=1_200_000),
        "holds more than 1000000 cells",
    ),
    "a sheet as wide as the format allows": (
        "a.xlsx",
        lambda: in_sheet('<c r="A2"', '<c r="XFD2"'),
        "has 4 rows and 16384 columns",
    ),
    "200 MB of empty cells": (
        "a.xlsx",
        lambda: many_cells(b'<c s="0"/>', rows=1_100, columns=16_384),
        "holds more than 1000000 cells",
    ),
    "one merge over the whole sheet": (
        "a.xlsx",
        lambda: in_sheet("</sheetData>", '</sheetData><mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>'),
        "holds more than 1000000 cells",
    ),
    "one merge over the whole sheet, in disguise": (
        "a.xlsx",
        lambda: in_sheet(
            "</sheetData>", '</sheetData><mergeCells><mergeCell x=">" ref="A1&#58;XFD1048576"/></mergeCells>'
        ),
        "holds more than 1000000 cells",
    ),
    "one link over the whole sheet": (
        "a.xlsx",
        lambda: in_sheet(
            "</sheetData>", '</sheetData><hyperlinks><hyperlink ref="A1:XFD1048576" location="A1"/></hyperlinks>'
        ),
        "holds more than 1000000 cells",
    ),
    "ods rows and columns repeated to the end": (
        "a.ods",
        lambda: ods(
            ODS_ROWS
            + '<table:table-row table:number-rows-repeated="1048570"><table:table-cell table:number-columns-repeated="16384"'
            ' office:value-type="string"><text:p>x</text:p></table:table-cell></table:table-row>'
        ),
        "damaged or cut off",
    ),
    "an ods that lies about its size": ("a.ods", lying_ods, "damaged or cut off"),
    "a broken zip": ("a.xlsx", lambda: b"PK\x03\x04" + bytes(range(256)) * 40, "damaged or cut off"),
    "a workbook cut off": ("a.xlsx", lambda: cut(book_bytes(), 0.6), "damaged or cut off"),
    "an ods cut off": ("a.ods", lambda: cut(ods(ODS_ROWS), 0.6), "damaged or cut off"),
    "a workbook with the ending of a text": ("a.csv", book_bytes, "Rename it to end in .xlsx"),
    "a text with the ending of a workbook": (
        "a.xlsx",
        lambda: b"ROOM NO,ROOM NAME\n101,LAB\n",
        "Rename it to end in .csv",
    ),
    "a web page with the ending of a workbook": ("a.xls", lambda: b"<html><table><tr><td>1", "is a web page or XML"),
    "a workbook under a password": ("a.xlsx", protected, "is protected by a password"),
    "an ods whose parts are encrypted": (
        "a.ods",
        lambda: ods(ODS_ROWS).replace(b"PK\x01\x02\x14\x03\x14\x00\x00", b"PK\x01\x02\x14\x03\x14\x00\x01"),
        "is protected by a password",
    ),
    "a csv with NULs": ("a.csv", lambda: b"ROOM NO,ROOM NAME\n101,LI\x00BRARY\n", "zero bytes"),
    "a csv with a NUL late in it": (
        "a.csv",
        lambda: b"ROOM NO,ROOM NAME\n" + b"101,LIBRARY\n" * 500 + b"102,LA\x00B\n",
        "zero bytes",
    ),
    "a csv of one line of 60 MB": (
        "a.csv",
        lambda: b"ROOM NO,ROOM NAME\n101," + b"A" * 60_000_000,
        "has a line of 60000004 characters",
    ),
    "a csv of 10 million commas": (
        "a.csv",
        lambda: b"ROOM NO,ROOM NAME\n" + b"," * 10_000_000,
        "10000001 marks between cells",
    ),
    "a csv of 10 million lines": ("a.csv", lambda: b"ROOM NO,ROOM NAME\n" + b"1,A\n" * 10_000_000, "10000001 lines"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_read_safely_is_refused_with_one_message(tmp_path: Path, case: str) -> None:
    name, make, words = REFUSED[case]
    path = tmp_path / name
    path.write_bytes(make())
    was = hashlib.sha256(path.read_bytes()).hexdigest()
    ended = run("build", name, "-o", "out", "--quiet", cwd=tmp_path)
    assert words in ended.said
    assert ended.code == 2
    assert ended.said.startswith(f"schedule2sign: {name}")
    assert ended.said.count("\n") == 1
    assert ended.seconds < MOST_SECONDS
    assert ended.most_bytes < MOST_BYTES
    assert [item.name for item in tmp_path.iterdir()] == [name]
    assert hashlib.sha256(path.read_bytes()).hexdigest() == was


# ------------------------------------------------------------------ what is read, and how


def linked() -> bytes:
    """A formula into another workbook, never calculated."""

    def edit(book: Workbook) -> None:
        book.active["B2"] = "=[1]Names!$A$1"

    return with_parts(
        {
            "xl/externalLinks/externalLink1.xml": f'<externalLink {MAIN}><externalBook xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships" r:id="rId1"/></externalLink>'.encode(),
            "xl/externalLinks/_rels/externalLink1.xml.rels": f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="{EXTERNAL}" Target="http://203.0.113.9/names.xlsx" TargetMode="External"/></Relationships>'.encode(),
        },
        book_bytes(edit),
    )


def with_macros() -> bytes:
    kind = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
    relation = b'<Relationship Id="rId99" Type="http://schemas.microsoft.com/office/2006/relationships/vbaProject" Target="vbaProject.bin"/>'
    return with_parts(
        {
            "xl/vbaProject.bin": b"\xd0\xcf\x11\xe0" + b"Sub Auto_Open()" * 50,
            "[Content_Types].xml": lambda xml: xml.replace(
                kind, b"application/vnd.ms-excel.sheet.macroEnabled.main+xml"
            ).replace(
                b"</Types>", b'<Default Extension="bin" ContentType="application/vnd.ms-office.vbaProject"/></Types>'
            ),
            "xl/_rels/workbook.xml.rels": lambda xml: xml.replace(b"</Relationships>", relation + b"</Relationships>"),
        }
    )


def styled_to_the_end(book: Workbook) -> None:
    for column in range(1, 16_385, 64):
        book.active.cell(1_048_576, column).number_format = "0"


def long_in_every_column(book: Workbook) -> None:
    headers = ("DOOR NO", "LEVEL", "QTY", "LEAF", "REMARKS", "STATUS", "OCCUPANCY", "FROM ROOM")
    for column, header in enumerate(headers, start=3):
        book.active.cell(1, column, header)
        book.active.cell(3, column, ("9" * 32_760 + " 9", "0" * 32_767, "A-" * 16_383)[column % 3])
    book.active.append(["TOTAL " + "9" * 32_000 + " 9"])


# Case -> (file, maker, code of the flag that tells it, or "" where there is nothing to tell).
READ: dict[str, tuple[str, Callable[[], bytes], str]] = {
    "macros are not run and not copied": ("a.xlsm", with_macros, ""),
    "external links are not followed": ("a.xlsx", linked, "intake/formula-without-value"),
    "a dimension that claims the whole sheet": (
        "a.xlsx",
        lambda: in_sheet('<dimension ref="A1:B4"', '<dimension ref="A1:XFD1048576"'),
        "",
    ),
    "formats to the last cell of the sheet": ("a.xlsx", lambda: book_bytes(styled_to_the_end), ""),
    "empty ods rows repeated to the end": (
        "a.ods",
        lambda: ods(
            ODS_ROWS + '<table:table-row table:number-rows-repeated="1048572">'
            '<table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
        ),
        "intake/values-only",
    ),
    "a picture of ten thousand million pixels": ("a.xlsx", picture_of_100_000_by_100_000, "intake/values-only"),
    "a cell of 32,767 characters": (
        "a.xlsx",
        lambda: book_bytes(lambda book: book.active.append(("104", "LONG ROOM " * 3_276 + "LONG RO"))),
        "intake/text-too-long",
    ),
    "32,767 characters in every column": ("a.xlsx", lambda: book_bytes(long_in_every_column), "intake/text-too-long"),
}


@pytest.mark.parametrize("case", READ)
def test_what_can_be_read_is_read_within_the_limits(tmp_path: Path, case: str) -> None:
    name, make, code = READ[case]
    path = tmp_path / name
    path.write_bytes(make())
    was = hashlib.sha256(path.read_bytes()).hexdigest()
    ended = run("build", name, "-o", "out", "--json", cwd=tmp_path)
    assert ended.code in (0, 1), ended.said
    assert ended.seconds < MOST_SECONDS
    assert ended.most_bytes < MOST_BYTES
    said = json.loads(ended.said)
    assert not code or code in json.dumps(said) + (tmp_path / "out" / "flagged.csv").read_text(encoding="utf-8")
    listed = json.loads((tmp_path / "out" / "manifest.json").read_text(encoding="utf-8"))
    assert "CLASSROOM" in json.dumps(listed)
    assert "STORAGE" in json.dumps(listed)
    assert sorted(item.name for item in tmp_path.iterdir()) == sorted([name, "out"])
    assert hashlib.sha256(path.read_bytes()).hexdigest() == was
    for file in (tmp_path / "out").rglob("*.xlsx"):
        with zipfile.ZipFile(file) as archive:
            assert not [part for part in archive.namelist() if "vba" in part.lower()]


@pytest.mark.parametrize("codec", ["utf-8", "utf-16"])
def test_cells_are_counted_to_the_last_one(monkeypatch: pytest.MonkeyPatch, codec: str) -> None:
    # The sheet is longer than what is looked at in one piece; the number of its cells is 200,007 by construction.
    head = f'<?xml version="1.0" encoding="{codec}"?><worksheet {MAIN}><sheetData><row>'
    sheet = (
        head
        + '<c r="A1"/>' * 200_000
        + "<x:c >"
        + "<c\n/>" * 2
        + '</row></sheetData><mergeCell ref="$B$2:C3"/></worksheet>'
    )
    data = with_parts({SHEET: sheet.encode(codec)})
    limits = dict(load_table("limits.toml"))
    monkeypatch.setattr(archive, "load_table", lambda _name: limits)
    limits["cells"] = 200_007
    assert SHEET in archive.look_into("a.xlsx", data)
    limits["cells"] = 200_006
    with pytest.raises(InputError, match="holds more than 200006 cells"):
        archive.look_into("a.xlsx", data)


@pytest.mark.parametrize(
    ("area", "cells"),
    [
        ("A1", 0),
        ("http://a.b/c:d", 0),
        ("mailto:XFD1", 0),
        (":", 0),
        ("A1:B2", 4),
        ("$C$3:$D$9", 14),
        ("A:A", 2**20),
        ("1:2", 2 * 2**14),
        ("A1:XFD1048576", 2**34),
    ],
)
def test_the_area_of_a_merge_is_that_of_its_reference(area: str, cells: int) -> None:
    # Last row and column of a sheet is what spreadsheet programs take: 1,048,576 and 16,384 (common practice, no source).
    assert archive._area(f' ref="{area}"'.encode()) == cells
    assert archive._area(f" x='&gt;' ref='{area.replace(':', '&#58;')}'".encode()) == cells
