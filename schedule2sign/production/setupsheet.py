"""The setup sheet: what is set, on whose word, what it gives, in what order, and how it is tried on scrap."""

import functools
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from importlib.resources import files

from schedule2sign.model.bench import BenchPlan, DialPlan, DomePlan
from schedule2sign.model.paper import PaperTable
from schedule2sign.model.process import Direction, Drilling, Method, Process
from schedule2sign.production.amounts import length_text, minutes_text
from schedule2sign.production.coupon import trial_depths
from schedule2sign.production.cutwidth import at_base
from schedule2sign.production.limits import load_limits
from schedule2sign.production.machining import raised_height_mm
from schedule2sign.production.process import key_of
from schedule2sign.production.tally import Tally

CONFIRM = "ASSUMED: confirm"


def setup_tables(plan: BenchPlan, tally: Tally) -> Iterator[PaperTable]:
    """Tables of the setup sheet, in the order they are needed."""
    process = plan.process
    yield PaperTable(
        title="Settings",
        columns=("What", "Set to", "Basis", "Measured or corrected"),
        rows=tuple(_settings_rows(process)),
        fill_in=("Measured or corrected",),
    )
    yield PaperTable(title="Letters", columns=("What", "Value"), rows=tuple(_letter_rows(plan, tally)))
    if plan.dome is not None:
        yield PaperTable(title="Braille holes", columns=("What", "Value"), rows=tuple(_dome_rows(process, plan.dome)))
    if plan.dial is not None:
        yield PaperTable(
            title="Zeroing and dial", columns=("What", "Value"), rows=tuple(_dial_rows(process, plan.dial))
        )
    yield PaperTable(title="Order of work", columns=("Step", "Do"), rows=tuple(_order_of_work(plan)))
    if plan.dome is not None:
        yield _scrap_test(process, plan.dome)
    if plan.coupon is not None and plan.coupon.letters:
        yield PaperTable(
            title="Test letters",
            columns=("Letters on the test piece", "Ok, initials"),
            rows=((plan.coupon.letters, ""),),
            fill_in=("Ok, initials",),
        )
    yield PaperTable(title="Time", columns=("What", "Time"), rows=tuple(_time_rows(plan, tally)))
    yield PaperTable(
        title="Material to have ready",
        columns=("Item", "Need", "Order", "Unit", "How counted"),
        rows=tuple((o.item, f"{o.need:.5g}", f"{o.total:.5g}", o.unit, o.how) for o in plan.orders),
    )


def _settings_rows(process: Process) -> Iterator[tuple[str, ...]]:
    return ((what, value, basis, "") for _, what, value, basis in say_settings(process))


def say_settings(process: Process, *, everything: bool = False) -> list[tuple[str, str, str, str]]:
    """Key, what it is, its value and who vouches for it, in the order of the setup sheet; or every value there is."""
    words = _words()
    rows = []
    for key, what in (words["words"] | (words["more"] if everything else {})).items():
        section, short = key.split(".")
        values = getattr(process, section)
        if values is None:
            continue
        name = next(field.name for field in fields(values) if key_of(field.name) == short)
        rows.append((key, what, _say(getattr(values, name), name, process.unit), _basis(process, key)))
    return rows


@functools.cache
def _words() -> dict[str, dict[str, str]]:
    text = (files("schedule2sign.production") / "setupwords.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def _say(value: object, name: str, unit: str) -> str:
    """A value in words; its unit is the end of its name."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        if name.endswith("_mm_s"):
            return _speed(value, unit)
        if name.endswith("_mm"):
            return length_text(value, unit)
        if name.endswith("_share"):
            return f"{value:g}"
        return f"{value:g} degrees" if name.endswith("_deg") else f"{value:.3f} s"
    return str(value)


def _basis(process: Process, key: str) -> str:
    if key in process.stated:
        return "said by the shop"
    if key == "drilling.depth" and process.drilling is not None and process.drilling.depth_solved:
        return "computed for the dome"
    return CONFIRM if key in process.assumed else "process profile"


def _letter_rows(plan: BenchPlan, tally: Tally) -> Iterator[tuple[str, str]]:
    process, cut = plan.process, plan.cut
    unit, letters = process.unit, process.letter_cut
    face = "raised sheet's face" if process.method is Method.APPLIQUE else "blank's face"
    yield "Depth", f"{length_text(letters.depth_mm, unit)} from the {face}"
    yield "Passes", ", ".join(length_text(depth, unit) for depth in cut.pass_depths_mm)
    yield "Cut width at the face, full depth", length_text(cut.width_mm, unit)
    yield (
        "Paths in the file",
        f"center line, already offset {length_text(cut.offset_mm, unit)} off the letter; compensation OFF",
    )
    yield "Each wall leans out at the foot by", length_text(cut.spread_mm, unit)
    yield "Letters will stand", length_text(raised_height_mm(process), unit)
    yield "Between passes", "stay down" if letters.stay_down else "lift"
    yield "Way round an outline", "clockwise" if letters.direction is Direction.CLIMB else "counter-clockwise"
    tightest = tally.least_gap_mm
    if tightest is not None:
        yield "Narrowest gap in the job", length_text(tightest, unit)
    stroke = tally.least_stroke_mm
    if tightest is not None and stroke is not None:
        gap_foot, stroke_foot = at_base(tightest, stroke, cut)
        yield "Thinnest stroke of a capital I", length_text(stroke, unit)
        yield (
            "The same at the foot of the walls",
            (f"gap {length_text(gap_foot, unit)}, stroke {length_text(stroke_foot, unit)}"),
        )
    if tally.corners:
        by_share = sorted(tally.corners, key=lambda item: (-round(item[1], 4), item[0]))
        yield (
            f"Inner corners stay round, radius {length_text(cut.offset_mm, unit)}",
            ", ".join(f"{part} {share:.1%}" for part, share in by_share) + " of the letter's area",
        )


def _dome_rows(process: Process, dome: DomePlan) -> Iterator[tuple[str, str]]:
    unit, drilling = process.unit, process.drilling
    limit = load_limits()["dome_height"]
    solved = drilling is not None and drilling.depth_solved
    yield "Depth", f"{length_text(dome.depth_mm, unit)} from the bare base face" + (" (solved)" if solved else "")
    yield "Computed dome height", f"{length_text(dome.dome_mm, unit)} (window {limit.printed}, {limit.clause})"
    yield "Computed dome base", length_text(dome.base_mm, unit)
    yield "Depths inside the window", " to ".join(length_text(depth, unit) for depth in dome.legal_mm)
    if drilling is not None:
        guarded = " to ".join(length_text(d, unit) for d in dome.guarded_mm) if dome.guarded_mm else "none"
        yield f"With a depth error of {length_text(drilling.depth_error_mm, unit)}", guarded
        yield "Ball is gripped at its widest from", length_text(dome.holding_mm, unit)
        yield from _dwell_rows(drilling)
        yield "Every hole is reached from", "the left and above, against lost motion in the drive"


def _dial_rows(process: Process, dial: DialPlan) -> Iterator[tuple[str, str]]:
    if process.dial is None:
        return
    click = process.dial.click_mm
    setting = max(dial.drill_clicks, dial.letter_clicks)
    drill_zero, letter_zero = setting - dial.drill_clicks, setting - dial.letter_clicks
    yield "Before each cutter goes in", "spindle off and locked out; wipe chuck, nose and the face it rides on"
    yield "Zero the drill", f"dial at {drill_zero}: set the drill so that its tip just touches the face of bare base"
    yield (
        "Zero the letter cutter",
        f"dial at {letter_zero}: set it so that its tip just touches the face of the raised sheet. It is now "
        f"{letter_zero - drill_zero} clicks from the drill's zero.",
    )
    yield "Set the dial, for both cutters, to", _turns(setting, divmod(setting, process.dial.clicks_per_turn))
    for name, count, zero in (("Drill", dial.drill_clicks, drill_zero), ("Letters", dial.letter_clicks, letter_zero)):
        yield (
            f"{name} then go",
            f"{setting} - {zero} = {count} clicks = {length_text(count * click, process.unit)} deep",
        )
    yield (
        "Each by itself, zeroed at 0",
        (
            f"drill {_turns(dial.drill_clicks, dial.drill_turns)}; letters {_turns(dial.letter_clicks, dial.letter_turns)}"
        ),
    )
    yield "Prove it", "one hole and one line on scrap of the lot; measure both depths before the first plate"
    if not dial.serves_both:
        yield (
            "NOT the offset of the profile",
            f"{dial.set_offset} clicks would need another dial setting for each cutter",
        )


def _dwell_rows(drilling: Drilling) -> Iterator[tuple[str, str]]:
    seconds, thousandths = f"{drilling.dwell_s:.3f}", f"{drilling.dwell_s * 1000:g}"
    yield (
        "Dwell word (P of a G82 cycle)",
        f"{thousandths}: this job's control reads milliseconds"
        if drilling.dwell_in_ms
        else f"{seconds}: this job's control reads seconds",
    )
    yield (
        "CAUTION, dwell unit",
        f"One control reads the dwell word in seconds, another in milliseconds: {seconds} read as milliseconds is no dwell, "
        f"{thousandths} read as seconds holds the turning drill in every hole for {thousandths} s. Try one hole in the "
        "air with a watch.",
    )


def _turns(count: int, turns: tuple[int, int]) -> str:
    return f"{count} clicks = {turns[0]} turn(s) + {turns[1]} clicks"


def _order_of_work(plan: BenchPlan) -> Iterator[tuple[str, str]]:
    process = plan.process
    text = (files("schedule2sign.production") / "worksteps.toml").read_text(encoding="utf-8")
    steps = tomllib.loads(text)["raised" if process.method is Method.APPLIQUE else "solid"]
    clamp_mm = max(0.0, process.stock.margin_mm - process.stock.plate_cutter_mm)
    words = {"clamp": length_text(clamp_mm, process.unit, 2), "balls": str(plan.needs[-1].dots)}
    return ((str(number), step.format(**words)) for number, step in enumerate(steps, start=1))


def _scrap_test(process: Process, dome: DomePlan) -> PaperTable:
    """Three depths to drill: the setting, and the depth error to each side of it."""
    rows = []
    for name, depth in zip("ABC", trial_depths(process), strict=True):
        clicks = f"{round(depth / process.dial.click_mm)}" if process.dial else ""
        rows.append(
            (
                name,
                length_text(depth, process.unit),
                clicks,
                length_text(dome.dome_mm + dome.depth_mm - depth, process.unit),
                *("",) * 6,
            )
        )
    return PaperTable(
        title="Scrap test (bench/test-coupon.dxf)",
        columns=(
            "Cell",
            "Depth",
            "Clicks",
            "Dome computed",
            "Depth measured",
            "Dome 1",
            "Dome 2",
            "Dome 3",
            "Dot pitch",
            "Initials",
        ),
        rows=tuple(rows),
        fill_in=("Depth measured", "Dome 1", "Dome 2", "Dome 3", "Dot pitch", "Initials"),
    )


def _time_rows(plan: BenchPlan, tally: Tally) -> Iterator[tuple[str, str]]:
    yield "Setup", minutes_text(plan.process.hand_work.batch_s)
    for what, seconds in (
        ("Letters", tally.letters_s),
        ("Clearing the background", tally.clearing_s),
        ("Braille holes", tally.holes_s),
        ("Plate edges", tally.plate_s),
        ("Hand work", tally.hand_s),
    ):
        if seconds:
            yield what, minutes_text(seconds)
    yield "Whole job", minutes_text(plan.job_seconds)
    for what, way_mm, least_mm in (
        ("Letter cutter in the air, path to path", tally.hop_mm, tally.hop_bound_mm),
        ("Drill, hole to hole, with run-ins", *_drill_way(plan)),
    ):
        if way_mm:
            least = length_text(least_mm, plan.process.unit, 0)
            yield what, f"{length_text(way_mm, plan.process.unit, 0)}; no order needs less than {least}"


def _drill_way(plan: BenchPlan) -> tuple[float, float]:
    sheets = [sheet for nest in plan.nests for sheet in nest.sheets]
    return sum(sheet.drill_mm for sheet in sheets), sum(sheet.drill_bound_mm for sheet in sheets)


def _speed(value_mm_s: float, unit: str) -> str:
    return f"{length_text(value_mm_s, unit, 2)}/s"
