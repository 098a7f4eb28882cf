"""Seconds at the bench, from lengths, feeds, lifts, dwell and hand work."""

from collections.abc import Sequence

from schedule2sign.model.process import Drilling, HandWork, LetterCut, Process


def letters_seconds(
    lengths_mm: Sequence[float], cut: LetterCut, pass_depths_mm: Sequence[float], hop_mm: float
) -> float:
    """Profile-cutting of closed paths: every pass round, the moves up and down, and the hops between paths."""
    around = len(pass_depths_mm) * sum(lengths_mm) / cut.feed_mm_s
    if cut.stay_down:
        down_mm = 2 * (cut.lift_mm + pass_depths_mm[-1])
    else:
        down_mm = 2 * sum(cut.lift_mm + depth for depth in pass_depths_mm)
    return around + len(lengths_mm) * down_mm / cut.plunge_mm_s + hop_mm / cut.feed_mm_s


def holes_seconds(count: int, drilling: Drilling, travel_mm: float) -> float:
    """Drilling: down, dwell, up for every hole, and the travel between them."""
    each = 2 * (drilling.lift_mm + drilling.depth_mm) / drilling.plunge_mm_s + drilling.dwell_s
    return count * each + travel_mm / drilling.travel_mm_s


def hand_seconds(work: HandWork, counters: int, spheres: int) -> float:
    """Hand work on one sign: peel, pick out counters, press in balls, check."""
    return work.peel_s + counters * work.counter_s + spheres * work.sphere_s + work.check_s


def clearing_seconds(process: Process, area_mm2: float) -> float:
    """Taking the background away with an end mill, all of it at each of the letter passes' depths."""
    mill = process.clearing
    if mill is None:
        return 0.0
    return process.letter_cut.passes * area_mm2 / (mill.diameter_mm * mill.stepover_share) / mill.feed_mm_s


def plate_seconds(process: Process, around_mm: float) -> float:
    """Cutting the plate out of its sheet."""
    return process.stock.plate_passes * around_mm / process.stock.plate_feed_mm_s
