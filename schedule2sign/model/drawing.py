"""The numbers layout draws to, taken from the standard profile: the middle of a range, not its end."""

from dataclasses import dataclass

from schedule2sign.model.braille import CellSize


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingRules:
    """Legal windows and aims for layout. Ratios are shares of the character height.

    Attributes:
        least_gap_mm, most_gap_strokes: window for the closest points of neighboring letters.
        aim_gap_mm: least gap layout tries first (room for kerf error above the legal minimum).
        least_pitch_ratio, aim_pitch_ratio, most_pitch_ratio: baseline to baseline of one message.
        braille_gap_least_mm, braille_gap_aim_mm, braille_gap_most_mm: lowest ink of the text to the top dot edge.
        border_clear_mm: raised text or braille to a raised border.
        braille_align: "center" or "left".
    """

    least_gap_mm: float
    aim_gap_mm: float
    most_gap_strokes: float
    least_pitch_ratio: float
    aim_pitch_ratio: float
    most_pitch_ratio: float
    least_height_mm: float
    most_height_mm: float
    braille_gap_least_mm: float
    braille_gap_aim_mm: float
    braille_gap_most_mm: float
    border_clear_mm: float
    pictogram_field_mm: float
    cell_size: CellSize
    braille_align: str
    braille_code: str
