"""The pages of the proof book: cover, sign types, every message by level, and the exceptions alone at the end."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from importlib.resources import files
from itertools import groupby

from schedule2sign.model.flag import Severity
from schedule2sign.model.job import Job, SignRecord, Status
from schedule2sign.model.rule import Outcome
from schedule2sign.model.shape import SignLayout
from schedule2sign.writers.account import account_lines
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.measures import length_text
from schedule2sign.writers.numbers import inch_text
from schedule2sign.writers.pdfblocks import Block, Break, Head, Space, Together, bookmark, paragraph, titled
from schedule2sign.writers.pdfkept import Entry
from schedule2sign.writers.pdftable import grid, side_by_side
from schedule2sign.writers.places import Places
from schedule2sign.writers.proof_pictures import best_scale, braille_picture, plate_picture
from schedule2sign.writers.questions import ask_questions, tally
from schedule2sign.writers.since import changes_by_sign
from schedule2sign.writers.words import finality_words, raised_lines, sentence, side_words

_SIGNATURES = ("Wording approved", "Braille read (credential)", "Location plan approved", "Released for production")
_PICTURE_PT, _PICTURE_HIGH_PT = 216.0, 330.0
_TEXT_LENGTH = 400  # characters of one fact of a sign; the lists have it whole
_MOST_FLAGS, _MOST_CELLS, _MOST_SIZES = 8, 160, 12
_LEGEND = (
    "Released signs have production files; signs marked HELD have none until their question is settled. HOLD: not made "
    "until settled. ASK: a default was taken and a person must confirm it. Every drawing states its scale. Under the "
    "raised text stand the braille cells, enlarged, with the numbers of their raised dots, and what they read back as."
)


def book(job: Job, marks: Marks, width_pt: float) -> Iterator[Block]:
    """Every block of the book in order."""
    yield from _cover(job, width_pt)
    yield from _types(job, width_pt)
    places, since = Places(job), changes_by_sign(job)
    levels: dict[str, list[SignRecord]] = {}
    for record in job.signs:
        levels.setdefault(record.request.level, []).append(record)
    for level, records in levels.items():
        yield Break()
        if job.settings.page_per_floor:
            yield Head(level or "Level not given")
        yield bookmark(level or "Level not given")
        held = sum(record.status is Status.HELD for record in records)
        yield paragraph(f"{level or 'Level not given'}: {len(records)} signs, {held} of them held", "title")
        for record in records:
            make = partial(_entry, record, places, since, width_pt)
            yield Entry(marks.of(record), make, [bookmark(record.request.sign_id, 1)])
    yield from _exceptions(job, width_pt)


def _cover(job: Job, width_pt: float) -> Iterator[Block]:
    settings, standard = job.settings, job.standard
    yield bookmark("Cover and approval")
    yield paragraph(f"Proof for approval: {settings.title or settings.job}", "title")
    yield paragraph(finality_words(settings.finality), "large")
    facts = [
        ["Job and revision", f"{settings.job}, revision {settings.revision}"],
        ["Checked against", f"{standard.title}, {standard.edition}; limits of {standard.table_date}"],
        ["Lettering", job.font.name],
        ["Braille", f"{job.engine.name} {job.engine.version}"],
        *(["Materials", text] for text in _materials(job)),
        *(["Read", f"{file.name}, SHA-256 {file.sha256}"] for file in job.schedule.inputs),
    ]
    if standard.experimental:
        facts.append(["Caution", "This profile is EXPERIMENTAL: parts of it were not read in the published text."])
    yield grid(("What", "Value"), facts, width_pt, shares=(1, 4))
    yield from titled("Approval", _approval(job, width_pt))
    counts = Counter(flag.severity for flag in job.flags)
    open_counts = [[severity.value, str(counts[severity])] for severity in reversed(Severity)]
    yield from titled("Open flags", grid(("Severity", "Count"), open_counts, width_pt / 3))
    counted = [(count, what) for count, what in account_lines(job.accounting) if count or not what.startswith(" ")]
    account = [[str(count), what.replace("    ", "\u2003")] for count, what in counted]
    yield from titled("Counts: every row of the schedule", grid(("Count", "What"), account, width_pt, shares=(1, 9)))
    if job.comparison is not None:
        totals = [[kind.value, str(count)] for kind, count in job.comparison.totals]
        heading = f"Changes since {job.comparison.old}"
        yield from titled(heading, grid(("Change", "Signs"), totals, width_pt / 3))
    yield from titled("How to read this book", paragraph(_LEGEND))
    cautions = files(__package__).joinpath("cautions.txt").read_text(encoding="utf-8").removeprefix("CAUTIONS\n")
    parts = [paragraph(" ".join(part.split())) for part in cautions.split("\n\n")]
    yield from titled("Cautions", parts[0])
    yield from parts[1:]


def _materials(job: Job) -> list[str]:
    builds = dict.fromkeys(record.plate.build for record in job.signs if record.plate)
    return [
        f"plate {build.base_color}, characters {build.letter_color}, finish {build.finish}, characters raised "
        f"{inch_text(build.raised_mm)}, braille dots {build.dot_shape}"
        for build in builds
    ]


def _approval(job: Job, width_pt: float) -> Block:
    rows = [[f"{role} by", "", "", job.settings.revision] for role in _SIGNATURES]
    return grid(("Role", "Name and signature", "Date", "Revision"), rows, width_pt, shares=(3, 5, 2, 1.2), tall=True)


def _types(job: Job, width_pt: float) -> Iterator[Block]:
    by_type: dict[str, list[SignRecord]] = {}
    for record in job.signs:
        by_type.setdefault(record.request.template, []).append(record)
    yield Break()
    yield bookmark("Sign types")
    yield paragraph("Sign types", "title")
    for name, records in sorted(by_type.items()):
        held = sum(record.status is Status.HELD for record in records)
        heading = f"Type {name}: {len(records)} signs, {held} of them held"
        layout = _typical(records)
        if layout is None:
            yield from titled(heading, paragraph("No sign of this type could be drawn; its flags say why."))
            continue
        scale = best_scale(layout, _PICTURE_PT, _PICTURE_HIGH_PT)
        caption = f"Typical plate, {' / '.join(line.text for line in layout.lines)}, drawn 1 : {scale}"
        left = [plate_picture(layout, scale, sized=True), paragraph(caption, "small")]
        right_pt = width_pt - _PICTURE_PT - 46
        facts = grid(("Dimension", "Value"), list(_dimensions(layout, records)), right_pt, style="small", shares=(2, 3))
        yield Together([paragraph(heading, "heading"), _side_by_side(left, [facts], width_pt)])


def _typical(records: Sequence[SignRecord]) -> SignLayout | None:
    """A sign of the size most signs of the type have."""
    drawn = [(record, (plate.width_mm, plate.height_mm)) for record in records if (plate := record.plate)]
    if not drawn:
        return None
    sizes = Counter(size for _, size in drawn)
    best = max(sizes.values())
    return next(record.layout for record, size in drawn if sizes[size] == best)


def _dimensions(layout: SignLayout, records: Sequence[SignRecord]) -> Iterator[list[str]]:
    size = layout.cell_size
    plates = Counter((r.plate.width_mm, r.plate.height_mm) for r in records if r.plate is not None)
    for (wide, high), count in plates.most_common(_MOST_SIZES):
        yield [f"Plate of {count} signs", f"{length_text(wide)} x {length_text(high)}"]
    if len(plates) > _MOST_SIZES:
        yield ["More plate sizes", str(len(plates) - _MOST_SIZES)]
    if not layout.outline:
        yield ["Corner radius", length_text(layout.corner_radius_mm)]
    for height in sorted({round(line.height_mm, 3) for line in layout.lines}, reverse=True):
        texts = ", ".join(line.text for line in layout.lines if round(line.height_mm, 3) == height)
        yield ["Character height", f"{length_text(height)} ({texts})"]
    for line in sorted(layout.lines, key=lambda line: -line.baseline_mm):
        yield [f"Baseline of {line.text}", f"{length_text(line.baseline_mm)} above the lower edge"]
    yield ["Characters raised", length_text(layout.build.raised_mm)]
    if layout.dots:
        yield ["Braille dot, base and height", f"{length_text(size.base_mm)}, {length_text(size.height_mm)}"]
        pitches = (size.dot_pitch_mm, size.cell_pitch_mm, size.line_pitch_mm)
        yield ["Dots, cells, lines, center to center", ", ".join(map(length_text, pitches))]
        yield ["Lowest dot center", f"{length_text(min(dot.y_mm for dot in layout.dots))} above the lower edge"]
    if layout.pictogram is not None:
        field = layout.pictogram.field
        yield [f"Field of pictogram {layout.pictogram.name}", f"{length_text(field.height_mm)} high"]
    if layout.window is not None:
        yield ["Window", f"{length_text(layout.window.width_mm)} x {length_text(layout.window.height_mm)}"]
    if layout.holes:
        yield ["Holes", f"{len(layout.holes)} of {length_text(layout.holes[0].diameter_mm)}"]
    yield ["Fixing", layout.fixing]


def _entry(record: SignRecord, places: Places, since: Mapping[str, str], width_pt: float) -> list[Block]:
    """One sign, one box; of its job and its place in the schedule it says what its mark is made of."""
    layout, held = record.layout, record.status is Status.HELD
    right_pt = width_pt - _PICTURE_PT - 16
    left: list[Block] = []
    if layout is None:
        left.append(paragraph("No drawing could be made; the flags say why."))
    else:
        scale = best_scale(layout, _PICTURE_PT, _PICTURE_HIGH_PT)
        size = f"{inch_text(layout.width_mm)} x {inch_text(layout.height_mm)}, drawn 1 : {scale}"
        left += [plate_picture(layout, scale, held=held), paragraph(size, "small")]
    mark = "HELD, NOT FOR PRODUCTION" if held else "released"
    right = [paragraph(f"{record.request.sign_id}   {mark}", "large")]
    if record.request.sign_id in since:
        right.append(paragraph(_cut(f"CHANGED since the issue before: {since[record.request.sign_id]}")))
    right.append(paragraph(_cut(" / ".join(raised_lines(record)))))
    for line in record.braille:
        right.append(braille_picture(line.cells[:_MOST_CELLS], right_pt))
        if len(line.cells) > _MOST_CELLS:
            right.append(paragraph(f"... and {len(line.cells) - _MOST_CELLS} more cells, not drawn here", "small"))
        right.append(paragraph(f"reads back: {line.back or 'not read back'}", "small"))
    for text in _facts(record, places):
        right += [Space(2), paragraph(_cut(text), "small")]
    right.append(Space(5))
    right.append(paragraph("APPROVED ____   AS NOTED ____   REVISE ____   by ______________", "body"))
    # A box that fits on a page is never cut at its foot.
    return [_side_by_side(left, right, width_pt, boxed=True)]


def _facts(record: SignRecord, places: Places) -> Iterator[str]:
    request = record.request
    yield f"Type {request.template}, quantity {request.quantity}; {side_words(request)}"
    doors = [
        f"door {request.door}" if request.door else "",
        f"room {request.room_number}" if request.room_number else "",
    ]
    given = places.raw(request.source)
    row = f": {' | '.join(given.as_given)}" if given else ""
    yield f"{', '.join(filter(None, [*doors, request.level]))}; {request.source}{row}"
    if request.insert_text:
        yield f"Insert: {request.insert_text}"
    for change in request.changes:
        yield f"Changed {change.field}: {change.before or '(empty)'} -> {change.after or '(empty)'} ({change.rule})"
    if record.plate is not None and record.plate.remedies:
        yield f"To make it fit: {'; '.join(record.plate.remedies)}"
    outcomes = Counter(verdict.outcome for verdict in record.verdicts)
    if outcomes:
        yield "Rules: " + ", ".join(f"{outcomes[outcome]} {outcome.value}" for outcome in Outcome)
    flags = [flag for flag in record.flags if flag.severity is not Severity.NOTE]
    for flag in flags[:_MOST_FLAGS]:
        yield f"{flag.severity}: {sentence(flag.message)} {flag.fix}"
    if len(flags) > _MOST_FLAGS:
        yield f"... and {len(flags) - _MOST_FLAGS} more flags, all in flagged.xlsx"


def _exceptions(job: Job, width_pt: float) -> Iterator[Block]:
    """The page people read: only what needs an answer, each question once, by who must answer."""
    yield Break()
    yield Head("")
    yield bookmark("Exceptions: what needs an answer")
    yield paragraph("Exceptions: what needs an answer", "title")
    questions = ask_questions(job)
    if not questions:
        yield paragraph("None.")
        return
    yield paragraph(f"{tally(questions)}. The column Asked of counts rows and signs; flagged.xlsx has each of them.")
    for who, asked in groupby(questions, key=lambda question: question.who):
        rows = [
            [
                question.label,
                question.first.severity.value,
                str(len(question.flags)),
                _cut(question.where),
                _cut(question.what),
                _cut(question.first.fix),
                "",
            ]
            for question in asked
        ]
        heads = ("No.", "Severity", "Asked of", "Where", "What", "What to do", "Answer")
        yield from titled(
            f"To answer: {who}", grid(heads, rows, width_pt, style="small", shares=(0.7, 1.1, 0.9, 2.2, 4, 3, 2))
        )


def _cut(text: str) -> str:
    return text if len(text) <= _TEXT_LENGTH else text[: _TEXT_LENGTH - 4] + " ..."


def _side_by_side(left: list[Block], right: list[Block], width_pt: float, *, boxed: bool = False) -> Block:
    wide = _PICTURE_PT + (38 if not boxed else 8)
    # A sign with more to say than a page holds goes on over the page.
    return side_by_side([left, right], [wide, width_pt - wide], boxed=boxed)
