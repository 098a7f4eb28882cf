"""Space between characters whose walls lean."""

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.ink import gaps_mm, name_pair, spread_mm, word_pairs
from schedule2sign.rules.rule import TOO_LARGE, TOO_SMALL, Measured, Series, rule

_LEVELS = (
    ("gap_face", "face", False),
    ("gap_face_strokes", "face", True),
    ("gap_base", "base", False),
    ("gap_base_strokes", "base", True),
)


@rule(
    id="raised/gap-sloped",
    title="Closest points of neighboring raised characters with leaning walls",
    why="A conical cutter leaves letters wider at the base than at the face, and a finger feels both.",
    fix="Set the letters further apart or closer, pair by pair, or use a cutter with a smaller angle.",
    limits=tuple(limit for limit, _, _ in _LEVELS),
    codes={TOO_SMALL: Severity.HOLD, TOO_LARGE: Severity.HOLD},
    applies=lambda sign: sign.build.side_deg > 0 and bool(word_pairs(sign)),
    otherwise="The walls are upright, or no word has two characters.",
    waivable=False,
)
def check_gap_sloped(sign: SignLayout) -> Series:
    """The outline is the face; each wall leans out by the raised height times the tangent of its angle.

    Four strokes are counted in the face's stroke, the narrower of the two, at both levels.
    """
    spread = spread_mm(sign)
    pairs = word_pairs(sign)
    values: list[float] = []
    for (line, _, _), face_mm in zip(pairs, gaps_mm(sign, pairs), strict=True):
        stroke_mm = sign.font.stroke_ratio * line.height_mm
        base_mm = face_mm - 2 * spread
        values += (face_mm, face_mm / stroke_mm, base_mm, base_mm / stroke_mm)

    def single(index: int) -> Measured:
        pair = pairs[index // len(_LEVELS)]
        limit, level, in_strokes = _LEVELS[index % len(_LEVELS)]
        return Measured(
            limit=limit,
            value=values[index],
            where=f"{level} of {name_pair(sign, pair)} in raised line {pair[0].text!r}",
            unit_mm=sign.font.stroke_ratio * pair[0].height_mm if in_strokes else 0.0,
        )

    return Series(limits=tuple(limit for limit, _, _ in _LEVELS), values=values, single=single)
