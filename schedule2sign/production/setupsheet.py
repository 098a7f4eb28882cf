"""The setup sheet: what is set, on whose word, what it gives, in what order, and how it is tried on scrap."""

import functools
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from importlib.resources import files

from schedule2sign.model.process import BenchPlan, DialPlan, Direction, DomePlan, Method, PaperTable, Process
from schedule2sign.production.amounts import length_text, minutes_text
from schedule2sign.production.coupon import trial_depths
from schedule2sign.production.limits import load_limits
from schedule2sign.production.machining import raised_height_mm
from schedule2sign.production.process import key_of

CONFIRM = "ASSUMED: confirm"


def setup_tables(plan: BenchPlan) -> Iterator[PaperTable]:
    """Tables of the setup sheet, in the order they are needed."""
    process = plan.process
    yield PaperTable(
        title="Settings",
        columns=("What", "Set to", "Basis", "Measured or corrected"),
        rows=tuple(_settings_rows(process)),
        fill_in=("Measured or corrected",),
    )
    yield PaperTable(title="Letters", columns=("What", "Value"), rows=tuple(_letter_rows(plan)))
    if plan.dome is not None:
        yield PaperTable(title="Braille holes", columns=("What", "Value"), rows=tuple(_dome_rows(process, plan.dome)))
    if plan.dial is not None:
        yield PaperTable(title="Dial", columns=("What", "Value"), rows=tuple(_dial_rows(plan.dial)))
    yield PaperTable(title="Order of work", columns=("Step", "Do"), rows=tuple(_order_of_work(process)))
    if plan.dome is not None:
        yield _scrap_test(process, plan.dome)
    if plan.coupon is not None and plan.coupon.letters:
        yield PaperTable(
            title="Test letters",
            columns=("Letters on the test piece", "Ok, initials"),
            rows=((plan.coupon.letters, ""),),
            fill_in=("Ok, initials",),
        )
    yield PaperTable(title="Time", columns=("What", "Time"), rows=tuple(_time_rows(plan)))
    yield PaperTable(
        title="Sheets",
        columns=("Stock", "Sheet", "Plates", "Used", "Signs"),
        rows=tuple(
            (
                nest.stock,
                str(sheet.number),
                str(len(sheet.plates)),
                f"{sheet.used_share:.0%}",
                ", ".join(plate.sign_id or "spare" for plate in sheet.plates),
            )
            for nest in plan.nests
            for sheet in nest.sheets
        ),
    )
    yield PaperTable(
        title="Material to have ready",
        columns=("Item", "Need", "Order", "Unit", "How counted"),
        rows=tuple(
            (o.item, f"{o.need:g}", f"{o.total:.4g}" if o.unit in ("m", "m2") else f"{o.total:g}", o.unit, o.how)
            for o in plan.orders
        ),
    )


def _settings_rows(process: Process) -> Iterator[tuple[str, ...]]:
    for key, what in _words().items():
        section, short = key.split(".")
        values = getattr(process, section)
        if values is None:
            continue
        name = next(field.name for field in fields(values) if key_of(field.name) == short)
        yield what, _say(getattr(values, name), name, process.unit), _basis(process, key), ""


@functools.cache
def _words() -> dict[str, str]:
    text = (files("schedule2sign.production") / "setupwords.toml").read_text(encoding="utf-8")
    return dict(tomllib.loads(text)["words"])


def _say(value: object, name: str, unit: str) -> str:
    """A value in words; its unit is the end of its name."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        if name.endswith("_mm_s"):
            return _speed(value, unit)
        if name.endswith("_mm"):
            return length_text(value, unit)
        return f"{value:g} degrees" if name.endswith("_deg") else f"{value:.3f} s"
    return str(value)


def _basis(process: Process, key: str) -> str:
    if key in process.stated:
        return "said by the shop"
    if key == "drilling.depth" and process.drilling is not None and process.drilling.depth_solved:
        return "computed for the dome"
    return CONFIRM if key in process.assumed else "process profile"


def _letter_rows(plan: BenchPlan) -> Iterator[tuple[str, str]]:
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
    tightest = min((sign.least_gap_mm for sign in plan.signs if sign.least_gap_mm is not None), default=None)
    if tightest is not None:
        yield "Narrowest gap in the job", length_text(tightest, unit)
    worst = max(plan.signs, key=lambda sign: sign.corner_share, default=None)
    if worst is not None and worst.worst_part:
        yield "Worst inner corners", f"{worst.corner_share:.1%} of the letter {worst.worst_part} ({worst.sign_id})"


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
        dwell = (
            f"{drilling.dwell_s * 1000:g} (milliseconds)"
            if drilling.dwell_in_ms
            else f"{drilling.dwell_s:.3f} (seconds)"
        )
        yield "Dwell word", dwell
        yield "Every hole is reached from", "the left and above, against lost motion in the drive"


def _dial_rows(dial: DialPlan) -> Iterator[tuple[str, str]]:
    yield "Letter cutter", f"{dial.letter_clicks} clicks = {dial.letter_turns[0]} turn(s) + {dial.letter_turns[1]}"
    yield "Drill", f"{dial.drill_clicks} clicks = {dial.drill_turns[0]} turn(s) + {dial.drill_turns[1]}"
    yield "Zero the two apart by", f"{dial.needed_offset} clicks ({dial.drill_clicks} - {dial.letter_clicks})"
    if not dial.serves_both:
        yield (
            "NOT the offset of the profile",
            f"{dial.set_offset} clicks would need another dial setting for each cutter",
        )


def _order_of_work(process: Process) -> Iterator[tuple[str, str]]:
    steps = ["Measure sheet, film, base, drill and ten balls; write them above."]
    if process.method is Method.APPLIQUE:
        steps += [
            "Scrap test of the same lot: drill, seat three balls, measure; correct the depth if need be.",
            "Lay the raised sheet; keep the braille field bare.",
            "Cut all letters of the bed: counters before outlines, bottom line last.",
            "Stop. Peel the waste; pick out the counters. Do not move the plates.",
            "Drill the braille holes from the bare base face; the nose must not ride on raised sheet.",
        ]
    else:
        steps += ["Cut a scrap test of the same lot; measure letters and three dots.", "Cut letters, then dots."]
    steps.append("Cut the plate edges, last of all cuts.")
    if process.method is Method.APPLIQUE:
        # After the last cut: suction and vibration would take balls out again.
        steps.append("Spindle OFF, vacuum OFF. Clean the holes and press in the balls.")
    steps += ["Inspect every piece against the approved proof."]
    return ((str(number), step) for number, step in enumerate(steps, start=1))


def _scrap_test(process: Process, dome: DomePlan) -> PaperTable:
    """Three depths to drill: the setting, and the depth error to each side of it."""
    rows = []
    for depth in trial_depths(process):
        clicks = f"{round(depth / process.dial.click_mm)}" if process.dial else ""
        rows.append(
            (
                length_text(depth, process.unit),
                clicks,
                length_text(dome.dome_mm + dome.depth_mm - depth, process.unit),
                "",
                "",
                "",
                "",
            )
        )
    return PaperTable(
        title="Scrap test",
        columns=("Depth", "Clicks", "Dome computed", "Dome 1", "Dome 2", "Dome 3", "Initials"),
        rows=tuple(rows),
        fill_in=("Dome 1", "Dome 2", "Dome 3", "Initials"),
    )


def _time_rows(plan: BenchPlan) -> Iterator[tuple[str, str]]:
    quantity = {row.sign_id: row.quantity for row in plan.mountings}
    signs = [(sign, quantity.get(sign.sign_id, 1)) for sign in plan.signs]
    yield "Setup", minutes_text(plan.process.hand_work.batch_s)
    for what, seconds in (
        ("Letters", sum(sign.times.letters_s * count for sign, count in signs)),
        ("Clearing the background", sum(sign.times.clearing_s * count for sign, count in signs)),
        ("Braille holes", sum(sign.times.holes_s * count for sign, count in signs)),
        ("Plate edges", sum(sign.times.plate_s * count for sign, count in signs)),
        ("Hand work", sum(sign.times.hand_s * count for sign, count in signs)),
    ):
        if seconds:
            yield what, minutes_text(seconds)
    yield "Whole job", minutes_text(plan.job_seconds)


def _speed(value_mm_s: float, unit: str) -> str:
    return f"{length_text(value_mm_s, unit, 2)}/s"
