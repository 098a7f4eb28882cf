"""Of values that are equal in many signs the one that all of them hold: what comes from elsewhere has its own copies."""

from collections.abc import Hashable, Iterable
from dataclasses import replace
from typing import Any, TypeVar

from schedule2sign.model.job import SignWork
from schedule2sign.model.plate import Close, Plate

_Same = TypeVar("_Same", bound=Hashable)


class Shared:
    """The values met so far."""

    def __init__(self) -> None:
        self._known: dict[Any, Any] = {}
        self._written: dict[str, Any] = {}

    def work(self, work: SignWork) -> SignWork:
        """The work with the one value of all that is equal in many."""
        one = self.one
        return replace(
            work,
            made_with=one(work.made_with),
            braille=tuple(map(one, work.braille)),
            plate=self._share_plate(work.plate) if work.plate is not None else None,
            findings=one(work.findings),
            close=self._share_close(work.close),
        )

    def one(self, value: _Same) -> _Same:
        """The one value of those that are equal; of numbers only where no two equal ones are written otherwise."""
        known: _Same = self._known.setdefault(value, value)
        return known

    def _share_plate(self, plate: Plate) -> Plate:
        exact = self._exact
        # Plates have few sizes, and what stands on them begins and ends in few places.
        return replace(
            plate,
            build=self.one(plate.build),
            cell_size=self.one(plate.cell_size),
            texts=tuple(map(self.one, plate.texts)),
            remedies=self.one(plate.remedies),
            width_mm=exact(plate.width_mm),
            height_mm=exact(plate.height_mm),
            corner_radius_mm=exact(plate.corner_radius_mm),
            tactile_mm=exact(plate.tactile_mm),
            span_mm=exact(plate.span_mm),
            patches=exact(plate.patches),
            holes=exact(plate.holes),
            window=exact(plate.window),
            outline=exact(plate.outline),
        )

    def _share_close(self, close: tuple[Close, ...]) -> tuple[Close, ...]:
        found = []
        for one in close:
            measured = one.measurement
            numbers = repr((measured.value, measured.margin, measured.margin_mm))
            found.append(self._known.setdefault((one.rule, measured.limit, numbers, measured.where), one))
        known: tuple[Close, ...] = self._known.setdefault(tuple(map(id, found)), tuple(found))
        return known

    def _exact(self, value: _Same) -> _Same:
        """The one value of those that are written alike: 0.0 and -0.0 are equal, and are two."""
        known: _Same = self._written.setdefault(repr(value), value)
        return known

    def forget(self) -> None:
        """All signs are made: nothing more is shared."""
        self._known.clear()
        self._written.clear()

    def know(self, values: Iterable[Hashable]) -> None:
        """These are the ones to share where equal ones come."""
        self._known.update((value, value) for value in values)
