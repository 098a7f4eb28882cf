"""A contact sheet: signs side by side at one scale, each with its caption, as one SVG or one web page."""

import base64
import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

_SCALE = 36.0  # px an inch: every plate at the same scale, so sizes can be compared
_GAP, _TITLE, _LINE = 28.0, 64.0, 15.0
_SHEET_WIDTH = 1500.0
_INK, _PALE, _PAPER = "#20262c", "#6b757e", "#f1f2f0"
_HEAD = re.compile(r'<\?xml[^>]*\?>\s*|\s(?:width|height)="[^"]*in"')
_ID = re.compile(r'\bid="([^"]+)"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """A drawn sign and what is said about it. `svg` is the sign's own picture in inches."""

    name: str
    caption: tuple[str, ...]
    width_in: float
    height_in: float
    svg: bytes


def sheet_svg(title: str, samples: Sequence[Sample]) -> bytes:
    """All samples on one SVG sheet, row by row in the order given."""
    parts: list[str] = []
    x, y, row_height = _GAP, _TITLE, 0.0
    for number, sample in enumerate(samples):
        width, height = sample.width_in * _SCALE, sample.height_in * _SCALE
        cell = max(width, 6.2 * max(len(line) for line in (sample.name, *sample.caption)))
        if x > _GAP and x + cell > _SHEET_WIDTH - _GAP:
            x, y, row_height = _GAP, y + row_height + _GAP, 0.0
        parts.append(
            f'<svg x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}"{_inner(sample, number)}</svg>'
        )
        below = y + height + 1.2 * _LINE
        parts.append(_text(x, below, sample.name, _INK, 13, "bold"))
        for turn, line in enumerate(sample.caption, start=1):
            parts.append(_text(x, below + turn * _LINE, line, _PALE, 11))
        row_height = max(row_height, height + (len(sample.caption) + 1.6) * _LINE)
        x += cell + _GAP
    total = y + row_height + _GAP
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_SHEET_WIDTH:.0f}" height="{total:.0f}" '
        f'viewBox="0 0 {_SHEET_WIDTH:.0f} {total:.0f}">'
        f'<rect width="100%" height="100%" fill="{_PAPER}"/>{_text(_GAP, 38, title, _INK, 20, "bold")}'
    )
    return f'<?xml version="1.0" encoding="utf-8"?>\n{head}{"".join(parts)}</svg>\n'.encode()


def page_html(title: str, samples: Sequence[Sample]) -> bytes:
    """All samples on one web page; the pictures are inside it, so it can be mailed."""
    figures = "\n".join(
        f'<figure><img alt="{escape(sample.name)}" width="{sample.width_in * _SCALE:.0f}" '
        f'src="data:image/svg+xml;base64,{base64.b64encode(sample.svg).decode()}">'
        f"<figcaption><b>{escape(sample.name)}</b><br>{'<br>'.join(map(escape, sample.caption))}</figcaption></figure>"
        for sample in samples
    )
    return f"""<!doctype html>
<html lang="en"><meta charset="utf-8"><title>{escape(title)}</title>
<style>
body {{ background: {_PAPER}; color: {_INK}; font: 13px/1.4 sans-serif; margin: 28px }}
main {{ display: flex; flex-wrap: wrap; gap: 28px; align-items: flex-start }}
figure {{ margin: 0; max-width: 460px }}
figcaption {{ color: {_PALE}; margin-top: 6px }}
b {{ color: {_INK} }}
</style>
<h1>{escape(title)}</h1>
<main>
{figures}
</main></html>
""".encode()


def _inner(sample: Sample, number: int) -> str:
    """The sign's SVG from its first attribute on, its ids made its own on the sheet."""
    text = _HEAD.sub("", sample.svg.decode(), count=3)
    for name in set(_ID.findall(text)):
        text = text.replace(f'id="{name}"', f'id="{name}-{number}"').replace(f"url(#{name})", f"url(#{name}-{number})")
    return text.strip().removeprefix("<svg").removesuffix("</svg>")


def _text(x: float, y: float, text: str, color: str, size: int, weight: str = "normal") -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" fill="{color}" font-family="sans-serif" font-size="{size}" '
        f'font-weight="{weight}">{escape(text)}</text>'
    )
