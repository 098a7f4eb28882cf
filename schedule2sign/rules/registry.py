"""Every rule, listed by hand: a rule that is not here does not exist."""

from collections.abc import Sequence
from types import MappingProxyType

from schedule2sign.rules.checks.braille_align import check_align
from schedule2sign.rules.checks.braille_border_clear import check_border_clear as check_braille_border_clear
from schedule2sign.rules.checks.braille_capitals import check_capitals
from schedule2sign.rules.checks.braille_cell_pitch import check_cell_pitch
from schedule2sign.rules.checks.braille_domed import check_domed
from schedule2sign.rules.checks.braille_dot_base import check_dot_base
from schedule2sign.rules.checks.braille_dot_height import check_dot_height
from schedule2sign.rules.checks.braille_dot_pitch import check_dot_pitch
from schedule2sign.rules.checks.braille_dots_match import check_dots_match
from schedule2sign.rules.checks.braille_gap import check_gap
from schedule2sign.rules.checks.braille_grade import check_grade
from schedule2sign.rules.checks.braille_line_pitch import check_line_pitch as check_braille_line_pitch
from schedule2sign.rules.checks.braille_position import check_position
from schedule2sign.rules.checks.braille_repeats_text import check_repeats_text
from schedule2sign.rules.checks.braille_straight import check_straight
from schedule2sign.rules.checks.braille_text_clear import check_text_clear
from schedule2sign.rules.checks.mounting_height import check_mounting_height
from schedule2sign.rules.checks.mounting_side import check_side
from schedule2sign.rules.checks.mounting_span import check_span
from schedule2sign.rules.checks.pictogram_descriptor import check_descriptor
from schedule2sign.rules.checks.pictogram_field_free import check_field_free
from schedule2sign.rules.checks.pictogram_height import check_field_height
from schedule2sign.rules.checks.plate_edge import check_edge
from schedule2sign.rules.checks.plate_holes import check_holes
from schedule2sign.rules.checks.plate_window import check_window
from schedule2sign.rules.checks.raised_border_clear import check_border_clear as check_raised_border_clear
from schedule2sign.rules.checks.raised_case import check_case
from schedule2sign.rules.checks.raised_depth import check_depth
from schedule2sign.rules.checks.raised_gap_sloped import check_gap_sloped
from schedule2sign.rules.checks.raised_gap_upright import check_gap_upright
from schedule2sign.rules.checks.raised_height import check_height
from schedule2sign.rules.checks.raised_level import check_level
from schedule2sign.rules.checks.raised_line_clear import check_line_clear
from schedule2sign.rules.checks.raised_line_pitch import check_line_pitch as check_raised_line_pitch
from schedule2sign.rules.checks.raised_proportion import check_proportion
from schedule2sign.rules.checks.raised_same_size import check_same_size
from schedule2sign.rules.checks.raised_says_message import check_says_message
from schedule2sign.rules.checks.raised_star import check_star
from schedule2sign.rules.checks.raised_stroke import check_stroke
from schedule2sign.rules.checks.raised_style import check_style
from schedule2sign.rules.checks.raised_word_gap import check_word_gap
from schedule2sign.rules.checks.symbol_figure import check_figure
from schedule2sign.rules.checks.visual_contrast import check_contrast
from schedule2sign.rules.checks.visual_finish import check_finish
from schedule2sign.rules.checks.visual_height import check_visual_height
from schedule2sign.rules.checks.visual_light_dark import check_light_dark
from schedule2sign.rules.checks.visual_line_pitch import check_visual_line_pitch
from schedule2sign.rules.checks.visual_spacing import check_visual_spacing
from schedule2sign.rules.checks.visual_stroke import check_visual_stroke
from schedule2sign.rules.checks.wording_exit import check_exit_wording
from schedule2sign.rules.rule import Rule


def index_rules(rules: Sequence[Rule]) -> dict[str, Rule]:
    """Rules by id.

    Raises:
        ValueError: an id stands twice.
    """
    by_id: dict[str, Rule] = {}
    for rule in rules:
        if rule.id in by_id:
            raise ValueError(f"two rules have the id {rule.id!r}")
        by_id[rule.id] = rule
    return by_id


RULES: tuple[Rule, ...] = (
    check_says_message,
    check_depth,
    check_case,
    check_style,
    check_proportion,
    check_height,
    check_same_size,
    check_stroke,
    check_gap_upright,
    check_gap_sloped,
    check_word_gap,
    check_raised_border_clear,
    check_level,
    check_raised_line_pitch,
    check_line_clear,
    check_star,
    check_repeats_text,
    check_dots_match,
    check_grade,
    check_capitals,
    check_domed,
    check_dot_base,
    check_dot_height,
    check_dot_pitch,
    check_cell_pitch,
    check_braille_line_pitch,
    check_straight,
    check_position,
    check_align,
    check_text_clear,
    check_gap,
    check_braille_border_clear,
    check_field_height,
    check_field_free,
    check_descriptor,
    check_figure,
    check_edge,
    check_holes,
    check_window,
    check_finish,
    check_light_dark,
    check_contrast,
    check_visual_stroke,
    check_visual_height,
    check_visual_spacing,
    check_visual_line_pitch,
    check_span,
    check_mounting_height,
    check_side,
    check_exit_wording,
)
BY_ID = MappingProxyType(index_rules(RULES))
