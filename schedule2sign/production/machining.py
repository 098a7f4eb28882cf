"""Checks of the setup as a whole: dome, hole, floor under the hole, letter depth, dial."""

from collections.abc import Iterator

from schedule2sign.model.bench import DialPlan, DomePlan
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.process import DotForm, Drill, Method, Process, Sphere
from schedule2sign.model.shape import Build, SignLayout
from schedule2sign.production.amounts import length_text
from schedule2sign.production.cutwidth import least_letter_depth_mm
from schedule2sign.production.dial import clicks, letter_depth_at
from schedule2sign.production.dome import contact_radius_mm, tip_depth_mm, whole_steps
from schedule2sign.production.limits import load_limits

_SAME_MM = 1e-6
_SAME_DEG = 0.01


def check_setup(process: Process, dome: DomePlan | None, dial: DialPlan | None) -> tuple[Flag, ...]:
    """Everything about the setup that a person must know before the first cut."""
    flags = [*_check_letters(process), *_check_floor(process)]
    if dome is not None and process.sphere is not None and process.drill is not None:
        flags += [*_check_dome(process, dome, dial), *_check_seat(process, process.sphere, process.drill)]
    if dial is not None and not dial.serves_both:
        flags.append(_tell_offset(process, dial))
    if process.dot_form is not None:
        flags += [*_check_form(process.dot_form, process.unit), _tell_undrawn()]
    if process.assumed:
        flags.append(
            Flag(
                code="production/assumed-values",
                severity=Severity.ASK,
                message=(
                    f"{len(process.assumed)} values of process {process.id} are assumptions nobody has confirmed: "
                    f"{', '.join(process.assumed)}."
                ),
                fix="Check each one on the setup sheet and write it into [process] of the job file.",
                who="shop",
            )
        )
    return tuple(flags)


def check_build(process: Process, build: Build) -> tuple[Flag, ...]:
    """The rules were checked on the build the job declares; the bench must make that build."""
    flags: list[Flag] = []
    side_deg, raised_mm = process.letter_cutter.included_angle_deg / 2, raised_height_mm(process)
    if abs(side_deg - build.side_deg) > _SAME_DEG:
        flags.append(
            Flag(
                code="production/side-differs",
                severity=Severity.HOLD,
                message="The walls of the letters will lean otherwise than the sign was checked for.",
                measured=f"{side_deg:g} degrees (half of the cutter's {2 * side_deg:g})",
                required=f"{build.side_deg:g} degrees (make.side_deg)",
                fix=f"Set make.side_deg to {side_deg:g} or letter_cutter.included_angle_deg to {2 * build.side_deg:g}.",
                who="shop",
            )
        )
    if abs(raised_mm - build.raised_mm) > _SAME_MM:
        flags.append(
            Flag(
                code="production/raised-differs",
                severity=Severity.HOLD,
                message="The letters will stand otherwise than the sign was checked for.",
                measured=length_text(raised_mm, process.unit),
                required=f"{length_text(build.raised_mm, process.unit)} (make.raised)",
                fix=f"Set make.raised to {length_text(raised_mm, process.unit)}, or correct material.sheet and film.",
                who="shop",
            )
        )
    return tuple(flags)


def check_door_symbol(process: Process, layout: SignLayout) -> tuple[Flag, ...]:
    """A symbol cut to shape without text belongs on the door and is thicker than the job's plates."""
    limit = load_limits()["door_symbol"]
    if not layout.outline or layout.lines or layout.dots or limit.holds(process.material.base_mm):
        return ()
    return (
        Flag(
            code="production/door-symbol-too-thin",
            severity=Severity.HOLD,
            message="A symbol for the door would be cut from the thin stock of the plates.",
            measured=length_text(process.material.base_mm, process.unit),
            required=limit.printed,
            clause=limit.clause,
            fix="Make the door symbols a job of their own with material.base of the thicker sheet, or buy them.",
            who="shop",
        ),
    )


def raised_height_mm(process: Process) -> float:
    """How far finished letters stand above the plate: sheet and film, or the depth cut away around them."""
    if process.method is Method.SOLID:
        return process.letter_cut.depth_mm
    return process.material.sheet_mm + process.material.film_mm


def _check_letters(process: Process) -> Iterator[Flag]:
    unit, limit = process.unit, load_limits()["raised_height"]
    height, depth = raised_height_mm(process), process.letter_cut.depth_mm
    if not limit.holds(height):
        yield Flag(
            code="production/raised-too-low",
            severity=Severity.HOLD,
            message="The raised letters would stand too low.",
            measured=length_text(height, unit),
            required=limit.printed,
            clause=limit.clause,
            fix="Measure sheet and film of this lot; use a thicker sheet.",
            who="shop",
        )
    least = least_letter_depth_mm(process.material)
    if depth < least - process.material.bite_mm - _SAME_MM:
        yield Flag(
            code="production/letters-not-cut-through",
            severity=Severity.HOLD,
            message="The letter cut does not reach through sheet and film.",
            measured=length_text(depth, unit),
            required=f"{length_text(least, unit)} (sheet, film and bite)",
            fix=f"Set letter_cut.depth to {length_text(least, unit)}.",
            who="shop",
        )
    elif depth < least - _SAME_MM:
        yield Flag(
            code="production/bite-too-small",
            severity=Severity.ASK,
            message="The letter cut goes through sheet and film but bites less into the base than wanted.",
            measured=length_text(depth, unit),
            required=length_text(least, unit),
            fix=f"Set letter_cut.depth to {length_text(least, unit)}, or try it on scrap of the lot.",
            who="shop",
        )


def _check_floor(process: Process) -> Iterator[Flag]:
    depth = process.letter_cut.depth_mm
    if process.method is Method.APPLIQUE and process.drilling is not None and process.drill is not None:
        depth = tip_depth_mm(process.drilling.depth_mm, process.drill)
    left = process.material.base_mm - depth
    if left < process.material.least_floor_mm - _SAME_MM:
        yield Flag(
            code="production/floor-too-thin",
            severity=Severity.HOLD,
            message=f"A cut {length_text(depth, process.unit)} deep leaves too little of the base under it.",
            measured=length_text(left, process.unit),
            required=f"{length_text(process.material.least_floor_mm, process.unit)} min.",
            fix="Use a thicker base or a shallower hole with a blunter drill.",
            who="shop",
        )


def _check_dome(process: Process, dome: DomePlan, dial: DialPlan | None) -> Iterator[Flag]:
    height, base = load_limits()["dome_height"], load_limits()["dot_base"]
    unit = process.unit
    right = f"Depths from {_span(dome.legal_mm, process)} are right."
    if not (height.holds(dome.dome_mm) and base.holds(dome.base_mm)):
        wrong = "high" if dome.dome_mm > height.high else "low"
        yield Flag(
            code="production/dome-outside-window",
            severity=Severity.HOLD,
            message=f"At depth {length_text(dome.depth_mm, unit)} the dots come out too {wrong}.",
            measured=f"height {length_text(dome.dome_mm, unit)}, base {length_text(dome.base_mm, unit)}",
            required=f"height {height.printed}, base {base.printed}",
            clause=height.clause,
            fix=f"{right} Set drilling.depth to {length_text(dome.aim_depth_mm, unit)}.",
            who="shop",
        )
    elif dome.guarded_mm is None or not dome.guarded_mm[0] - 1e-9 <= dome.depth_mm <= dome.guarded_mm[1] + 1e-9:
        error = process.drilling.depth_error_mm if process.drilling else 0.0
        room = min(dome.dome_mm - height.low, height.high - dome.dome_mm)
        safe = f" With the error kept off both ends: {_span(dome.guarded_mm, process)}." if dome.guarded_mm else ""
        yield Flag(
            code="production/dome-near-edge",
            severity=Severity.ASK,
            message=(
                f"At depth {length_text(dome.depth_mm, unit)} the dots stand {length_text(dome.dome_mm, unit)}: only "
                f"{length_text(room, unit)} from the end of their window, less than the depth error of "
                f"{length_text(error, unit)}."
            ),
            measured=length_text(dome.dome_mm, unit),
            required=height.printed,
            clause=height.clause,
            fix=f"{right}{safe} Confirm drill point and ball, measure three seated balls, and keep or correct "
            f"drilling.depth.{_instead(process, dome, dial)}",
            who="shop",
        )
    if dome.depth_mm < dome.holding_mm - 1e-9:
        yield Flag(
            code="production/ball-held-loosely",
            severity=Severity.NOTE,
            message="The widest part of the ball stands above the face, where the hole no longer grips it.",
            measured=f"depth {length_text(dome.depth_mm, unit)}",
            required=f"depth {length_text(dome.holding_mm, unit)} min.",
            fix="Drill deeper inside the legal window, or use a blunter drill.",
            who="shop",
        )


def _span(window_mm: tuple[float, float], process: Process) -> str:
    """A window of depths in words: "0.0307 in to 0.0427 in (31 to 42 clicks)"."""
    text = f"{length_text(window_mm[0], process.unit)} to {length_text(window_mm[1], process.unit)}"
    if process.dial is None:
        return text
    first, last = whole_steps(window_mm, process.dial.click_mm)
    return f"{text} ({first} to {last} clicks)"


def _instead(process: Process, dome: DomePlan, dial: DialPlan | None) -> str:
    """What the depth that centers the dome would mean for the dial."""
    if dial is None or process.dial is None:
        return f" {length_text(dome.aim_depth_mm, process.unit)} would center the dome."
    aim = clicks(dome.aim_depth_mm, process.dial)
    height = length_text(dome.dome_mm + dome.depth_mm - aim * process.dial.click_mm, process.unit)
    return (
        f" {aim} clicks would give {height}; letters at {dial.letter_clicks} clicks then need the cutters zeroed "
        f"{aim - dial.letter_clicks} clicks apart, not {dial.set_offset}."
    )


def _check_seat(process: Process, sphere: Sphere, drill: Drill) -> Iterator[Flag]:
    unit = process.unit
    ring = contact_radius_mm(sphere.diameter_mm, drill.point_angle_deg)
    if ring >= drill.diameter_mm / 2:
        yield Flag(
            code="production/ball-misses-cone",
            severity=Severity.HOLD,
            message="The ball would jam on the rim of the cone: its contact ring is wider than the hole.",
            measured=length_text(2 * ring, unit),
            required=f"less than {length_text(drill.diameter_mm, unit)}",
            fix="Use a blunter drill point.",
            who="shop",
        )
    fit, limit = sphere.diameter_mm - drill.diameter_mm, load_limits()["press_fit"]
    if not limit.holds(fit):
        yield Flag(
            code="production/press-fit",
            severity=Severity.ASK,
            message="The hole is too tight for the ball by hand."
            if fit > limit.high
            else "The hole may not hold the ball.",
            measured=f"ball less hole {length_text(fit, unit)}",
            required=limit.printed,
            fix="Try ten balls on scrap of the same lot, or change the drill.",
            who="shop",
        )


def _check_form(form: DotForm, unit: str) -> Iterator[Flag]:
    height, base = load_limits()["dome_height"], load_limits()["dot_base"]
    if not (height.holds(form.dome_mm) and base.holds(form.base_mm)):
        yield Flag(
            code="production/dome-outside-window",
            severity=Severity.HOLD,
            message="The dot cutter leaves a dome outside the window.",
            measured=f"height {length_text(form.dome_mm, unit)}, base {length_text(form.base_mm, unit)}",
            required=f"height {height.printed}, base {base.printed}",
            clause=height.clause,
            fix="Use another dot cutter, or measure three dots and correct dot_form.",
            who="shop",
        )


def _tell_offset(process: Process, dial: DialPlan) -> Flag:
    left = ""
    if process.dial and process.drilling:
        depth = letter_depth_at(process.drilling.depth_mm, process.dial)
        left = f" With {dial.set_offset} the letters would be {length_text(depth, process.unit)} deep."
    return Flag(
        code="production/dial-offset",
        severity=Severity.ASK,
        message=f"One dial setting does not serve both cutters with an offset of {dial.set_offset} clicks.{left}",
        measured=f"letters {dial.letter_clicks} clicks, drill {dial.drill_clicks} clicks",
        required=f"offset {dial.needed_offset} clicks",
        fix=f"Zero the drill {dial.needed_offset} clicks from the letter cutter, or set the dial anew for each.",
        who="shop",
    )


def _tell_undrawn() -> Flag:
    return Flag(
        code="production/background-not-drawn",
        severity=Severity.ASK,
        message="For signs cut from solid only the letter walls are drawn as paths, not the clearing around them.",
        fix="Make the clearing and dot paths on the machine from the outlines and dot centers; try them on scrap.",
        who="shop",
    )
