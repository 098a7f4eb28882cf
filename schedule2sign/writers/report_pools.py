"""What the report page has once and names by number."""

from collections import OrderedDict
from dataclasses import dataclass, field

from schedule2sign.model.flag import Flag
from schedule2sign.model.shape import Outline
from schedule2sign.model.source import Source
from schedule2sign.writers.places import Places

_VERDICTS, _LISTS, _DRAWINGS = 16_000, 4_000, 4_000  # remembered: a verdict has some 200 characters, a drawing 800


class Recent:
    """Numbers of the values written so far; of those used last it is known which they are."""

    def __init__(self, most: int) -> None:
        self._most, self._count = most, 0
        self._known: OrderedDict[str, int] = OrderedDict()

    def find(self, value: str) -> int | None:
        """Its number, None for a value that must be written."""
        number = self._known.get(value)
        if number is not None:
            self._known.move_to_end(value)
        return number

    def add(self, value: str) -> int:
        """The number of a value written now."""
        if len(self._known) >= self._most:
            self._known.popitem(last=False)
        self._known[value] = self._count
        self._count += 1
        return self._known[value]


class Rows:
    """Rows by number, in the order they are first named."""

    def __init__(self) -> None:
        self.sources: list[Source] = []
        self._numbers: dict[tuple[str, str], dict[int, int]] = {}

    def number(self, source: Source | None) -> int:
        """The row as the customer wrote it; -1 for what concerns a whole file or job."""
        if source is None:
            return -1
        of_sheet = self._numbers.setdefault((source.file, source.sheet), {})
        if source.row not in of_sheet:
            of_sheet[source.row] = len(self.sources)
            self.sources.append(source)
        return of_sheet[source.row]


@dataclass(slots=True)
class Pools:
    """`glyphs` and `frames` are few in any job, and written at its end."""

    places: Places
    flags: dict[Flag, int]
    since: dict[str, str]
    rows: Rows = field(default_factory=Rows)
    glyphs: dict[Outline, int] = field(default_factory=dict)
    frames: dict[tuple[str, ...], int] = field(default_factory=dict)
    drawings: Recent = field(default_factory=lambda: Recent(_DRAWINGS))
    verdicts: Recent = field(default_factory=lambda: Recent(_VERDICTS))
    lists: Recent = field(default_factory=lambda: Recent(_LISTS))
