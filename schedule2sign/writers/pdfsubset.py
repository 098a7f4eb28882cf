"""The font in a PDF: the outlines that are used, under their numbers in the whole font, and what their characters are.

Clauses are those of ISO 32000-1:2008.
"""

import hashlib
import io
from collections.abc import Iterable, Iterator, Sequence
from struct import pack

from schedule2sign.writers.pdffile import PdfFile
from schedule2sign.writers.pdffont import glyph_numbers, glyph_widths, load_font

_MOST_MAPPED = 100  # characters a section of a CMap may map (Adobe technical note 5014, operator beginbfchar)


def write_font(file: PdfFile, number: int, characters: Iterable[str]) -> Iterator[bytes]:
    """The font (9.7) under this number, and its parts."""
    numbers, widths = glyph_numbers(), glyph_widths()
    shown: dict[int, int] = {}  # code points by glyph; the lower where two look the same, as Greek letters and signs do
    for code in sorted(map(ord, characters), reverse=True):
        shown[numbers[code]] = code
    program = _subset(shown)
    descendant, descriptor, outlines, meaning = range(first := file.reserve(4), first + 4)
    name = f"{_tag(program)}+{load_font()['name'].getDebugName(6)}"
    used = " ".join(f"{glyph} [{widths[glyph]:.7g}]" for glyph in sorted(shown))
    yield file.object(
        number,
        f"<< /Type /Font /Subtype /Type0 /BaseFont /{name} /Encoding /Identity-H "
        f"/DescendantFonts [{descendant} 0 R] /ToUnicode {meaning} 0 R >>",
    )
    yield file.object(
        descendant,
        f"<< /Type /Font /Subtype /CIDFontType2 /BaseFont /{name} /CIDToGIDMap /Identity "
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (Identity) /Supplement 0 >> "
        f"/FontDescriptor {descriptor} 0 R /DW {widths[0]:.7g} /W [{used}] >>",
    )
    yield file.object(
        descriptor, f"<< /Type /FontDescriptor /FontName /{name} {_measures()} /FontFile2 {outlines} 0 R >>"
    )
    yield file.stream(outlines, f"/Length1 {len(program)} ", program)
    yield file.stream(meaning, "", "\n".join(_cmap(sorted(shown.items()))).encode("ascii"))


def _measures() -> str:
    """Of the whole font (9.8.1)."""
    font = load_font()
    head, os2, stem = font["head"], font["OS/2"], font["glyf"][str(glyph_numbers()[ord("l")])]
    box = (head.xMin, head.yMin, head.xMax, head.yMax)
    names = {
        "Ascent": os2.sTypoAscender,
        "Descent": os2.sTypoDescender,
        "CapHeight": os2.sCapHeight,
        "StemV": stem.xMax - stem.xMin,  # the letter l of this font is one stem
    }
    unit = 1000 / head.unitsPerEm
    corners = " ".join(f"{corner * unit:.7g}" for corner in box)
    values = " ".join(f"/{name} {value * unit:.7g}" for name, value in names.items())
    return f"/Flags 4 /ItalicAngle 0 {values} /FontBBox [{corners}]"


def _subset(glyphs: Iterable[int]) -> bytes:
    """The font program with the outlines of these glyphs alone; all keep their numbers (tables: OpenType, ISO 14496-22).

    The library's own subsetter also thins out what a PDF does not carry, and takes ten times as long.
    """
    from fontTools.ttLib.sfnt import SFNTWriter

    font = load_font()
    outlines, places = font.reader["glyf"], font["loca"]
    kept = _with_parts(glyphs)
    count = max(kept) + 1
    data, begins = bytearray(), [0]
    for glyph in range(count):
        if glyph in kept:
            data += outlines[places[glyph] : places[glyph + 1]]
            data += bytes(-len(data) % 4)
        begins.append(len(data))
    measured = min(font["hhea"].numberOfHMetrics, count)
    head, over, most = (bytearray(font.reader[name]) for name in ("head", "hhea", "maxp"))
    head[50:52] = pack(">h", 1)  # indexToLocFormat: places of four bytes
    over[34:36] = pack(">H", measured)  # numberOfHMetrics
    most[4:6] = pack(">H", count)  # numGlyphs
    tables = {
        "glyf": bytes(data),
        "head": bytes(head),
        "hhea": bytes(over),
        "hmtx": font.reader["hmtx"][: 4 * measured + 2 * (count - measured)],
        "loca": pack(f">{count + 1}I", *begins),
        "maxp": bytes(most),
    }
    stream = io.BytesIO()
    writer = SFNTWriter(stream, len(tables))
    for name, table in tables.items():
        writer[name] = table
    writer.close()
    return stream.getvalue()


def _with_parts(glyphs: Iterable[int]) -> set[int]:
    """These glyphs, those they are put together of, and the one for what is missing."""
    table, kept, left = load_font()["glyf"], {0}, list(glyphs)
    while left:
        glyph = left.pop()
        kept.add(glyph)
        left += set(map(int, table[str(glyph)].getComponentNames(table))) - kept
    return kept


def _tag(program: bytes) -> str:
    """Six letters that tell this subset from others (9.6.4)."""
    return "".join(chr(ord("A") + byte % 26) for byte in hashlib.sha256(program).digest()[:6])


def _cmap(shown: Sequence[tuple[int, int]]) -> Iterator[str]:
    """The characters of the glyphs, for search and copying (9.10.3)."""
    yield "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap"
    yield "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def"
    yield "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def"
    yield "1 begincodespacerange\n<0000> <ffff>\nendcodespacerange"
    for first in range(0, len(shown), _MOST_MAPPED):
        part = shown[first : first + _MOST_MAPPED]
        yield f"{len(part)} beginbfchar"
        yield from (f"<{glyph:04x}> <{chr(code).encode('utf-16-be').hex()}>" for glyph, code in part)
        yield "endbfchar"
    yield "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend"
