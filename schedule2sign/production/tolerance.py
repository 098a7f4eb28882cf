"""How far the distance of two dots may be off, and whether that stays inside the standard's windows."""

import math
from collections.abc import Sequence

from schedule2sign.model.braille import CellSize
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.process import Process
from schedule2sign.production.amounts import length_text
from schedule2sign.production.limits import load_limits


def pair_error(errors_mm: Sequence[float]) -> tuple[float, float, float]:
    """Error of one dot, of the distance of two, and the worst case of that distance, from independent errors.

    Each dot adds its errors at random (root of the sum of squares); in the worst case they all add up, twice.
    """
    each = math.sqrt(sum(error**2 for error in errors_mm))
    return each, math.sqrt(2) * each, 2 * sum(abs(error) for error in errors_mm)


def check_positions(size: CellSize, process: Process, *, several_lines: bool) -> tuple[Flag, ...]:
    """Distances of dots whose room inside the window is smaller than the shop's own error."""
    if process.accuracy is None:
        return ()
    errors = process.accuracy
    _, pair, _ = pair_error((errors.position_mm, errors.runout_mm, errors.wander_mm, errors.seat_mm))
    pitches = [("dot_pitch", "dot to dot", size.dot_pitch_mm), ("cell_pitch", "cell to cell", size.cell_pitch_mm)]
    if several_lines:
        pitches.append(("line_pitch", "line to line", size.line_pitch_mm))
    flags = []
    for name, words, pitch in pitches:
        limit = load_limits()[name]
        room = min(pitch - limit.low, limit.high - pitch)
        if room < pair:
            flags.append(
                Flag(
                    code="production/position-error",
                    severity=Severity.NOTE,
                    message=(
                        f"Drawn {words} {length_text(pitch, process.unit)}: the shop's error of "
                        f"{length_text(pair, process.unit)} for two dots is more than the room inside the window."
                    ),
                    measured=f"{length_text(max(0.0, room), process.unit)} of room",
                    required=limit.printed,
                    clause=limit.clause,
                    fix="Measure a drilled test strip; put the shop's own errors into accuracy.",
                    who="shop",
                )
            )
    return tuple(flags)
