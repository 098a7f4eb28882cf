"""The buyer's workbook: what every floor needs, what to order, with formulas over numbers that can be changed."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

from schedule2sign.model.bench import BenchPlan, Need
from schedule2sign.model.job import Job
from schedule2sign.model.outfile import OutFile
from schedule2sign.model.process import Method
from schedule2sign.writers.sheet import FACE, save_workbook, set_page, set_text
from schedule2sign.writers.sheetprint import row_height_pt

PATH = "take-off.xlsx"
_MM2_PER = {"in": ("sq ft", 304.8**2), "mm": ("m2", 1e6)}
_MM_PER = {"in": ("ft", 304.8), "mm": ("m", 1e3)}
_HEAD_ROW = 4
_PLACES = 4
_WIDTHS = {"Item": 40, "How counted": 60}
_YELLOW, _HEAD = "FFF4C2", "404A54"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """One item. `floors` are its counts by floor, () where only the whole job has one: `total`.

    A line without `pack` is counted, not ordered.
    """

    item: str
    unit: str
    floors: tuple[float, ...] = ()
    total: float = 0.0
    extra: float = 0.0
    share: float = 0.0
    least: float = 0.0
    pack: float | None = None
    how: str = ""


class TakeOff:
    """Writes take-off.xlsx; nothing where no sign is released."""

    name = "take-off"

    def render(self, job: Job) -> Iterator[OutFile]:
        if job.bench is None or not job.bench.signs:
            return
        yield OutFile(PATH, partial(_render, job, job.bench))


def _render(job: Job, bench: BenchPlan) -> Iterator[bytes]:
    from openpyxl import Workbook

    book = Workbook()
    page = book.active
    page.title = "Take-off"
    _fill(page, job, bench)
    return save_workbook(book, f"{job.settings.job} revision {job.settings.revision}: take-off")


def _lines(bench: BenchPlan) -> Iterator[_Line]:
    *floors, total = bench.needs
    process, spares = bench.process, bench.process.spares
    area_unit, area = _MM2_PER[process.unit]
    long_unit, long = _MM_PER[process.unit]

    def by_floor(value: Callable[[Need], float]) -> tuple[float, ...]:
        return tuple(round(value(need), _PLACES) for need in floors)

    yield _Line(item="Signs", unit="pcs", floors=by_floor(lambda need: need.signs), how="released signs")
    yield _Line(item="Pieces", unit="pcs", floors=by_floor(lambda need: need.pieces), how="signs times quantity")
    how = {order.item: order.how for order in bench.orders}
    for size, _ in total.plates:
        yield _Line(
            item=f"Plate {size}",
            unit="pcs",
            floors=tuple(dict(need.plates).get(size, 0) for need in floors),
            share=spares.plate_share,
            least=spares.plate_least,
            pack=1,
            how=f"cut from the stock sheets below, or bought as blanks, not both; {how[f'Plate {size}']}",
        )
    yield _Line(item="Plate area", unit=area_unit, floors=by_floor(lambda need: need.plate_mm2 / area))
    for nest in bench.nests:
        nested = f"nested with the spare blanks, not fewer than {nest.bound} by area; build again after changing a size or spare"
        yield _Line(item=f"Stock sheet {nest.stock}", unit="sheets", total=len(nest.sheets), pack=1, how=nested)
    if process.method is Method.APPLIQUE:
        patches = by_floor(lambda need: need.patch_mm2 / area)
        yield _Line(
            item="Raised sheet, patches", unit=area_unit, floors=patches, how="text and pictogram, margin all round"
        )
    for nest in bench.patch_nests:
        yield _Line(
            item=nest.stock[:1].upper() + nest.stock[1:],
            unit="sheets",
            total=len(nest.sheets),
            share=spares.plate_share,
            least=1,
            pack=1,
            how=f"patches nested, not fewer than {nest.bound} by area; buy one lot, for one color",
        )
    if process.sphere is not None and total.dots:
        yield _Line(
            item=f"Ball {_diameter(process.sphere.diameter_mm, process.unit)}",
            unit="pcs",
            floors=by_floor(lambda need: need.dots),
            extra=spares.sphere_scrap,
            share=spares.sphere_share,
            least=spares.sphere_least,
            pack=spares.sphere_pack,
            how="one a dot; extra: the scrap test of one setup",
        )
    tape = by_floor(lambda need: need.tape_mm / long)
    yield _Line(
        item="Double-sided tape", unit=long_unit, floors=tape, pack=1, how=f"{spares.tape_strips} strips a plate"
    )
    yield _Line(item="Insert", unit="pcs", floors=by_floor(lambda need: need.inserts), pack=1, how="one a window")
    holes = by_floor(lambda need: need.fixing_holes)
    yield _Line(item="Screw and plug", unit="pcs", floors=holes, pack=1, how="one a fixing hole")
    yield _Line(item="Back label", unit="pcs", floors=by_floor(lambda need: need.pieces), pack=1, how="one a piece")


def _diameter(value_mm: float, unit: str) -> str:
    return f"{value_mm / 25.4:.4f} in" if unit == "in" else f"{value_mm:.3f} mm"


def _fill(page: Any, job: Job, bench: BenchPlan) -> None:
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter as letter

    floors = [need.floor or "floor not given" for need in bench.needs[:-1]]
    heads = ["Item", "Unit", *floors, "Total", "Extra", "Spare share", "Spare at least", "Pack of", "To order"]
    heads += ["Unit price", "Cost", "How counted"]
    column = {name: place for place, name in enumerate(heads, start=1) if name not in floors}
    first, last = 3, 2 + len(floors)
    set_text(
        page.cell(row=1, column=1),
        f"{job.settings.title or job.settings.job}: take-off, revision {job.settings.revision}",
    )
    page.cell(row=1, column=1).font = Font(name=FACE, bold=True, size=14)
    set_text(
        page.cell(row=2, column=1),
        "Released signs only. Yellow cells may be changed; the rest follows. To order = whole packs of total, extra and spare, "
        "where the spare is the share or the least number, whichever is more.",
    )
    for place, name in enumerate(heads, start=1):
        cell = page.cell(row=_HEAD_ROW, column=place)
        set_text(cell, name)
        cell.font, cell.fill = Font(name=FACE, size=11, bold=True, color="FFFFFF"), PatternFill("solid", fgColor=_HEAD)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        page.column_dimensions[letter(place)].width = _WIDTHS.get(name, 12)
    page.row_dimensions[_HEAD_ROW].height = row_height_pt(heads, [_WIDTHS.get(name, 12) for name in heads])
    top = Alignment(vertical="top")
    may_change = PatternFill("solid", fgColor=_YELLOW)

    def put(row: int, place: int, value: object, shown: str = "General") -> None:
        cell = page.cell(row=row, column=place, value=value)
        cell.fill, cell.number_format = may_change, shown

    row = _HEAD_ROW
    for row, line in enumerate(_lines(bench), start=_HEAD_ROW + 1):
        set_text(page.cell(row=row, column=column["Item"]), line.item)
        set_text(page.cell(row=row, column=column["Unit"]), line.unit)
        how = page.cell(row=row, column=column["How counted"])
        set_text(how, line.how)
        how.alignment = Alignment(wrap_text=True, vertical="top")
        page.row_dimensions[row].height = row_height_pt(
            (line.item, line.how), (_WIDTHS["Item"], _WIDTHS["How counted"])
        )
        for place, count in enumerate(line.floors, start=first):
            put(row, place, count)
        total = f"{letter(column['Total'])}{row}"
        if line.floors:
            page[total] = f"=SUM({letter(first)}{row}:{letter(last)}{row})"
        else:
            put(row, column["Total"], line.total)
        if line.pack is None:
            continue
        put(row, column["Extra"], line.extra)
        put(row, column["Spare share"], line.share, "0%")
        put(row, column["Spare at least"], line.least)
        put(row, column["Pack of"], line.pack)
        put(row, column["Unit price"], None, "0.00")
        extra, share, least, pack, order, price = (
            f"{letter(column[name])}{row}"
            for name in ("Extra", "Spare share", "Spare at least", "Pack of", "To order", "Unit price")
        )
        # A floating-point hair over a whole number must not buy one more.
        spare = f"MAX(ROUNDUP(({total}+{extra})*{share}-1E-9,0),{least})"
        page[order] = f"=IF({total}=0,0,ROUNDUP(({total}+{extra}+{spare})/{pack}-1E-9,0)*{pack})"
        page[f"{letter(column['Cost'])}{row}"] = f"={order}*{price}"
        for place in range(1, len(heads)):
            page.cell(row=row, column=place).alignment = top
    _add_cost(page, row + 1, column, letter)
    page.freeze_panes = page.cell(row=_HEAD_ROW + 1, column=2)
    set_page(page, bench.process.unit)
    page.print_title_rows = f"{_HEAD_ROW}:{_HEAD_ROW}"


def _add_cost(page: Any, row: int, column: dict[str, int], letter: Any) -> None:
    from openpyxl.styles import Font

    cost = letter(column["Cost"])
    set_text(page.cell(row=row, column=column["Item"]), "Material cost")
    page[f"{cost}{row}"] = f"=SUM({cost}{_HEAD_ROW + 1}:{cost}{row - 1})"
    for place in (column["Item"], column["Cost"]):
        page.cell(row=row, column=place).font = Font(name=FACE, size=11, bold=True)
