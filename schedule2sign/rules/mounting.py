"""Mounting arithmetic: where the plate may hang so that every tactile character is in reach."""

from dataclasses import dataclass

from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.grid import row, typical_dot_pitch_mm
from schedule2sign.rules.profile import Profile


@dataclass(frozen=True, slots=True, kw_only=True)
class MountingWindow:
    """Lowest and highest place of the plate's top edge above the finished floor, and the clause it follows."""

    lowest_mm: float
    highest_mm: float
    clause: str

    @property
    def is_open(self) -> bool:
        """False where the text is too tall for any mounting height."""
        return self.lowest_mm <= self.highest_mm


def tactile_baselines(sign: SignLayout) -> list[float]:
    """Baselines of the raised lines, and the bottom edge of every braille line's cells, in sign coordinates.

    Braille is tactile text too, whatever a figure may show (an editor's note on ADA Figure 703.4.1 says so).
    """
    pitch, radius = typical_dot_pitch_mm(sign), sign.cell_size.base_mm / 2
    braille = {dot.line: dot.y_mm - (2 - row(dot)) * pitch - radius for dot in sign.dots}
    return [line.baseline_mm for line in sign.lines] + list(braille.values())


def mounting_window(sign: SignLayout, profile: Profile) -> MountingWindow | None:
    """Heights the top edge may have, or None where the profile or the sign has nothing to hang by."""
    limit = profile.limits.get("mounting_height")
    baselines = tactile_baselines(sign)
    if limit is None or limit.low_value is None or limit.high_value is None or not baselines:
        return None
    return MountingWindow(
        lowest_mm=limit.low_value + sign.height_mm - min(baselines),
        highest_mm=limit.high_value + sign.height_mm - max(baselines),
        clause=limit.clause,
    )
