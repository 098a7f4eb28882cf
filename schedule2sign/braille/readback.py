"""Read the drilled dots as a finger would, and compare with what was meant."""

from collections.abc import Iterable, Sequence

from schedule2sign.geometry.dotgrid import BLANK, possible_readings, read_dots
from schedule2sign.model.braille import CellSize
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.shape import Dot


def read_back(dots: Sequence[tuple[float, float]], size: CellSize) -> tuple[str, ...]:
    """Cells of each line, top to bottom, from dot centers alone.

    Raises:
        AmbiguousDotsError: the dots fit several readings.
        ValueError: the dots fit no grid of that size.
    """
    return read_dots(dots, size)


def compare_reading(dots: Iterable[Dot], meant: Sequence[str], size: CellSize) -> tuple[Flag, ...]:
    """A HOLD where the dots, read by their centers alone, cannot be the lines that were meant.

    A few blocks read in more than one way (top dots alone look like middle dots); then the meant lines must be
    one of the readings.
    """
    readings = possible_readings([(dot.x_mm, dot.y_mm) for dot in dots], size)
    wanted = tuple(line.strip(BLANK) for line in meant if line.strip(BLANK))
    if wanted in readings:
        return ()
    read = " / ".join(readings[0]) if readings else "no braille at all"
    return (
        Flag(
            code="braille/read-back",
            severity=Severity.HOLD,
            message=f"The dots read {read}, but {' / '.join(wanted) or 'no braille'} was meant.",
            measured=read,
            required=" / ".join(wanted),
            fix="Do not make this sign. Report the fault to the makers of this program.",
            who="shop",
        ),
    )
