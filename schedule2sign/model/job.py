"""A finished run: every row, every sign, every flag; all that the writers see."""

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Protocol

from schedule2sign.model.bench import BenchPlan, CutSetup, SignCut
from schedule2sign.model.braille import BrailleLine, Engine, RiskTerm
from schedule2sign.model.flag import Flag
from schedule2sign.model.plate import Close, Cutting, DrillRows, Plate
from schedule2sign.model.revision import Comparison
from schedule2sign.model.rule import RuleInForce, Verdict, WaiverUse
from schedule2sign.model.schedule import Schedule
from schedule2sign.model.settings import Settings
from schedule2sign.model.shape import FontFacts, SignLayout
from schedule2sign.model.sign import Answer, Decision, SignRequest


class Status(StrEnum):
    """Released signs get production files; held signs get none."""

    RELEASED = "released"
    HELD = "held"


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeSign:
    """What takes memory of a sign: its geometry and all that was measured on it.

    Attributes:
        layout: its request has only the content.
        cut, cutting: None where something found while it was made holds the sign.
    """

    layout: SignLayout
    verdicts: tuple[Verdict, ...]
    cut: SignCut | None
    cutting: Cutting | None
    drilled: DrillRows


class Made(Protocol):
    """A made sign, of which each part may be fetched when it is asked for."""

    @property
    def layout(self) -> SignLayout: ...

    @property
    def verdicts(self) -> tuple[Verdict, ...]: ...

    @property
    def cut(self) -> SignCut | None: ...

    @property
    def cutting(self) -> Cutting | None: ...

    @property
    def drilled(self) -> DrillRows: ...


class Holder(Protocol):
    """Has a made sign, or knows where it lies."""

    def open(self) -> Made: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class InHand:
    """A made sign in memory."""

    made: MadeSign

    def open(self) -> MadeSign:
        return self.made


@dataclass(frozen=True, slots=True, kw_only=True)
class SignWork:
    """What was made of a sign's content alone, wherever in the schedule it stands: a later run can take it over.

    Attributes:
        key: hash of all it was made from: the content, its braille, the template, and `made_with`; "" for a sign of
            another origin.
        made_with: hash of what all signs of its job were made with: standard, font, process and the program itself.
        flags: what was found; they have no source yet.
        design: hash of the geometry, "" without a layout.
        braille: lines as drilled; as translated where no layout could be made.
        plate: None where no layout could be made, and the holder too.
        planned: whether its cutting is; not where something found here holds the sign.
        findings: codes of the flags the verdicts make.
        tolerance_mm: error of the process, each way.
        close: what lies so near to its limit that this error counts.
    """

    key: str
    made_with: str
    flags: tuple[Flag, ...]
    design: str
    braille: tuple[BrailleLine, ...]
    plate: Plate | None = None
    planned: bool = False
    findings: tuple[str, ...] = ()
    tolerance_mm: float = 0.0
    close: tuple[Close, ...] = ()
    holder: Holder | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SignRecord:
    """One sign from request to verdict. Geometry and verdicts are fetched when they are asked for: ask once.

    Attributes:
        flags: all flags of the sign, from reading to rules, worst first.
        drawn_as: paths of its production files inside the output folder, with {id} for its id, as for all signs of the
            job; () for a held sign.
    """

    request: SignRequest
    work: SignWork
    flags: tuple[Flag, ...]
    status: Status
    drawn_as: tuple[str, ...]

    @property
    def files(self) -> tuple[str, ...]:
        """Paths of its production files inside the output folder; () for a held sign."""
        return tuple([pattern.format(id=self.request.sign_id) for pattern in self.drawn_as])

    @property
    def braille(self) -> tuple[BrailleLine, ...]:
        return self.work.braille

    @property
    def design(self) -> str:
        """Hash of the geometry, "" without a layout; equal designs can be cut from one file."""
        return self.work.design

    @property
    def plate(self) -> Plate | None:
        """None where no layout could be made (the flags say why)."""
        return self.work.plate

    @property
    def layout(self) -> SignLayout | None:
        """None where no layout could be made."""
        holder = self.work.holder
        return replace(holder.open().layout, request=self.request) if holder is not None else None

    @property
    def verdicts(self) -> tuple[Verdict, ...]:
        return self.work.holder.open().verdicts if self.work.holder is not None else ()

    @property
    def cut(self) -> SignCut | None:
        """What the bench does for one piece, None for a sign that was held when it was made."""
        return self.work.holder.open().cut if self.work.holder is not None else None

    @property
    def cutting(self) -> Cutting | None:
        """What is told and counted of its cutting, None as for `cut`."""
        return self.work.holder.open().cutting if self.work.holder is not None else None

    @property
    def drilled(self) -> DrillRows | None:
        """Its braille holes as they are drilled, None where no layout could be made."""
        return self.work.holder.open().drilled if self.work.holder is not None else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Imprint:
    """What the production files of all signs of a job say alike.

    Attributes:
        version: the tool's.
        bench: None where no cutter path is drawn.
    """

    version: str
    revision: str
    bench: CutSetup | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Accounting:
    """The row account (every pair of sides is equal, or the run ends as our bug).

    Attributes:
        rows_read: rows of all sheets read.
        rows_by_kind: row kind -> count; sums to rows_read.
        data_rows: rows that could become signs.
        outcomes: signed, unsigned, held, merged -> count; sums to data_rows.
        unsigned_reasons: reason -> count; sums to outcomes["unsigned"].
        signs_listed: signs released plus signs held.
        pieces_released: released signs times quantity.
        designs_released: distinct designs among released signs.
    """

    rows_read: int
    rows_by_kind: tuple[tuple[str, int], ...]
    data_rows: int
    outcomes: tuple[tuple[str, int], ...]
    unsigned_reasons: tuple[tuple[str, int], ...]
    signs_listed: int
    signs_released: int
    signs_held: int
    pieces_released: int
    designs_released: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Standard:
    """The profile in force, for the record."""

    id: str
    title: str
    edition: str
    table_date: str
    experimental: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """The result of a run. `flags` holds every flag in source order; `version` is the tool's.

    `bench` plans the released signs, None where nothing was planned for making them. `comparison` is with an earlier
    issue, None where none was given.
    """

    settings: Settings
    standard: Standard
    font: FontFacts
    engine: Engine
    version: str
    schedule: Schedule
    decisions: tuple[Decision, ...]
    signs: tuple[SignRecord, ...]
    flags: tuple[Flag, ...]
    accounting: Accounting
    braille_code: str = ""
    braille_lines: tuple[BrailleLine, ...] = ()  # every distinct one, whole, before it is broken for its plate
    risks: tuple[RiskTerm, ...] = ()  # what a transcriber should look at
    unused_answers: tuple[Answer, ...] = ()
    bench: BenchPlan | None = None
    comparison: Comparison | None = None
    rule_book: tuple[RuleInForce, ...] = ()  # every rule with what the standard sets for it
    waivers: tuple[WaiverUse, ...] = ()  # every waiver given, and what became of it

    @property
    def imprint(self) -> Imprint:
        return Imprint(version=self.version, revision=self.settings.revision, bench=self.bench)
