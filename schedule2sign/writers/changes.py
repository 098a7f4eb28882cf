"""What changed since an earlier issue: changes.xlsx for people, changes.json for other programs."""

import json
from collections.abc import Iterator
from typing import Any

from schedule2sign.model.job import Job
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.revision import ChangeKind, Comparison, SignChange
from schedule2sign.writers.sheet import render_workbook
from schedule2sign.writers.table import Column, Sheet, Value

_FILLS = (
    ("new", "D5E8D4"),
    ("deleted", "E6C8C8"),
    ("renumber", "F8C9A0"),
    ("text", "F8C9A0"),
    ("braille only", "F4A6A0"),
    ("material", "FBE8A6"),
    ("layout", "FBE8A6"),
    ("location", "DCE6EE"),
    ("quantity", "DCE6EE"),
    ("status", "DCE6EE"),
)
_COLUMNS = (
    Column("change", 13),
    Column("sign id", 22),
    Column("id before", 22),
    Column("text before", 28),
    Column("text now", 28),
    Column("what differs", 52),
    Column("numbers swapped", 18),
    Column("how far the old one is", 14),
    Column("what to do", 44),
    Column("pieces to make", 9),
    Column("why", 36),
    Column("cost of one", 10),
)
_ROW_COLUMNS = (Column("row", 40), Column("before", 48), Column("now", 48), Column("where", 30))


class Changes:
    """Writes changes.xlsx and changes.json where the job was compared with an earlier issue."""

    name = "changes"

    def render(self, job: Job) -> Iterator[OutFile]:
        if job.comparison is not None:
            yield OutFile("changes.xlsx", render_changes(job.comparison))
            text = json.dumps(describe_changes(job.comparison), ensure_ascii=False, indent=2)
            yield OutFile("changes.json", (text + "\n").encode("utf-8", "replace"))


def render_changes(comparison: Comparison) -> bytes:
    """The workbook: changed signs, totals, rows without a sign."""
    changed = [change for change in comparison.changes if change.kind is not ChangeKind.UNCHANGED]
    totals: tuple[tuple[Value, ...], ...] = (
        *((str(kind), count) for kind, count in comparison.totals),
        ("signs of both issues", len(comparison.changes)),
        ("pieces to make", comparison.pieces),
        *(("alert", alert) for alert in comparison.alerts),
        ("before", comparison.old),
        ("now", comparison.new),
    )
    rows = tuple((row.label, row.before, row.after, row.source) for row in comparison.rows)
    sheets = (
        Sheet("Changed signs", _COLUMNS, tuple(map(_row, changed)), _FILLS, repeat=2),
        Sheet("Totals", (Column("what", 24), Column("count", 80)), totals),
        Sheet("Rows without a sign", _ROW_COLUMNS, rows),
    )
    return render_workbook(sheets, f"{comparison.old} to {comparison.new}")


def _row(change: SignChange) -> tuple[Value, ...]:
    return (
        change.kind.value,
        change.sign_id,
        change.old_id if change.old_id != change.sign_id else "",
        change.marked_before,
        change.marked_after,
        "\n".join(map(_field_line, change.fields)),
        change.chain,
        change.stage.value if change.stage else "",
        change.action,
        change.pieces,
        change.why,
        "",
    )


def _field_line(field: Any) -> str:
    cells = " -> ".join(dict.fromkeys(cell for cell in (field.cell_before, field.cell_after) if cell))
    return f"{field.field}: {field.before or '(none)'} -> {field.after or '(none)'} ({cells})"


def describe_changes(comparison: Comparison) -> dict[str, Any]:
    """The JSON document, "schema": 1; unchanged signs are counted, not listed."""
    return {
        "schema": 1,
        "before": comparison.old,
        "now": comparison.new,
        "differs": comparison.differs,
        "totals": {str(kind): count for kind, count in comparison.totals},
        "pieces_to_make": comparison.pieces,
        "alerts": list(comparison.alerts),
        "signs": [
            {
                "change": change.kind.value,
                "id": change.sign_id,
                "id_before": change.old_id,
                "text_before": change.text_before,
                "text_now": change.text_after,
                "fields": [
                    {
                        "field": field.field,
                        "before": field.before,
                        "now": field.after,
                        "cell_before": field.cell_before,
                        "cell_now": field.cell_after,
                    }
                    for field in change.fields
                ],
                "numbers_swapped": change.chain,
                "stage": change.stage.value if change.stage else None,
                "action": change.action,
                "held": change.held,
                "pieces_to_make": change.pieces,
                "why": change.why,
            }
            for change in comparison.changes
            if change.kind is not ChangeKind.UNCHANGED
        ],
        "rows": [
            {"row": row.label, "before": row.before, "now": row.after, "where": row.source} for row in comparison.rows
        ],
    }
