"""Depths as clicks of a dial, and whether one dial setting serves both cutters."""

from schedule2sign.model.bench import DialPlan
from schedule2sign.model.process import Dial


def clicks(depth_mm: float, dial: Dial) -> int:
    """The nearest click."""
    return round(depth_mm / dial.click_mm)


def plan_dial(letter_depth_mm: float, drill_depth_mm: float, dial: Dial) -> DialPlan:
    """Clicks of both cutters, in turns and rest, and the offset they must be zeroed with."""
    letter, drill = clicks(letter_depth_mm, dial), clicks(drill_depth_mm, dial)
    return DialPlan(
        letter_clicks=letter,
        drill_clicks=drill,
        letter_turns=divmod(letter, dial.clicks_per_turn),
        drill_turns=divmod(drill, dial.clicks_per_turn),
        needed_offset=drill - letter,
        set_offset=dial.offset_clicks,
    )


def letter_depth_at(drill_depth_mm: float, dial: Dial) -> float:
    """The depth letters get when the dial is set for the drill and the zeroing offset is left as it is."""
    return (clicks(drill_depth_mm, dial) - dial.offset_clicks) * dial.click_mm
