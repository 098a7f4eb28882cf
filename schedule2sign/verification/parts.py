"""Rings to solid parts: an outer ring with its counters, found by which ring lies in which."""

from collections.abc import Sequence
from dataclasses import dataclass

from schedule2sign.geometry.rings import box_of, ring_area
from schedule2sign.model.shape import Box, Ring
from schedule2sign.verification.drawing import DrawnRing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """One piece of material. `holds` says that other parts lie in its openings: a border, not a letter."""

    outer: Ring
    counters: tuple[Ring, ...]
    box: Box
    holds: bool

    @property
    def rings(self) -> tuple[Ring, ...]:
        """Outer ring counter-clockwise, counters clockwise."""
        return (_turned(self.outer, 1), *(_turned(ring, -1) for ring in self.counters))


def find_parts(rings: Sequence[DrawnRing]) -> tuple[Part, ...]:
    """Parts left to right: rings in an even number of others are solid, those one deeper are their openings."""
    parents = _parents(rings)
    depths = [len(above) for above in parents]
    parts = []
    for index, ring in enumerate(rings):
        if depths[index] % 2:
            continue
        openings = [i for i in range(len(rings)) if index in parents[i] and depths[i] == depths[index] + 1]
        parts.append(
            Part(
                outer=ring.points,
                counters=tuple(rings[i].points for i in openings),
                box=ring.box,
                holds=any(index in parents[i] and depths[i] > depths[index] + 1 for i in range(len(rings))),
            )
        )
    return tuple(sorted(parts, key=lambda part: (part.box.left_mm, part.box.bottom_mm)))


def parts_box(parts: Sequence[Part]) -> Box:
    """The box around the parts."""
    return box_of([part.outer for part in parts])


def _parents(rings: Sequence[DrawnRing]) -> list[set[int]]:
    import shapely

    shapes = [shapely.polygons(ring.points) for ring in rings]
    found = []
    for index, ring in enumerate(rings):
        point = shapely.points(ring.points[0])
        found.append(
            {
                other
                for other, around in enumerate(rings)
                if other != index and _inside(ring.box, around.box) and shapely.contains(shapes[other], point)
            }
        )
    return found


def _inside(inner: Box, outer: Box) -> bool:
    return (
        outer.left_mm <= inner.left_mm
        and outer.bottom_mm <= inner.bottom_mm
        and inner.right_mm <= outer.right_mm
        and inner.top_mm <= outer.top_mm
    )


def _turned(ring: Ring, way: int) -> Ring:
    return ring if ring_area(ring) * way > 0 else tuple(reversed(ring))
