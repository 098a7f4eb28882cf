"""Signs as compact data for the report page: shapes, verdicts and texts that repeat stand in it once.

It is written as it is made. What many signs share stands where the first of them needs it, and in the others its number
does; only what was used last is remembered, so that a long job takes no more memory than a short one.
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import chain

from schedule2sign.model.flag import Flag
from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.rule import Basis, Finding, Limit, Measurement, Outcome, Verdict
from schedule2sign.model.shape import PlacedGlyph, Ring, SignLayout
from schedule2sign.model.sign import Decision, RowOutcome
from schedule2sign.model.source import Source
from schedule2sign.writers.colors import find_colors, mix
from schedule2sign.writers.measures import basis_words, measured_text
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.pagejson import page_json
from schedule2sign.writers.places import Places
from schedule2sign.writers.report_pools import Pools
from schedule2sign.writers.since import changes_by_sign
from schedule2sign.writers.words import raised_lines, side_words

_PLACES = 2  # decimals of a millimetre; a screen shows no finer, and the drawings in signs/ are exact


def report_json(job: Job) -> Iterator[str]:
    """Everything the page's script shows, as JSON in pieces: flags worst first, signs and rows in source order."""
    ranked = dict.fromkeys(sorted(job.flags, key=lambda flag: -flag.severity.rank))
    flags = dict.fromkeys(chain(ranked, (flag for record in job.signs for flag in record.flags)))
    pools = Pools(Places(job), {flag: number for number, flag in enumerate(flags)}, changes_by_sign(job))
    unsigned = (decision for decision in job.decisions if decision.outcome is not RowOutcome.SIGNED)
    yield f'{{"listed":{len(ranked)}'
    yield from _member("flags", (_describe_flag(flag, pools) for flag in pools.flags))
    yield from _member("signs", (_describe_sign(record, pools) for record in job.signs))
    yield from _member("unsigned", (_describe_decision(decision, pools) for decision in unsigned))
    yield from _member("rows", (_describe_row(source, pools) for source in pools.rows.sources))
    yield from _member("glyphs", (page_json(_rings_path(outline.rings, 0.0)) for outline in pools.glyphs))
    yield from _member("frames", map(page_json, pools.frames))
    yield "}"


def _member(name: str, values: Iterable[str]) -> Iterator[str]:
    start = f',"{name}":['
    for value in values:
        yield start + value
        start = ","
    yield "]" if start == "," else f"{start}]"


def _describe_sign(record: SignRecord, pools: Pools) -> str:
    request, layout = record.request, record.layout
    described = {
        "id": request.sign_id,
        "status": record.status.value,
        "lines": raised_lines(record),
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
        "row": pools.rows.number(request.source),
        "changes": [[change.field, change.before, change.after, change.rule] for change in request.changes],
        "flags": [pools.flags[flag] for flag in record.flags],
        "files": record.files,
        "design": record.design[:12],
        "size": f"{inch_text(layout.width_mm)} x {inch_text(layout.height_mm)}" if layout else "",
        "remedies": layout.remedies if layout else (),
        "change": pools.since.get(request.sign_id, ""),
    }
    drawing = _drawing(layout, pools) if layout else "-1"
    return f'{page_json(described)[:-1]},"drawing":{drawing},"verdicts":{_verdict_list(record.verdicts, pools)}}}'


def _describe_flag(flag: Flag, pools: Pools) -> str:
    return page_json(
        {
            "severity": flag.severity.value,
            "code": flag.code,
            "message": flag.message,
            "column": flag.source.column if flag.source else "",
            "row": pools.rows.number(flag.source),
            "door": pools.places.door(flag.source),
            "given": flag.given or pools.places.given(flag.source),
            "measured": flag.measured,
            "required": flag.required,
            "clause": flag.clause,
            "fix": flag.fix,
            "who": flag.who,
            "sign": flag.sign_id,
        }
    )


def _describe_decision(decision: Decision, pools: Pools) -> str:
    row = decision.row
    return page_json(
        {
            "row": pools.rows.number(row.raw.source),
            "outcome": decision.outcome.value,
            "door": row.door or row.room_number,
            "name": row.name_as_given,
            "rule": decision.rule,
            "why": decision.reason,
            "signs": decision.sign_ids,
        }
    )


def _describe_row(source: Source, pools: Pools) -> str:
    row = pools.places.raw(source)
    return page_json([source.file, source.sheet, source.row, row.as_given if row else ()])


def _verdict_list(verdicts: Sequence[Verdict], pools: Pools) -> str:
    """The number of the list, -1 for no verdicts; or the list: of each verdict its number, or the verdict."""
    if not verdicts:
        return "-1"
    numbers, items = [], []
    for verdict in verdicts:
        text = _verdict_text(verdict)
        known = pools.verdicts.find(text)
        numbers.append(str(pools.verdicts.add(text) if known is None else known))
        items.append(text if known is None else numbers[-1])
    key = ",".join(numbers)
    found = pools.lists.find(key)
    if found is not None:
        return str(found)
    pools.lists.add(key)
    return f"[{','.join(items)}]"


def _verdict_text(verdict: Verdict) -> str:
    start = _verdict_start(verdict.rule, verdict.outcome, verdict.why_not)
    if not verdict.findings:
        # Nearly half of them measured nothing.
        return f"{start}[{','.join(map(_measure_row, verdict.closest))}],[]]" if verdict.closest else f"{start}[],[]]"
    # What was measured in a finding is shown with it; the closest of the rest follows.
    found = [finding.measurement for finding in verdict.findings if finding.measurement]
    measured = dict.fromkeys([*found, *verdict.closest])
    said = page_json([_finding_text(finding) for finding in verdict.findings])
    return f"{start}[{','.join(map(_measure_row, measured))}],{said}]"


@lru_cache(maxsize=4096)
def _verdict_start(rule: str, outcome: Outcome, why_not: str) -> str:
    return page_json([rule, outcome.value, why_not])[:-1] + ","


def _measure_row(one: Measurement) -> str:
    limit, clause = _limit_words(one.limit)
    unit = one.limit.unit
    return f'["{_measured(one.value, unit)}",{limit},"{_measured(one.margin, unit)}",{clause},{_word(one.where)}]'


@lru_cache(maxsize=4096)
def _limit_words(limit: Limit) -> tuple[str, str]:
    """A limit and its clause."""
    clause = limit.clause or "none: a limit of this program"
    if limit.basis is not Basis.STANDARD and limit.clause:
        clause += f" ({basis_words(limit.basis)})"
    return page_json(str(limit)), page_json(clause)


_word, _measured = lru_cache(maxsize=4096)(page_json), lru_cache(maxsize=8192)(measured_text)


def _finding_text(finding: Finding) -> str:
    allowed = finding.requirement
    return f"{finding.message} Allowed: {allowed}; {allowed.clause}." if allowed else finding.message


def _drawing(layout: SignLayout, pools: Pools) -> str:
    """The number of the drawing, or the drawing."""
    base, letter, _ = find_colors(layout.build)
    height = layout.height_mm
    frame = (_plate_path(layout), _rings_path(layout.border, height), _pictogram_path(layout), _openings_path(layout))
    placed: list[float] = []
    glyphs = [glyph for line in layout.lines for glyph in line.glyphs]
    glyphs += [glyph for line in layout.visual for glyph in line.glyphs]
    for glyph in glyphs:
        placed += (_glyph_number(glyph, pools), _round(glyph.x_mm), _round(height - glyph.baseline_mm))
    dots = "".join([f"M{_n(dot.x_mm)} {_n(height - dot.y_mm)}h0" for dot in layout.dots])
    drawn = page_json(
        [
            _round(layout.width_mm),
            _round(height),
            pools.frames.setdefault(frame, len(pools.frames)),
            placed,
            dots,
            _round(layout.cell_size.base_mm),
            [base, letter, mix(base, "#ffffff", 0.55)],
        ]
    )
    found = pools.drawings.find(drawn)
    if found is not None:
        return str(found)
    pools.drawings.add(drawn)
    return drawn


def _glyph_number(glyph: PlacedGlyph, pools: Pools) -> int:
    # Outlines are shared: one object a letter and size.
    return pools.glyphs.setdefault(glyph.outline, len(pools.glyphs))


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


@lru_cache(maxsize=4096)  # dots and letters of many signs stand on few lines
def _n(value: float) -> str:
    text = f"{value:.{_PLACES}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _round(value: float) -> float:
    return round(value, _PLACES) + 0.0
