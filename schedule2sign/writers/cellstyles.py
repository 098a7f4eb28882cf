"""Cell styles added to a workbook's own: the old ones stay where they are, new ones are appended."""

import copy
from typing import Any

from lxml import etree

from schedule2sign.writers.package import Package, PackageError


class CellStyles:
    """The styles part of a workbook.

    Args:
        name: name of the part.
        space: namespace of its elements.
    """

    def __init__(self, package: Package, name: str, space: str) -> None:
        self._space = space
        self._root = package.edit(name)
        self._formats = self._table("cellXfs")
        self._made: dict[tuple[object, ...], int] = {}
        self._fills: dict[str, int] = {}

    def filled(self, base: int, color: str) -> int:
        """The style that differs from `base` in its fill alone."""
        key = ("filled", base, color)
        if key not in self._made:
            old = self._formats[base] if 0 <= base < len(self._formats) else self._formats[0]
            new = copy.deepcopy(old)
            new.set("fillId", str(self._fill(color)))
            new.set("applyFill", "1")
            self._made[key] = self._append(self._formats, new)
        return self._made[key]

    def table_cell(self, color: str = "", *, header: bool = False) -> int:
        """The style of a cell of a table of ours: wrapped, top, text that never turns into a formula when edited."""
        key = ("table", color, header)
        if key not in self._made:
            new = self._element("xf", numFmtId="0", fontId="0", fillId="0", borderId="0", xfId="0", quotePrefix="1")
            if color:
                new.set("fillId", str(self._fill(color)))
                new.set("applyFill", "1")
            if header:
                new.set("fontId", str(self._header_font()))
                new.set("applyFont", "1")
            new.set("applyAlignment", "1")
            new.append(self._element("alignment", horizontal="left", vertical="top", wrapText="1"))
            self._made[key] = self._append(self._formats, new)
        return self._made[key]

    def _fill(self, color: str) -> int:
        if color not in self._fills:
            fill = self._element("fill")
            pattern = etree.SubElement(fill, f"{{{self._space}}}patternFill", patternType="solid")
            etree.SubElement(pattern, f"{{{self._space}}}fgColor", rgb=f"FF{color}")
            etree.SubElement(pattern, f"{{{self._space}}}bgColor", indexed="64")
            self._fills[color] = self._append(self._table("fills"), fill)
        return self._fills[color]

    def _header_font(self) -> int:
        font = self._element("font")
        etree.SubElement(font, f"{{{self._space}}}b")
        etree.SubElement(font, f"{{{self._space}}}sz", val="11")
        etree.SubElement(font, f"{{{self._space}}}color", rgb="FFFFFFFF")
        etree.SubElement(font, f"{{{self._space}}}name", val="Calibri")
        return self._append(self._table("fonts"), font)

    def _element(self, tag: str, **attributes: str) -> Any:
        return etree.Element(f"{{{self._space}}}{tag}", **attributes)

    def _append(self, table: Any, element: Any) -> int:
        table.append(element)
        table.set("count", str(len(table)))
        return len(table) - 1

    def _table(self, tag: str) -> Any:
        found = self._root.find(f"{{{self._space}}}{tag}")
        if found is None or not len(found):
            raise PackageError(f"its styles have no {tag}")
        return found
