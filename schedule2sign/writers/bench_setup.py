"""Pages of the setup sheet that speak of files: which file, layer and tool for which step, and a map of every sheet."""

from collections.abc import Iterable, Iterator
from functools import partial

from schedule2sign.model.bench import BenchPlan
from schedule2sign.model.job import Job
from schedule2sign.model.nest import Nest, NestedSheet
from schedule2sign.model.paper import Rows
from schedule2sign.model.process import Method, Process
from schedule2sign.writers import coupon
from schedule2sign.writers.cut_drawing import PATCH_EDGE, PLATE_CUT, RAISED_CUT
from schedule2sign.writers.drawing import BRAILLE_DRILL, FIXING_HOLES, WINDOW
from schedule2sign.writers.numbers import fixed, trimmed
from schedule2sign.writers.pdfblocks import Block, Sketch, paragraph, titled
from schedule2sign.writers.pdffont import pdf_text, text_width
from schedule2sign.writers.pdfpen import Pen
from schedule2sign.writers.pdftable import grid, rows_of
from schedule2sign.writers.sheets import sheet_path

_MAPS_A_ROW = 2
_PATCHES = (
    "Sign",
    "Patch, across x up",
    "Its left edge from the plate's left",
    "Its lower edge from the plate's bottom",
    "Cut",
)
_OFF = "center line, compensation OFF"
_EDGE = "finished edge: offset for the tool"


def setup_pages(job: Job, width_pt: float) -> tuple[Iterable[Block], Iterable[Block]]:
    """What comes before and after the setup sheet's own tables."""
    bench = job.bench
    if bench is None:
        return (), ()
    columns = ("Step", "File", "Layer", "Tool", "Path in the file", "Depth")
    before = titled("Which file, which layer, which tool", grid(columns, list(_steps(bench)), width_pt))
    after = []
    for nest in (*bench.nests, *bench.patch_nests):
        title = f"Sheets: {nest.stock}. {len(nest.sheets)} sheets; no fewer than {nest.bound} by area alone"
        after += titled(title, _list_sheets(nest, bench.process, width_pt))
        maps = [_map(sheet, width_pt / _MAPS_A_ROW - 6) for sheet in nest.sheets]
        after += titled(f"Map of the sheets: {nest.stock}", rows_of(maps, width_pt, _MAPS_A_ROW))
    if bench.patch_nests:
        count = sum(len(sign.plate.patches) for sign in bench.signs)
        rows = Rows(count, partial(_patch_rows, bench))
        after += titled(
            "Patches of raised sheet: size, and place on the plate", grid(_PATCHES, rows, width_pt, style="small")
        )
    return before, after


def _patch_rows(bench: BenchPlan) -> Iterator[tuple[str, ...]]:
    process = bench.process
    for sign in bench.signs:
        for box in sign.plate.patches:
            size = size_text(box.width_mm, box.height_mm, process.unit, 2)
            yield sign.sign_id, size, _length(box.left_mm, process, 2), _length(box.bottom_mm, process, 2), ""


def _steps(bench: BenchPlan) -> Iterator[tuple[str, ...]]:
    process = bench.process
    plates = [sign.plate for sign in (*bench.signs, *bench.kept)]
    cutter = process.letter_cutter
    mill = f"straight cutter {_length(process.stock.plate_cutter_mm, process)}"
    letters = f"tapered cutter, tip {_length(cutter.tip_mm, process)}, {cutter.included_angle_deg:g} degrees"
    sheets = "sheets/NAME.dxf of the list below; for one plate alone signs/ID.dxf"
    face = "raised sheet's face" if process.method is Method.APPLIQUE else "blank's face"
    depth = f"{_length(process.letter_cut.depth_mm, process)} from the {face}"
    if bench.coupon is not None:
        layers = f"{RAISED_CUT}, {BRAILLE_DRILL}_A, _B, _C" if process.drill else RAISED_CUT
        yield "Test piece", coupon.PATH, layers, "all tools of the job", "as below", "ladder: scrap test below"
    for nest in bench.patch_nests:
        yield (
            "Patches",
            f"sheets/{nest.sheets[0].name[:-2]}NN.dxf",
            PATCH_EDGE,
            "knife or shear",
            "on the line",
            "through",
        )
    yield "Letters", sheets, RAISED_CUT, letters, _OFF, f"{depth}, {process.letter_cut.passes} passes"
    if process.drill is not None and process.drilling is not None:
        drill = f"drill {_length(process.drill.diameter_mm, process)}, point {process.drill.point_angle_deg:g} degrees"
        hole = f"{_length(process.drilling.depth_mm, process)} to the {process.drill.depth_to.value}, from the bare base face"
        yield "Braille holes", "the same file", BRAILLE_DRILL, drill, "centers of the circles", hole
    elif process.dot_form is not None:
        yield "Braille dots", "the same file", BRAILLE_DRILL, "dot cutter", "centers of the circles", "see Settings"
    if any(plate.window for plate in plates):
        yield "Windows", "the same file", WINDOW, mill, _EDGE, "to suit the insert"
    if any(plate.holes for plate in plates):
        yield (
            "Fixing holes",
            "the same file",
            FIXING_HOLES,
            "drill to suit the screw",
            "circles are the holes",
            "through",
        )
    through = f"through, {process.stock.plate_passes} passes"
    yield "Plate edges, last", "sheets/NAME.dxf only", PLATE_CUT, mill, _OFF, through


def size_text(width_mm: float, height_mm: float, unit: str, places: int = 4) -> str:
    """A size across and up: "8 x 4.5 in"."""
    factor, places = (25.4, places) if unit == "in" else (1.0, max(places - 2, 1))
    return f"{trimmed(width_mm / factor, places)} x {trimmed(height_mm / factor, places)} {unit}"


def _length(value_mm: float, process: Process, places: int = 4) -> str:
    if process.unit == "in":
        return f"{fixed(value_mm / 25.4, places)} in"
    return f"{fixed(value_mm, max(places - 1, 0))} mm"


def _list_sheets(nest: Nest, process: Process, width_pt: float) -> Block:
    rows = [
        (
            sheet_path(sheet),
            str(len(sheet.plates)),
            str(sheet.holes),
            f"{sheet.used_share:.0%}",
            f"{_length(sheet.travel_mm, process, 1)} ({_length(sheet.travel_bound_mm, process, 1)})",
            ", ".join(_label(plate.sign_id, plate.copy) for plate in sheet.plates),
            "",
        )
        for sheet in nest.sheets
    ]
    columns = ("File", "Pieces", "Holes", "Used", "Way plate to plate (least possible)", "In working order", "Done")
    return grid(columns, rows, width_pt, style="small", shares=(9, 2.3, 2.2, 1.9, 4.5, 13.5, 2.6))


def _label(sign_id: str, copy: int) -> str:
    if not sign_id:
        return "spare"
    return f"{sign_id} ({copy})" if copy > 1 else sign_id


def _map(sheet: NestedSheet, width_pt: float) -> list[Block]:
    scale = width_pt / sheet.width_mm
    height_pt = sheet.height_mm * scale

    def paint(pen: Pen) -> None:
        pen.stroke("#000000")
        pen.line_width(0.8)
        pen.rect(0, 0, width_pt, height_pt)
        pen.line_width(0.4)
        for number, plate in enumerate(sheet.plates, start=1):
            left, bottom = plate.x_mm * scale, plate.y_mm * scale
            wide, high = plate.width_mm * scale, plate.height_mm * scale
            pen.fill("#FFFFFF" if plate.sign_id else "#DDE2E6")
            pen.rect(left, bottom, wide, high, "B")
            pen.fill("#000000")
            _write_inside(pen, f"{number}  {_label(plate.sign_id, plate.copy)}", left, bottom, wide, high)

    title = paragraph(f"{sheet.name}   (origin lower left, at the corner stop)", "small")
    return [title, Sketch(width_pt, height_pt, paint, recipe=f"{sheet.width_mm} {sheet.plates}")]


def _write_inside(pen: Pen, text: str, left: float, bottom: float, wide: float, high: float) -> None:
    """Along the longer side, as large as the plate lets it be."""
    size = min(7.0, 0.92 * max(wide, high) / max(text_width(pdf_text(text), 1), 0.01), 0.8 * min(wide, high))
    with pen.placed(left + wide / 2, bottom + high / 2, turned_deg=90 if high > wide else 0):
        pen.text_centered(0, -size / 3, text, size)
