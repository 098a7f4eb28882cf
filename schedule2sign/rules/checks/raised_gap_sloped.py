"""Space between characters whose walls lean."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import distance_mm, glyph_shape, spread_mm, word_pairs
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, rule


@rule(
    id="raised/gap-sloped",
    title="Closest points of neighboring raised characters with leaning walls",
    why="A conical cutter leaves letters wider at the base than at the face, and a finger feels both.",
    fix="Set the letters further apart or closer, pair by pair, or use a cutter with a smaller angle.",
    limits=("gap_face", "gap_face_strokes", "gap_base", "gap_base_strokes"),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: sign.build.side_deg > 0 and any(any(word_pairs(line)) for line in sign.lines),
    otherwise="The walls are upright, or no word has two characters.",
    waivable=False,
)
def check_gap_sloped(sign: SignLayout) -> Iterator[Measured]:
    """The outline is the face; each wall leans out by the raised height times the tangent of its angle.

    Four strokes are counted in the face's stroke, the narrower of the two, at both levels.
    """
    spread = spread_mm(sign)
    for line in sign.lines:
        stroke_mm = sign.font.stroke_ratio * line.height_mm
        for a, b in word_pairs(line):
            face_mm = distance_mm(glyph_shape(a), glyph_shape(b))
            base_mm = face_mm - 2 * spread
            where = f"{a.outline.char}{b.outline.char} in raised line {line.text!r}"
            yield Measured(limit="gap_face", value=face_mm, where=f"face of {where}")
            value = face_mm / stroke_mm
            yield Measured(limit="gap_face_strokes", value=value, where=f"face of {where}", unit_mm=stroke_mm)
            yield Measured(limit="gap_base", value=base_mm, where=f"base of {where}")
            value = base_mm / stroke_mm
            yield Measured(limit="gap_base_strokes", value=value, where=f"base of {where}", unit_mm=stroke_mm)
