"""The part of report.html on an earlier issue: totals, alerts, every changed sign."""

import html
from collections.abc import Iterator

from schedule2sign.model.revision import ChangeKind, Comparison, FieldChange, SignChange
from schedule2sign.writers.text import clean_text

LINK = '<li><a href="#changes">Changes</a></li>'
_HEADS = ("Change", "Sign", "Text before", "Text now", "What differs", "What to do", "Pieces")


def changes_section(comparison: Comparison | None) -> str:
    """The section, "" where no earlier issue was given. All text is escaped."""
    if comparison is None:
        return ""
    changed = [change for change in comparison.changes if change.kind is not ChangeKind.UNCHANGED]
    return "".join(
        (
            '<section id="changes" aria-labelledby="changes-head"><h2 id="changes-head">Changes since the earlier issue</h2>',
            f"<p>{_text(comparison.old)}: {_text(comparison.tally)}.</p>",
            *(f'<p class="notice">{_text(alert)}.</p>' for alert in comparison.alerts),
            _table(changed) if changed else "<p>No sign differs.</p>",
            *_rows(comparison),
            "</section>",
        )
    )


def _table(changed: list[SignChange]) -> str:
    heads = "".join(f'<th scope="col">{head}</th>' for head in _HEADS)
    return (
        '<div class="scroll" role="region" aria-label="Table of changed signs" tabindex="0"><table>'
        '<caption class="hidden">Signs that differ from the earlier issue</caption>'
        f"<thead><tr>{heads}</tr></thead><tbody>{''.join(map(_row, changed))}</tbody></table></div>"
    )


def _row(change: SignChange) -> str:
    moved = f"{change.old_id} -> " if change.old_id not in ("", change.sign_id) else ""
    kind = f"{change.kind} ({change.chain})" if change.chain else change.kind.value
    cells = (
        f"{moved}{change.sign_id}",
        change.marked_before,
        change.marked_after,
        "; ".join(map(_field, change.fields)),
        " ".join(part for part in (change.action, change.why) if part),
    )
    return (
        f'<tr><th scope="row">{_text(kind)}</th>'
        + "".join(f"<td>{_text(cell)}</td>" for cell in cells)
        + f'<td class="number">{change.pieces or ""}</td></tr>'
    )


def _field(field: FieldChange) -> str:
    where = " -> ".join(dict.fromkeys(cell for cell in (field.cell_before, field.cell_after) if cell))
    return f"{field.field}: {field.before or '(none)'} -> {field.after or '(none)'} ({where})"


def _rows(comparison: Comparison) -> Iterator[str]:
    if comparison.rows:
        items = "".join(
            f"<li>{_text(row.label)}: {_text(row.before or 'not there')} -> {_text(row.after or 'not there')} "
            f"({_text(row.source)})</li>"
            for row in comparison.rows
        )
        yield f"<h3>Rows without a sign</h3><ul>{items}</ul>"


def _text(text: str) -> str:
    return html.escape(clean_text(text))
