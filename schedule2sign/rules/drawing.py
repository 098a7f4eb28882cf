"""Small drawings of what each rule measures, as SVG, from a table of shapes."""

import tomllib
from functools import cache
from html import escape
from pathlib import Path
from typing import Any

from schedule2sign.rules.rule import Rule

_TABLE = Path(__file__).resolve().parent / "drawings.toml"
_NUMBERS = {"plate": 4, "box": 4, "dot": 3, "ring": 3, "line": 4, "poly": 8, "dim": 4, "text": 2}
_HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 320 160" width="320" height="160" '
    'font-family="sans-serif" font-size="12">'
)
_INK, _FACE, _MARK, _PLATE = "#30363c", "#5a646e", "#b3261e", "#eef1f3"


def draw_rule(rule: Rule) -> str:
    """The rule's drawing.

    Raises:
        ValueError: the table has no drawing of the rule, or a shape in it means nothing.
    """
    entry = _table()["drawing"].get(rule.id)
    if entry is None:
        raise ValueError(f"rule {rule.id} has no drawing")
    shapes = [*_table()["scene"].get(entry.get("scene", ""), []), *entry["shapes"]]
    body = "\n".join(_draw(shape) for shape in shapes)
    title = f"<title>{escape(rule.title)}</title>"
    return f'{_HEAD}\n{title}\n<rect width="320" height="160" fill="#ffffff"/>\n{body}\n</svg>\n'


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(_TABLE.read_text(encoding="utf-8"))


def _draw(shape: str) -> str:
    kind, *rest = shape.split()
    if kind not in _NUMBERS:
        raise ValueError(f"shape {shape!r} means nothing")
    numbers = [float(text) for text in rest[: _NUMBERS[kind]]]
    words = escape(" ".join(rest[_NUMBERS[kind] :]))
    drawn = _mark(numbers, words) if kind == "dim" else _shape(kind, numbers, words)
    if len(numbers) != _NUMBERS[kind] or bool(words) != (kind in ("dim", "text")):
        raise ValueError(f"shape {shape!r} has the wrong number of parts")
    return drawn


def _shape(kind: str, numbers: list[float], words: str) -> str:
    n = [f"{number:g}" for number in numbers]
    if kind in ("plate", "box"):
        paint = f'rx="4" fill="{_PLATE}" stroke="{_INK}"' if kind == "plate" else f'fill="{_FACE}"'
        return f'<rect x="{n[0]}" y="{n[1]}" width="{n[2]}" height="{n[3]}" {paint}/>'
    if kind in ("dot", "ring"):
        paint = f'fill="{_INK}"' if kind == "dot" else f'fill="none" stroke="{_INK}" stroke-width="2"'
        return f'<circle cx="{n[0]}" cy="{n[1]}" r="{n[2]}" {paint}/>'
    if kind == "line":
        return f'<line x1="{n[0]}" y1="{n[1]}" x2="{n[2]}" y2="{n[3]}" stroke="{_INK}"/>'
    if kind == "poly":
        points = " ".join(f"{x},{y}" for x, y in zip(n[::2], n[1::2], strict=True))
        return f'<polygon points="{points}" fill="{_FACE}"/>'
    return f'<text x="{n[0]}" y="{n[1]}" fill="{_INK}">{words}</text>'


def _mark(numbers: list[float], words: str) -> str:
    """A measured distance: a line between two ticks, and its name beside its middle."""
    x1, y1, x2, y2 = numbers
    upright = x1 == x2
    tick = (5.0, 0.0) if upright else (0.0, 5.0)
    ends = "".join(
        f'<line x1="{x - tick[0]:g}" y1="{y - tick[1]:g}" x2="{x + tick[0]:g}" y2="{y + tick[1]:g}"/>'
        for x, y in ((x1, y1), (x2, y2))
    )
    place = (x1 + 7, (y1 + y2) / 2 + 4) if upright else ((x1 + x2) / 2, y1 - 7)
    anchor = "start" if upright else "middle"
    return (
        f'<g stroke="{_MARK}" stroke-width="1.5"><line x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}"/>{ends}</g>'
        f'<text x="{place[0]:g}" y="{place[1]:g}" fill="{_MARK}" text-anchor="{anchor}" '
        f'stroke="#ffffff" stroke-width="3" paint-order="stroke">{words}</text>'
    )
