"""Text of workbooks with several fonts in one cell, and a short way past it for the text of all other cells."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

from schedule2sign.intake.cells import make_cell
from schedule2sign.intake.grid import GridCell, Mark
from schedule2sign.model.flag import Severity

_TEXT = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}t"
_ESCAPE = "x005F_"  # what openpyxl takes out


def read_rich(value: Any, *, comment: str, struck: bool) -> GridCell | None:
    """A cell of openpyxl's rich text; parts of it may be struck through."""
    parts = [(str(part), struck if isinstance(part, str) else bool(part.font and part.font.strike)) for part in value]
    whole = "".join(text for text, _ in parts)
    live = "".join(text for text, gone in parts if not gone)
    cell = make_cell(whole, comment=comment, struck=not live.strip())
    if cell is None or cell.struck or live == whole:
        return cell
    mark = Mark(
        code="intake/struck-text",
        severity=Severity.HOLD,
        message=f"part of the text is struck through; {live.strip()!r} is what remains of {whole.strip()!r}",
        fix="Ask which text is in force.",
    )
    return replace(cell, text=live, marks=(*cell.marks, mark))


@contextmanager
def plain_at_once() -> Iterator[None]:
    """While openpyxl loads: a text that says nothing of fonts is taken as it is, without an object for each part."""
    from openpyxl.cell.rich_text import CellRichText

    method = CellRichText.__dict__["from_tree"]

    def from_tree(kind: Any, node: Any) -> Any:
        if len(node) == 1 and not node.attrib:
            part = node[0]
            if part.tag == _TEXT and part.text and _ESCAPE not in part.text:
                return (part.text,)
        return method.__func__(kind, node)

    CellRichText.from_tree = classmethod(from_tree)
    try:
        yield
    finally:
        CellRichText.from_tree = method
