"""What the cuttings of all signs of a job come to, from one look at each."""

from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from schedule2sign.model.bench import PlannedSign


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """Sums over all pieces, and extremes over all signs.

    Attributes:
        letters_s, clearing_s, holes_s, plate_s, hand_s: seconds by kind of work; `total_s` of all together.
        hop_mm, hop_bound_mm: travel between letter paths, and the least of any order.
        least_gap_mm, least_stroke_mm: None where no sign has one.
        corners: every part with inner corners that stay round, and the largest share of it.
        closest: place of the sign with the narrowest gap between two neighbors of a word, None where there is none.
        corner_shares: of the worst letter of each sign.
    """

    letters_s: float
    clearing_s: float
    holes_s: float
    plate_s: float
    hand_s: float
    total_s: float
    hop_mm: float
    hop_bound_mm: float
    least_gap_mm: float | None
    least_stroke_mm: float | None
    corners: tuple[tuple[str, float], ...]
    closest: int | None
    corner_shares: Sequence[float]


def tally_cuttings(signs: Iterable[PlannedSign]) -> Tally:
    """Look once at every sign: its cutting may have to be fetched."""
    sums = [0.0] * 8
    gaps, strokes, corners = set[float](), set[float](), dict[str, float]()
    shares = array("d")
    closest: tuple[float, int] | None = None
    for place, sign in enumerate(signs):
        cutting, pieces = sign.cutting, sign.request.quantity
        times = cutting.times
        values = (
            *(times.letters_s, times.clearing_s, times.holes_s, times.plate_s, times.hand_s, times.total_s),
            *(cutting.hop_mm, cutting.hop_bound_mm),
        )
        sums = [total + value * pieces for total, value in zip(sums, values, strict=True)]
        shares.append(cutting.corner_share)
        if cutting.least_gap_mm is not None:
            gaps.add(cutting.least_gap_mm)
        if cutting.least_stroke_mm is not None:
            strokes.add(cutting.least_stroke_mm)
        for part, share in cutting.corners:
            corners[part] = max(corners.get(part, 0.0), share)
        if cutting.closest_mm is not None:
            gap = round(cutting.closest_mm, 6)
            if closest is None or gap < closest[0]:
                closest = gap, place
    letters_s, clearing_s, holes_s, plate_s, hand_s, total_s, hop_mm, hop_bound_mm = sums
    return Tally(
        letters_s=letters_s,
        clearing_s=clearing_s,
        holes_s=holes_s,
        plate_s=plate_s,
        hand_s=hand_s,
        total_s=total_s,
        hop_mm=hop_mm,
        hop_bound_mm=hop_bound_mm,
        least_gap_mm=min(gaps, default=None),
        least_stroke_mm=min(strokes, default=None),
        corners=tuple(corners.items()),
        closest=None if closest is None else closest[1],
        corner_shares=shares,
    )
