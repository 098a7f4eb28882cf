"""The marked copy: everything of the customer's workbook stays, and only marks, notes and our sheets are new."""

import io
import re
import struct
import zipfile
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import replace

import openpyxl
import pytest
from lxml import etree
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.drawing.image import Image
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import Border, Font, PatternFill, Side
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.table import Table

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.source import Source
from schedule2sign.writers import cellnotes, sheetrows
from schedule2sign.writers.markedcopy import COLORS, has_macros, mark_workbook
from schedule2sign.writers.package import Package, PackageError
from schedule2sign.writers.sheet import free_title
from schedule2sign.writers.sheetrows import take_apart
from schedule2sign.writers.table import Column, Sheet

SPACE = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
FILE = "doors.xlsx"
LIST = Sheet("Flagged", (Column("what", 20), Column("n", 5)), (("=1+1", 3), ("_x0041_ and \x07bell", 4)))


def picture() -> bytes:
    """A PNG of one pixel, by the PNG specification (W3C, sections 5 and 11)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 1, 1, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0\xff\0\0")) + chunk(b"IEND", b"")
    )


def busy_book() -> bytes:
    """A workbook with what a plain rewrite loses: a picture, a chart, cached results, notes, a table."""
    book = openpyxl.Workbook()
    page = book.active
    page.title = "DOORS"
    rows = [("DOOR", "NAME", "COUNT"), ("101", "LOBBY", 1), ("102", "STOR.", 2), ("103", "PT ROOM", None)]
    for row in rows:
        page.append(row)
    page["B3"].font = Font(name="Georgia", italic=True, sz=13)
    page["B3"].border = Border(bottom=Side("thin"))
    page["B3"].number_format = "@"
    page["A2"].comment = Comment("Check with the owner", "An architect")
    page["B4"].comment = Comment("Which one?", "An architect")
    page["C4"] = "=SUM(C2:C3)"
    page.merge_cells("E2:F4")
    page["E2"] = "WING A"
    page.conditional_formatting.add("C2:C4", CellIsRule("greaterThan", formula=["1"], fill=PatternFill("solid")))
    allowed = DataValidation(type="list", formula1='"LOBBY,OFFICE"')
    allowed.add("B2:B9")
    page.add_data_validation(allowed)
    page.add_image(Image(io.BytesIO(picture())), "H2")
    chart = BarChart()
    chart.add_data(Reference(page, min_col=3, min_row=1, max_row=3))
    page.add_chart(chart, "H8")
    page.print_area = "A1:F4"
    other = book.create_sheet("Flagged")
    other["A1"] = "the customer's own sheet of that name"
    third = book.create_sheet("LIST")
    third.append(("A", "B"))
    third.append((1, 2))
    third.add_table(Table(displayName="T", ref="A1:B2"))
    stream = io.BytesIO()
    book.save(stream)
    # openpyxl writes no results of formulas; a spreadsheet program does.
    return edited(stream.getvalue(), "xl/worksheets/sheet1.xml", rb"<v\s*/>|<v></v>", b"<v>3</v>")


def edited(data: bytes, part: str, pattern: bytes, new: bytes) -> bytes:
    parts = unpacked(data)
    assert re.search(pattern, parts[part])
    parts[part] = re.sub(pattern, new, parts[part])
    return packed(parts)


def packed(parts: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return stream.getvalue()


def unpacked(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def marked(data: bytes, flags: Iterable[Flag], sheets: Sequence[Sheet] = ()) -> bytes:
    return b"".join(mark_workbook(data, flags, sheets).chunks())


def flag(row: int, column: str = "", severity: Severity = Severity.HOLD, message: str = "what is wrong") -> Flag:
    place = Source(file=FILE, sheet="DOORS", row=row, column=column)
    return Flag(code="naming/x", severity=severity, message=message, source=place, fix="ask", who="architect")


FLAGS = (flag(3, "B"), flag(3, "B", Severity.NOTE, "=HYPERLINK(0)"), flag(4, "B", Severity.ASK), flag(2))


@pytest.fixture(scope="module")
def before() -> bytes:
    return busy_book()


@pytest.fixture(scope="module")
def after(before: bytes) -> bytes:
    return marked(before, FLAGS, (LIST,))


def test_all_other_parts_are_the_same_bytes(before: bytes, after: bytes) -> None:
    old, new = unpacked(before), unpacked(after)
    changed = {name for name in old if new.get(name) != old[name]}
    drawing = next(name for name in old if name.endswith(".vml"))
    comments = next(name for name in old if name.startswith("xl/comments"))
    assert changed == {
        "xl/worksheets/sheet1.xml",
        "xl/styles.xml",
        "xl/workbook.xml",
        "xl/_rels/workbook.xml.rels",
        "[Content_Types].xml",
        drawing,
        comments,
    }
    assert set(new) - set(old) == {"xl/worksheets/sheetS1.xml"}
    assert {"xl/media/image1.png", "xl/charts/chart1.xml", "xl/tables/table1.xml"} <= set(old) - changed


def test_in_the_sheet_itself_only_the_style_of_marked_cells_changes(before: bytes, after: bytes) -> None:
    texts = []
    for data in (before, after):
        root = etree.fromstring(unpacked(data)["xl/worksheets/sheet1.xml"])
        for cell in root.iter(f"{SPACE}c"):
            if cell.get("r") in ("B3", "B4", "A2"):
                cell.set("s", "marked")
        texts.append(etree.tostring(root, method="c14n"))
    assert texts[0] == texts[1]


def test_cached_results_notes_pictures_and_charts_are_kept(after: bytes) -> None:
    assert openpyxl.load_workbook(io.BytesIO(after), data_only=True)["DOORS"]["C4"].value == 3
    page = openpyxl.load_workbook(io.BytesIO(after))["DOORS"]
    assert page["C4"].value == "=SUM(C2:C3)"
    assert len(page._images) == 1
    assert len(page._charts) == 1
    assert page["A2"].comment.text.startswith("Check with the owner\n\nschedule2sign:\nWhole row: HOLD")
    assert page["B4"].comment.text.startswith("Which one?\n\nschedule2sign:\nASK: what is wrong\nTo do: ask")
    assert page["B4"].comment.author == "An architect"


def test_a_marked_cell_keeps_its_look_but_for_the_fill(before: bytes, after: bytes) -> None:
    old = openpyxl.load_workbook(io.BytesIO(before))["DOORS"]["B3"]
    new = openpyxl.load_workbook(io.BytesIO(after))["DOORS"]["B3"]
    assert new.fill.fgColor.rgb == f"FF{COLORS[Severity.HOLD]}"  # the worst of two
    for part in ("font", "border", "number_format", "alignment", "protection"):
        assert repr(getattr(new, part)) == repr(getattr(old, part))
    assert old.font.name == "Georgia"


def test_every_flag_of_a_cell_is_in_its_note_worst_first(after: bytes) -> None:
    note = openpyxl.load_workbook(io.BytesIO(after))["DOORS"]["B3"].comment
    assert note.author == "schedule2sign"
    assert re.findall(r"^(HOLD|NOTE): (.*)$", note.text, re.MULTILINE) == [
        ("HOLD", "what is wrong"),
        ("NOTE", "=HYPERLINK(0)"),
    ]


def test_each_note_has_one_box_on_its_cell(after: bytes) -> None:
    parts = unpacked(after)
    root = etree.fromstring(next(data for name, data in parts.items() if name.endswith(".vml")))
    space = "{urn:schemas-microsoft-com:office:excel}"
    boxes = [
        (int(e.findtext(f"{space}Row")), int(e.findtext(f"{space}Column"))) for e in root.iter(f"{space}ClientData")
    ]
    assert sorted(boxes) == [(1, 0), (2, 1), (3, 1)]  # A2, B3, B4
    ids = [shape.get("id") for shape in root.iter("{urn:schemas-microsoft-com:vml}shape")]
    assert len(set(ids)) == len(ids) == 3


def test_our_table_is_the_last_sheet_under_a_free_name_and_its_text_is_inert(after: bytes) -> None:
    book = openpyxl.load_workbook(io.BytesIO(after))
    assert book.sheetnames == ["DOORS", "Flagged", "LIST", "Flagged (2)"]
    page = book["Flagged (2)"]
    assert page["A2"].value == "=1+1"
    assert page["A2"].data_type != "f"
    assert page["B2"].value == 3
    # Not read as the letter A (ISO/IEC 29500-1, 22.9.2.19: _xHHHH_ is a character, _x005F_ its underscore).
    assert b"_x005F_x0041_ and bell" in unpacked(after)["xl/worksheets/sheetS1.xml"]
    assert b"<f>" not in unpacked(after)["xl/worksheets/sheetS1.xml"]


def test_the_same_job_gives_the_same_bytes(before: bytes, after: bytes) -> None:
    assert marked(before, FLAGS, (LIST,)) == after
    assert marked(before, reversed(FLAGS), (LIST,)) == after


def test_a_sheet_without_notes_gets_them_in_the_place_the_standard_says(before: bytes) -> None:
    on_list = replace(flag(2, "A"), source=Source(file=FILE, sheet="LIST", row=2, column="A"))
    after = marked(before, [on_list])
    root = etree.fromstring(unpacked(after)["xl/worksheets/sheet3.xml"])
    tags = [etree.QName(child).localname for child in root]
    assert tags.index("legacyDrawing") < tags.index("tableParts")  # ISO/IEC 29500-1, 18.3.1.99
    assert openpyxl.load_workbook(io.BytesIO(after))["LIST"]["A2"].comment.text.startswith("HOLD")


def test_empty_cells_missing_rows_and_merged_cells_can_be_flagged(before: bytes) -> None:
    after = marked(before, [flag(3, "D"), flag(9, "B"), flag(4, "F"), flag(3, "E", Severity.NOTE), flag(12)])
    page = openpyxl.load_workbook(io.BytesIO(after))["DOORS"]
    noted = {cell.coordinate for row in page.iter_rows() for cell in row if cell.comment}
    assert noted == {"A2", "B4", "D3", "B9", "E2", "A12"}  # E2 is the corner of the merged range
    assert re.findall(r"Row (\d)", page["E2"].comment.text) == ["4", "3"]
    rows = [
        int(row.get("r")) for row in etree.fromstring(unpacked(after)["xl/worksheets/sheet1.xml"]).iter(f"{SPACE}row")
    ]
    assert rows == sorted(rows)


def test_rows_and_cells_without_numbers_are_found_by_their_order(before: bytes) -> None:
    bare = edited(before, "xl/worksheets/sheet1.xml", rb'<(row|c) r="[A-Z]*\d+"', rb"<\1")
    page = openpyxl.load_workbook(io.BytesIO(marked(bare, [flag(3, "B")])))["DOORS"]
    assert page["B3"].value == "STOR."
    assert page["B3"].comment.text.startswith("HOLD")
    assert page["B3"].font.name == "Georgia"


FAR = (flag(3, "D"), flag(9, "B"), flag(4, "F"), flag(3, "E", Severity.NOTE), flag(12), flag(1), flag(40, "AA"))


@pytest.mark.parametrize("rows", [1, 2, 3])
@pytest.mark.parametrize("found", [FLAGS, FAR, (*FLAGS, *FAR)])
@pytest.mark.parametrize("change", [(rb"", b""), (rb"<row ", b"\n  <row "), (rb"</row>", b"</row><!-- a note -->")])
def test_a_sheet_marked_in_blocks_of_rows_is_the_one_marked_whole(
    before: bytes, rows: int, found: tuple[Flag, ...], change: tuple[bytes, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    data = edited(before, "xl/worksheets/sheet1.xml", *change) if change[0] else before
    sheet = unpacked(data)["xl/worksheets/sheet1.xml"]
    assert take_apart(sheet) is None
    whole = outcome(data, found)
    monkeypatch.setattr(sheetrows, "_BLOCK", rows)
    assert take_apart(sheet) is not None
    assert outcome(data, found) == whole


@pytest.mark.parametrize("comment", [b"", b"<!--rows of this sheet-->"])
def test_notes_are_the_same_however_few_are_made_at_a_time(
    before: bytes, comment: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    part = next(name for name in unpacked(before) if name.startswith("xl/comments"))
    data = edited(before, part, rb"(<commentList>)", rb"\1" + comment)
    found = (*FLAGS, *FAR)
    whole = marked(data, found)
    new = unpacked(whole)[part].count(b"<comment ") - unpacked(before)[part].count(b"<comment ")
    assert new > 3
    assert unpacked(whole)[part].count(b"<!--") == (1 if comment else 0)
    for few in (1, 2, new):
        monkeypatch.setattr(cellnotes, "_FEW", few)
        assert marked(data, found) == whole


def outcome(data: bytes, found: Iterable[Flag]) -> bytes | str:
    try:
        return marked(data, found)
    except PackageError as error:
        return str(error)


@pytest.mark.parametrize(
    ("pattern", "by"),
    [
        (rb'<row r="4"', b'<row r="2"'),  # not in their order
        (rb"<sheetData>", b"<!--rows of this sheet--><sheetData>"),
        (rb"encoding=.UTF-8.", b"encoding='iso-8859-1'"),
        (rb"^<\?xml[^>]*>", b'<!DOCTYPE x [<!ENTITY a "b">]>'),
        (rb"</sheetData>", b"</sheetData><sheetData></sheetData>"),
        (rb"</sheetData>", b"<"),
        (rb"<row ", b"<col "),
    ],
)
def test_a_sheet_that_is_not_plain_is_left_whole(
    before: bytes, pattern: bytes, by: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sheetrows, "_BLOCK", 1)
    sheet = unpacked(before)["xl/worksheets/sheet1.xml"]
    sheet = sheet if sheet.startswith(b"<?xml") else b"<?xml version='1.0' encoding='UTF-8'?>" + sheet
    odd, count = re.subn(pattern, by, sheet)
    assert count
    assert take_apart(sheet) is not None
    assert take_apart(odd) is None
    assert take_apart(sheet.decode().replace("encoding='UTF-8'", "").encode("utf-16")) is None


def test_macros_are_left_out(before: bytes) -> None:
    parts = unpacked(before)
    parts["xl/vbaProject.bin"] = b"a program"
    parts["[Content_Types].xml"] = parts["[Content_Types].xml"].replace(
        b"spreadsheetml.sheet.main+xml", b"ms-excel.sheet.macroEnabled.main+xml"
    )
    parts["xl/_rels/workbook.xml.rels"] = parts["xl/_rels/workbook.xml.rels"].replace(
        b"</Relationships>",
        b'<Relationship Id="rId99" Type="http://schemas.microsoft.com/office/2006/relationships/vbaProject"'
        b' Target="vbaProject.bin"/></Relationships>',
    )
    data = packed(parts)
    assert has_macros(data)
    assert not has_macros(before)
    after = unpacked(marked(data, FLAGS))
    assert not any(b"a program" in part or b"vbaProject" in part for part in after.values())
    assert b"macroEnabled" not in after["[Content_Types].xml"]


def test_a_note_does_not_go_under_a_conversation(before: bytes) -> None:
    parts = unpacked(before)
    parts["xl/threadedComments/threadedComment1.xml"] = (
        b'<ThreadedComments xmlns="http://schemas.microsoft.com/office/spreadsheetml/2018/threadedcomments">'
        b'<threadedComment ref="B3" id="{0}"><text>hm</text></threadedComment></ThreadedComments>'
    )
    rels = "xl/worksheets/_rels/sheet1.xml.rels"
    parts[rels] = parts[rels].replace(
        b"</Relationships>",
        b'<Relationship Id="rId98" Type="http://schemas.microsoft.com/office/2017/10/relationships/threadedComment"'
        b' Target="../threadedComments/threadedComment1.xml"/></Relationships>',
    )
    page = openpyxl.load_workbook(io.BytesIO(marked(packed(parts), [flag(3, "B")])))["DOORS"]
    assert page["B3"].comment is None
    assert page["C3"].comment.text.startswith("About B3: HOLD")
    assert page["B3"].fill.fgColor.rgb == f"FF{COLORS[Severity.HOLD]}"


def test_a_strict_workbook_gets_strict_parts(before: bytes) -> None:
    strict = {
        name: data.replace(
            b"http://schemas.openxmlformats.org/spreadsheetml/2006/main",
            b"http://purl.oclc.org/ooxml/spreadsheetml/main",
        ).replace(RELS.encode(), b"http://purl.oclc.org/ooxml/officeDocument/relationships")
        for name, data in unpacked(before).items()
    }  # the namespaces of ISO/IEC 29500-1, strict
    after = unpacked(marked(packed(strict), FLAGS, (LIST,)))
    for name in ("xl/worksheets/sheetS1.xml", "xl/_rels/workbook.xml.rels", "xl/worksheets/sheet1.xml"):
        assert b"schemas.openxmlformats.org/spreadsheetml" not in after[name]
        assert RELS.encode() not in after[name]


@pytest.mark.parametrize(
    ("damage", "says"),
    [
        (lambda data: b"PK\x03\x04 not a zip", "archive"),
        (lambda data: packed({"a": b""}), "no workbook"),
        (lambda data: edited(data, "xl/worksheets/sheet1.xml", rb"</sheetData>", b"<"), "not well-formed"),
        (lambda data: edited(data, "xl/workbook.xml", rb"^", b'<!DOCTYPE x [<!ENTITY a "b">]>'), "document type"),
        (
            lambda data: edited(data, "xl/_rels/workbook.xml.rels", rb"relationships/styles", b"relationships/x"),
            "no styles",
        ),
        (lambda data: edited(data, "xl/worksheets/sheet1.xml", rb'<row r="3"', b'<row r="x"'), "standard says"),
        (lambda data: edited(data, "xl/comments/comment1.xml", rb"<authors>.*</authors>", b""), "standard says"),
        (lambda data: edited(data, "xl/styles.xml", rb"<fills.*</fills>", b""), "no fills"),
        (lambda data: edited(data, "xl/worksheets/sheet1.xml", rb'r="B3"', b'r="3B"'), "address"),
    ],
)
def test_what_cannot_be_edited_safely_is_refused_in_words(before: bytes, damage, says: str) -> None:
    with pytest.raises(PackageError, match=says):
        marked(damage(before), FLAGS)


def test_a_part_not_touched_is_the_same_object_of_bytes(before: bytes) -> None:
    assert unpacked(b"".join(Package(before).chunks())) == unpacked(before)


@pytest.mark.parametrize(
    ("wanted", "taken", "title"),
    [
        ("Flagged", ["DOORS"], "Flagged"),
        ("Flagged", ["flagged", "Flagged (2)"], "Flagged (3)"),
        ("a/b:c*d?[e]\\f", [], "a b c d  e  f"),
        ("x" * 40, ["x" * 31], "x" * 27 + " (2)"),
        ("History", [], "History (2)"),
        ("", [], "Sheet"),
    ],
)
def test_sheet_titles_are_ones_a_spreadsheet_program_accepts(wanted: str, taken: list[str], title: str) -> None:
    assert free_title(wanted, taken) == title  # limits as a spreadsheet program shows them; common practice, no source
