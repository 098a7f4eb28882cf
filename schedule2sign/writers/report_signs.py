"""Signs as compact data for the report page: shapes, verdicts and texts that repeat stand in it once."""

import json
from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from schedule2sign.model.flag import Flag
from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.rule import Basis, Finding, Measurement, Verdict
from schedule2sign.model.shape import PlacedGlyph, Ring, SignLayout
from schedule2sign.model.source import Source
from schedule2sign.writers.colors import find_colors, mix
from schedule2sign.writers.measures import basis_words, measured_text
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.places import Places
from schedule2sign.writers.since import changes_by_sign
from schedule2sign.writers.text import clean_text
from schedule2sign.writers.words import raised_lines, side_words

_ENCODER = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"))
_PLACES = 2  # decimals of a millimetre; a screen shows no finer, and the drawings in signs/ are exact


class _Pool:
    """Values by number, each kept once, as JSON."""

    def __init__(self) -> None:
        self.values: list[bytes] = []
        self._known: dict[Hashable, int] = {}

    def number(self, key: Hashable, value: Any) -> int:
        return self._add(key, value) if key not in self._known else self._known[key]

    def find(self, key: Hashable) -> int | None:
        return self._known.get(key)

    def number_alike(self, value: Any) -> int:
        """The number of what is written like the value."""
        text = _encode(value)
        if text not in self._known:
            self._known[text] = len(self.values)
            self.values.append(text)
        return self._known[text]

    def _add(self, key: Hashable, value: Any) -> int:
        self._known[key] = len(self.values)
        self.values.append(_encode(value))
        return self._known[key]


@dataclass(slots=True)
class _Pools:
    """`bare` numbers the verdicts that measured nothing, as nearly half of them do."""

    glyphs: _Pool = field(default_factory=_Pool)
    frames: _Pool = field(default_factory=_Pool)
    drawings: _Pool = field(default_factory=_Pool)
    verdicts: _Pool = field(default_factory=_Pool)
    lists: _Pool = field(default_factory=_Pool)
    flags: _Pool = field(default_factory=_Pool)
    rows: _Pool = field(default_factory=_Pool)
    bare: dict[Hashable, int] = field(default_factory=dict)


def report_json(job: Job) -> Iterator[bytes]:
    """Everything the page's script shows, as JSON in pieces: flags worst first, signs and rows in source order."""
    pools, places = _Pools(), Places(job)
    for flag in sorted(job.flags, key=lambda flag: -flag.severity.rank):
        _flag_number(flag, pools, places)
    listed = len(pools.flags.values)
    since = changes_by_sign(job)
    signs = [
        _encode({**_describe_sign(record, pools, places), "change": since.get(record.request.sign_id, "")})
        for record in job.signs
    ]
    rows = [
        _encode(
            {
                "row": _row_number(decision.row.raw.source, pools, places),
                "outcome": decision.outcome.value,
                "door": decision.row.door or decision.row.room_number,
                "name": decision.row.name_as_given,
                "rule": decision.rule,
                "why": decision.reason,
                "signs": list(decision.sign_ids),
            }
        )
        for decision in job.decisions
        if decision.outcome.value != "signed"
    ]
    yield f'{{"listed":{listed}'.encode()
    for name, values in (
        ("flags", pools.flags.values),
        ("signs", signs),
        ("unsigned", rows),
        ("rows", pools.rows.values),
        ("glyphs", pools.glyphs.values),
        ("frames", pools.frames.values),
        ("drawings", pools.drawings.values),
        ("verdicts", pools.verdicts.values),
        ("lists", pools.lists.values),
    ):
        yield f',"{name}":['.encode()
        yield from _separated(values)
        yield b"]"
    yield b"}"


def _separated(values: list[bytes]) -> Iterator[bytes]:
    """The values with commas between them; each is let go as it is given, for the page holds it then."""
    values.reverse()
    while values:
        yield values.pop()
        if values:
            yield b","


def _describe_sign(record: SignRecord, pools: _Pools, places: Places) -> dict[str, Any]:
    request, layout = record.request, record.layout
    return {
        "id": request.sign_id,
        "status": record.status.value,
        "lines": list(raised_lines(record)),
        "braille": [[line.text, line.cells, line.back] for line in record.braille],
        "code": record.braille[0].code if record.braille else "",
        "level": request.level,
        "door": request.door,
        "room": request.room_number,
        "type": request.template,
        "side": side_words(request),
        "quantity": request.quantity,
        "insert": request.insert_text,
        "rule": request.rule,
        "why": request.reason,
        "row": _row_number(request.source, pools, places),
        "changes": [[change.field, change.before, change.after, change.rule] for change in request.changes],
        "flags": [_flag_number(flag, pools, places) for flag in record.flags],
        "files": list(record.files),
        "design": record.design[:12],
        "size": f"{inch_text(layout.width_mm)} x {inch_text(layout.height_mm)}" if layout else "",
        "remedies": list(layout.remedies) if layout else [],
        "drawing": _drawing_number(layout, pools) if layout else -1,
        "verdicts": _verdict_list(record.verdicts, pools),
    }


def _flag_number(flag: Flag, pools: _Pools, places: Places) -> int:
    found = pools.flags.find(flag)
    if found is not None:
        return found
    described = {
        "severity": flag.severity.value,
        "code": flag.code,
        "message": flag.message,
        "column": flag.source.column if flag.source else "",
        "row": _row_number(flag.source, pools, places),
        "door": places.door(flag.source),
        "given": flag.given or places.given(flag.source),
        "measured": flag.measured,
        "required": flag.required,
        "clause": flag.clause,
        "fix": flag.fix,
        "who": flag.who,
        "sign": flag.sign_id,
    }
    return pools.flags.number(flag, described)


def _row_number(source: Source | None, pools: _Pools, places: Places) -> int:
    """The row as the customer wrote it; -1 for what concerns a whole file or job."""
    if source is None:
        return -1
    row = places.raw(source)
    key = (source.file, source.sheet, source.row)
    return pools.rows.number(key, [*key, list(row.as_given) if row else []])


def _verdict_list(verdicts: Iterable[Verdict], pools: _Pools) -> int:
    numbers = tuple(_verdict_number(verdict, pools) for verdict in verdicts)
    return pools.lists.number(numbers, numbers) if numbers else -1


def _verdict_number(verdict: Verdict, pools: _Pools) -> int:
    if verdict.findings or verdict.closest:
        return _verdict_in_words(verdict, pools)
    key = (verdict.rule, verdict.outcome, verdict.why_not)
    if key not in pools.bare:
        pools.bare[key] = _verdict_in_words(verdict, pools)
    return pools.bare[key]


def _verdict_in_words(verdict: Verdict, pools: _Pools) -> int:
    # What was measured in a finding is shown with it; the closest of the rest follows.
    found = [finding.measurement for finding in verdict.findings if finding.measurement]
    measured = [_measure_row(one) for one in dict.fromkeys([*found, *verdict.closest])]
    said = [_finding_text(finding) for finding in verdict.findings]
    return pools.verdicts.number_alike([verdict.rule, verdict.outcome.value, verdict.why_not, measured, said])


def _measure_row(one: Measurement) -> list[str]:
    clause = one.limit.clause or "none: a limit of this program"
    if one.limit.basis is not Basis.STANDARD and one.limit.clause:
        clause += f" ({basis_words(one.limit.basis)})"
    margin = measured_text(one.margin, one.limit.unit)
    return [measured_text(one.value, one.limit.unit), str(one.limit), margin, clause, one.where]


def _finding_text(finding: Finding) -> str:
    allowed = finding.requirement
    return f"{finding.message} Allowed: {allowed}; {allowed.clause}." if allowed else finding.message


def _drawing_number(layout: SignLayout, pools: _Pools) -> int:
    base, letter, _ = find_colors(layout.build)
    height = layout.height_mm
    frame = (_plate_path(layout), _rings_path(layout.border, height), _pictogram_path(layout), _openings_path(layout))
    placed: list[float] = []
    glyphs = [glyph for line in layout.lines for glyph in line.glyphs]
    glyphs += [glyph for line in layout.visual for glyph in line.glyphs]
    for glyph in glyphs:
        placed += (_glyph_number(glyph, pools), _round(glyph.x_mm), _round(height - glyph.baseline_mm))
    dots = "".join(f"M{_n(dot.x_mm)} {_n(height - dot.y_mm)}h0" for dot in layout.dots)
    drawn = [
        _round(layout.width_mm),
        _round(height),
        pools.frames.number(frame, frame),
        placed,
        dots,
        _round(layout.cell_size.base_mm),
        [base, letter, mix(base, "#ffffff", 0.55)],
    ]
    return pools.drawings.number_alike(drawn)


def _glyph_number(glyph: PlacedGlyph, pools: _Pools) -> int:
    outline = glyph.outline
    found = pools.glyphs.find(id(outline))  # outlines are shared: one object a letter and size
    if found is not None:
        return found
    return pools.glyphs.number(id(outline), _rings_path(outline.rings, 0.0))


def _plate_path(layout: SignLayout) -> str:
    if layout.outline:
        return _rings_path((layout.outline,), layout.height_mm)
    width, height, radius = layout.width_mm, layout.height_mm, layout.corner_radius_mm
    arc = f"a{_n(radius)} {_n(radius)} 0 0 1 "
    across, down, r = _n(width - 2 * radius), _n(height - 2 * radius), _n(radius)
    return (
        f"M{r} 0h{across}{arc}{r} {r}v{down}{arc}-{r} {r}h-{across}{arc}-{r} -{r}v-{down}{arc}{r} -{r}z"
        if radius
        else f"M0 0h{_n(width)}v{_n(height)}h-{_n(width)}z"
    )


def _pictogram_path(layout: SignLayout) -> str:
    return _rings_path(layout.pictogram.rings, layout.height_mm) if layout.pictogram else ""


def _openings_path(layout: SignLayout) -> str:
    """Window and fixing holes."""
    paths = []
    if layout.window is not None:
        box = layout.window
        left, top = _n(box.left_mm), _n(layout.height_mm - box.top_mm)
        paths.append(f"M{left} {top}h{_n(box.width_mm)}v{_n(box.height_mm)}h-{_n(box.width_mm)}z")
    for hole in layout.holes:
        r, d = _n(hole.diameter_mm / 2), _n(hole.diameter_mm)
        arc = f"a{r} {r} 0 1 1 "
        left, middle = _n(hole.x_mm - hole.diameter_mm / 2), _n(layout.height_mm - hole.y_mm)
        paths.append(f"M{left} {middle}{arc}{d} 0{arc}-{d} 0z")
    return "".join(paths)


def _rings_path(rings: Iterable[Ring], height: float) -> str:
    """Path data with y down, from `height` at the top."""
    return "".join("M" + "L".join(f"{_n(x)} {_n(height - y)}" for x, y in ring) + "z" for ring in rings)


def _n(value: float) -> str:
    text = f"{value:.{_PLACES}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _round(value: float) -> float:
    return round(value, _PLACES) + 0.0


def _encode(value: Any) -> bytes:
    """JSON that cannot end the element it stands in, without characters that no document can hold."""
    text = _ENCODER.encode(value)
    if "\\" in text or not text.isprintable():  # only then is there anything to clean in it
        text = _ENCODER.encode(_plain(value))
    text = text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
    return text.encode("utf-8", "replace")


def _plain(value: Any) -> Any:
    if isinstance(value, str):
        return clean_text(value)
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value
