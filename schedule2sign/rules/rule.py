"""What a rule is: fields a rule page is made of, and a check that only measures."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout

TOO_SMALL = "too-small"
TOO_LARGE = "too-large"


# Readings are made by the dozen for every sign, and a named tuple is made in half the time of a frozen dataclass.
class Measured(NamedTuple):
    """A number read off the sign.

    Attributes:
        limit: the limit's key.
        value: mm for lengths, else in the limit's unit.
        unit_mm: for shares and strokes, the length of one unit on this sign; 0 where it is no length.
    """

    limit: str
    value: float
    where: str
    unit_mm: float = 0.0


class Stated(NamedTuple):
    """A property read off the sign. `code` is the finding's code should the profile not allow the property."""

    requirement: str
    value: str
    code: str
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """Many numbers read alike, each put into words only where it is told; iterates as the single readings.

    Attributes:
        limits: the keys of the limits, which the values are read against by turns.
        single: the reading of the value at an index.
    """

    limits: tuple[str, ...]
    values: Sequence[float]
    single: Callable[[int], Measured]

    def __iter__(self) -> Iterator[Measured]:
        return map(self.single, range(len(self.values)))


Check = Callable[[SignLayout], Iterable[Measured | Stated]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule. The engine judges what `check` reads off the sign against the profile's limits and requirements.

    Attributes:
        id: public, never reused, never renamed.
        limits, requirements: keys of the profile the check may measure against; nothing else reaches it.
        codes: finding code -> how much it stops.
        applies: True where the sign has what the rule measures; then the check must measure something.
        otherwise: why the rule does not apply where `applies` says no.
        waivable: False for braille and life-safety rules.
    """

    id: str
    title: str
    why: str
    fix: str
    limits: tuple[str, ...]
    requirements: tuple[str, ...]
    codes: Mapping[str, Severity]
    applies: Callable[[SignLayout], bool]
    otherwise: str
    waivable: bool
    check: Check


def rule(
    *,
    id: str,  # noqa: A002 - the field's public name
    title: str,
    why: str,
    fix: str,
    limits: tuple[str, ...] = (),
    requirements: tuple[str, ...] = (),
    codes: Mapping[str, Severity],
    applies: Callable[[SignLayout], bool],
    otherwise: str,
    waivable: bool,
) -> Callable[[Check], Rule]:
    """Make a check into a rule."""

    def declare(check: Check) -> Rule:
        return Rule(
            id=id,
            title=title,
            why=why,
            fix=fix,
            limits=limits,
            requirements=requirements,
            codes=codes,
            applies=applies,
            otherwise=otherwise,
            waivable=waivable,
            check=check,
        )

    return declare
