"""A finished job built by hand, for tests of the writers: block letters, real braille cells, every kind of row."""

from dataclasses import replace

from schedule2sign.geometry.design import design_hash
from schedule2sign.geometry.dotgrid import line_span_mm, place_line
from schedule2sign.model.braille import BrailleLine, CellSize, Engine
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Accounting, InHand, Job, MadeSign, SignRecord, SignWork, Standard, Status
from schedule2sign.model.named import Change, NamedRow
from schedule2sign.model.process import Process
from schedule2sign.model.rule import Outcome, Verdict
from schedule2sign.model.schedule import Cell, Field, InputFile, RawRow, RowKind, Schedule
from schedule2sign.model.settings import Settings
from schedule2sign.model.shape import (
    Box,
    Build,
    FontFacts,
    Hole,
    Outline,
    Pictogram,
    PlacedGlyph,
    RaisedLine,
    Ring,
    SignLayout,
)
from schedule2sign.model.sign import Decision, Message, Role, RowOutcome, Side, SignRequest
from schedule2sign.model.source import Source
from schedule2sign.production.drilling import drill_rows
from schedule2sign.production.plate import describe_plate
from schedule2sign.production.process import load_process
from schedule2sign.production.signplan import plan_sign

FILE, SHEET = "harbor-hall-doors.xlsx", "DOORS"
# The middle of each range of ADA 2010 Table 703.3.1, in mm.
SIZE = CellSize(
    name="us", dot_pitch_mm=2.413, cell_pitch_mm=6.858, line_pitch_mm=10.0965, base_mm=1.5494, height_mm=0.7874
)
FONT = FontFacts(
    name="Block",
    file="Block.otf",
    sha256="0" * 64,
    licence="none",
    stroke_ratio=0.13,
    o_ratio=0.7,
    i_has_serifs=False,
    slant_deg=0.0,
)
BUILD = Build(
    raised_mm=0.8382,
    side_deg=15.0,
    dot_shape="domed",
    finish="non-glare",
    base_color="charcoal",
    letter_color="white",
)
HEIGHT_MM = 15.875
WITH_COUNTER = frozenset("0468ABDOPQR")


def source(row: int, column: str = "") -> Source:
    return Source(file=FILE, sheet=SHEET, row=row, column=column)


def rectangle(left: float, bottom: float, right: float, top: float, *, counter: bool = False) -> Ring:
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    return tuple(reversed(corners)) if counter else corners


def block_letter(char: str) -> Outline:
    """A rectangle, with a window where the real letter has one; I and 1 are one stroke wide."""
    stroke = 0.13 * HEIGHT_MM
    width = stroke if char in "I1" else 0.6 * HEIGHT_MM
    rings = [rectangle(0, 0, width, HEIGHT_MM)]
    if char in WITH_COUNTER:
        rings.append(rectangle(stroke, stroke, width - stroke, HEIGHT_MM - stroke, counter=True))
    return Outline(
        char=char,
        height_mm=HEIGHT_MM,
        rings=tuple(rings),
        box=Box(left_mm=0, bottom_mm=0, right_mm=width, top_mm=HEIGHT_MM),
    )


ALPHABET = {char: block_letter(char) for char in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789Ñ"}


def set_raised(text: str, role: Role, message: int, center_mm: float, baseline_mm: float) -> RaisedLine:
    glyphs: list[PlacedGlyph] = []
    words: list[tuple[int, int]] = []
    x = 0.0
    for word in text.split():
        first = len(glyphs)
        for char in word:
            glyphs.append(PlacedGlyph(outline=ALPHABET[char], x_mm=x, baseline_mm=baseline_mm))
            x += ALPHABET[char].box.width_mm + 3.5
        words.append((first, len(glyphs)))
        x += 6.0
    shift = center_mm - (x - 9.5) / 2
    return RaisedLine(
        text=text,
        role=role,
        message=message,
        height_mm=HEIGHT_MM,
        baseline_mm=baseline_mm,
        glyphs=tuple(replace(glyph, x_mm=glyph.x_mm + shift) for glyph in glyphs),
        words=tuple(words),
    )


def lay_out(
    request: SignRequest,
    cells: tuple[str, ...],
    *,
    width_mm: float = 203.2,
    height_mm: float = 101.6,
    corner_radius_mm: float = 3.175,
    pictogram: Pictogram | None = None,
    border: tuple[Ring, ...] = (),
    holes: tuple[Hole, ...] = (),
) -> SignLayout:
    """Lines under each other from the top (or from under the pictogram), braille below, all centered."""
    top = (pictogram.field.bottom_mm if pictogram else height_mm) - 12.7
    lines = []
    for index, message in enumerate(request.messages):
        baseline = top - HEIGHT_MM - index * 1.5 * HEIGHT_MM
        lines.append(set_raised(message.text, message.role, index, width_mm / 2, baseline))
    braille_top = lines[-1].baseline_mm - 11.0
    dots = []
    for index, line in enumerate(cells):
        left = width_mm / 2 - line_span_mm(line, SIZE) / 2
        dots += place_line(line, line=index, left_mm=left, top_mm=braille_top - index * SIZE.line_pitch_mm, size=SIZE)
    return SignLayout(
        request=request,
        template=request.template,
        width_mm=width_mm,
        height_mm=height_mm,
        corner_radius_mm=corner_radius_mm,
        lines=tuple(lines),
        braille=tuple(
            BrailleLine(text=message.text, cells=line, code="ueb-g2", back=message.text.lower())
            for message, line in zip(request.messages, cells, strict=True)
        ),
        dots=tuple(dots),
        cell_size=SIZE,
        font=FONT,
        build=BUILD,
        pictogram=pictogram,
        border=border,
        holes=holes,
    )


def ask_sign(sign_id: str, row: int, texts: tuple[str, ...], **more: object) -> SignRequest:
    roles = (Role.NUMBER, Role.NAME, Role.NAME)
    values: dict = {
        "sign_id": sign_id,
        "source": source(row),
        "door": texts[0],
        "room_number": texts[0],
        "level": "LEVEL 1",
        "name_as_given": texts[-1].title(),
        "messages": tuple(Message(role=role, text=text) for role, text in zip(roles, texts, strict=False)),
        "template": "room",
        "side": Side.CORRIDOR,
        "rule": "room/named",
        "reason": "A named room gets a sign at its door.",
    }
    return SignRequest(**{**values, **more})


def work_of(layout: SignLayout, verdicts: tuple[Verdict, ...], process: Process | None = None) -> SignWork:
    """A work as the signmaker gives it, without a key: no later run takes it over."""
    process = process or load_process()
    cut, cutting = plan_sign(layout, process)
    made = MadeSign(layout=layout, verdicts=verdicts, cut=cut, cutting=cutting, drilled=drill_rows(layout.dots))
    return SignWork(
        key="",
        made_with="",
        flags=(),
        design=design_hash(layout),
        braille=layout.braille,
        plate=describe_plate(layout, process),
        planned=True,
        holder=InHand(made=made),
    )


def no_work(braille: tuple[BrailleLine, ...] = (), design: str = "") -> SignWork:
    """What is left of a sign that could not be laid out."""
    return SignWork(key="", made_with="", flags=(), design=design, braille=braille)


def with_layout(record: SignRecord, layout: SignLayout, verdicts: tuple[Verdict, ...] | None = None) -> SignRecord:
    """The sign made otherwise, without a plan for the bench."""
    verdicts = record.verdicts if verdicts is None else verdicts
    drilled = drill_rows(layout.dots)
    made = MadeSign(layout=layout, verdicts=verdicts, cut=None, cutting=record.cutting, drilled=drilled)
    plate = describe_plate(layout, load_process())
    return replace(record, work=replace(record.work, plate=plate, holder=InHand(made=made)))


def made_with(job: Job, process: Process) -> Job:
    """The job with every sign cut by this process."""
    signs = (
        replace(one, work=work_of(one.layout, one.verdicts, process)) if one.layout is not None else one
        for one in job.signs
    )
    return replace(job, signs=tuple(signs))


def record(layout: SignLayout, flags: tuple[Flag, ...] = ()) -> SignRecord:
    held = any(flag.severity in (Severity.HOLD, Severity.STOP) for flag in flags)
    return SignRecord(
        request=layout.request,
        work=work_of(
            layout,
            (
                Verdict(rule="braille/dot-pitch", outcome=Outcome.MET),
                Verdict(rule="raised/stroke", outcome=Outcome.MET),
            ),
        ),
        flags=flags,
        status=Status.HELD if held else Status.RELEASED,
        drawn_as=() if held else ("signs/{id}.dxf", "signs/{id}.svg"),
    )


def room_sign() -> SignRecord:
    """Two lines: 101 and LOBBY; the cells are UEB 6.1.1 digits and UEB lower-case letters."""
    request = ask_sign(
        "HH-01-101-C",
        8,
        ("101", "LOBBY"),
        changes=(Change(rule="spacing", field="name", before="Lobby ", after="LOBBY"),),
        quantity=2,
    )
    told = Flag(
        code="naming/spacing",
        severity=Severity.NOTE,
        message="Spaces around the name were removed.",
        source=source(8, "C"),
        sign_id=request.sign_id,
        given="Lobby ",
        who="shop",
    )
    return record(lay_out(request, ("⠼⠁⠚⠁", "⠇⠕⠃⠃⠽")), (told,))


def restroom_sign() -> SignRecord:
    """A pictogram field, a border with two rings, four holes, a name with a letter outside ASCII."""
    request = ask_sign(
        "HH-01-102-C", 9, ("102", "NIÑOS"), template="restroom", pictogram="pair", hand="LH", name_as_given="Niños"
    )
    field = Box(left_mm=25.4, bottom_mm=88.9, right_mm=177.8, top_mm=241.3)
    figure = (rectangle(60, 100, 140, 230), rectangle(80, 120, 120, 210, counter=True))
    border = (rectangle(3, 3, 200.2, 251), rectangle(4, 4, 199.2, 250, counter=True))
    holes = tuple(Hole(x_mm=x, y_mm=y, diameter_mm=4.7625) for x in (9.525, 193.675) for y in (9.525, 244.475))
    layout = lay_out(
        request,
        ("⠼⠁⠚⠃", "⠝⠊⠻⠕⠎"),
        height_mm=254.0,
        pictogram=Pictogram(name="pair", field=field, rings=figure),
        border=border,
        holes=holes,
    )
    doubt = Flag(
        code="braille/language",
        severity=Severity.ASK,
        message="The name may not be English.",
        source=source(9, "C"),
        sign_id=request.sign_id,
        given="Niños",
        fix="Confirm the language of the braille.",
        who="transcriber",
    )
    return record(layout, (doubt,))


def held_sign() -> SignRecord:
    """Laid out, measured, held by a rule."""
    request = ask_sign("HH-01-103-C", 10, ("103", "=CMD"), name_as_given="=CMD()|'A\x01\tB'")
    request = replace(request, messages=(Message(role=Role.NUMBER, text="103"), Message(role=Role.NAME, text="CMD")))
    short = Flag(
        code="raised/spacing-too-small",
        severity=Severity.HOLD,
        message="The letters C and M are too close.",
        source=source(10),
        sign_id=request.sign_id,
        measured="0.1102 in",
        required="0.125 in min.",
        clause="ADA 703.2.7",
        fix="Use a wider plate.",
        who="shop",
    )
    return record(lay_out(request, ("⠼⠁⠚⠉", "⠉⠍⠙")), (short,))


def sign_without_layout() -> SignRecord:
    """Nothing could be laid out; the file it comes from cannot be trusted."""
    request = ask_sign("HH-01-104-C", 11, ("104", "OTORHINOLARYNGOLOGY"))
    wide = Flag(
        code="layout/too-wide",
        severity=Severity.STOP,
        message="OTORHINOLARYNGOLOGY is 14.2 in wide; the widest plate leaves 11.0 in.",
        source=source(11, "C"),
        sign_id=request.sign_id,
        who="architect",
    )
    return SignRecord(
        request=request,
        work=no_work((BrailleLine(text="104", cells="⠼⠁⠚⠙", code="ueb-g2"),)),
        flags=(wide,),
        status=Status.HELD,
        drawn_as=(),
    )


def data_row(row: int, door: str, name: str) -> RawRow:
    return RawRow(
        source=source(row),
        kind=RowKind.DATA,
        level="LEVEL 1",
        cells=(
            Cell(field=Field.DOOR, text=door, column="A"),
            Cell(field=Field.ROOM_NUMBER, text=door, column="B"),
            Cell(field=Field.ROOM_NAME, text=name, column="C"),
        ),
        as_given=(door, door, name),
    )


def decide(raw: RawRow, outcome: RowOutcome, reason: str, sign_ids: tuple[str, ...] = ()) -> Decision:
    door, name = raw.text(Field.DOOR), raw.text(Field.ROOM_NAME)
    row = NamedRow(raw=raw, door=door, room_number=door, name=name.strip().upper(), name_as_given=name, level="LEVEL 1")
    return Decision(row=row, outcome=outcome, rule="room/named", reason=reason, sign_ids=sign_ids)


def sample_job() -> Job:
    """Ten rows read, six of data: two released signs, two held, one row unsigned, one merged."""
    signs = (room_sign(), restroom_sign(), held_sign(), sign_without_layout())
    names = ("Lobby ", "Niños", "=CMD()|'A\x01\tB'", "OTORHINOLARYNGOLOGY", "VESTIBULE", "@SUM(1)")
    data = tuple(data_row(8 + index, str(101 + index), name) for index, name in enumerate(names))
    rows = (
        RawRow(source=source(5), kind=RowKind.TITLE, as_given=("HARBOR HALL",)),
        RawRow(source=source(6), kind=RowKind.BLANK),
        RawRow(source=source(7), kind=RowKind.HEADER, as_given=("DOOR", "NO", "NAME")),
        *data,
        RawRow(source=source(14), kind=RowKind.STRUCK, as_given=("107", "107", "STORAGE")),
    )
    ids = tuple((sign.request.sign_id,) for sign in signs)
    decisions = (
        decide(data[0], RowOutcome.SIGNED, "named room", ids[0]),
        decide(data[1], RowOutcome.SIGNED, "restroom", ids[1]),
        decide(data[2], RowOutcome.HELD, "letters too close", ids[2]),
        decide(data[3], RowOutcome.HELD, "too wide", ids[3]),
        decide(data[4], RowOutcome.UNSIGNED, "A vestibule is passed through: no sign."),
        decide(data[5], RowOutcome.MERGED, "Same room as row 8.", ids[0]),
    )
    whole_file = Flag(
        code="signlist/no-exit-rows",
        severity=Severity.ASK,
        message="The schedule has no exit rows.",
        who="architect",
    )
    return Job(
        settings=Settings(job="HH", title="Harbor Hall", revision="B"),
        standard=Standard(
            id="us-ada-2010",
            title="2010 ADA Standards",
            edition="2010",
            table_date="2026-11-01",
            experimental=False,
        ),
        font=FONT,
        engine=Engine(name="liblouis", version="3.24.0", tables=(("en-ueb-g2.ctb", "1" * 64),)),
        version="0.1.0",
        schedule=Schedule(
            inputs=(InputFile(name=FILE, sha256="2" * 64, size_bytes=4321),), tables=(), rows=rows, flags=()
        ),
        decisions=decisions,
        signs=signs,
        flags=(whole_file, *(flag for sign in signs for flag in sign.flags)),
        accounting=Accounting(
            rows_read=10,
            rows_by_kind=(("data", 6), ("title", 1), ("blank", 1), ("header", 1), ("struck", 1)),
            data_rows=6,
            outcomes=(("signed", 2), ("unsigned", 1), ("held", 2), ("merged", 1)),
            unsigned_reasons=(("A vestibule is passed through: no sign.", 1),),
            signs_listed=4,
            signs_released=2,
            signs_held=2,
            pieces_released=3,
            designs_released=2,
        ),
    )
