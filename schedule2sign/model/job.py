"""A finished run: every row, every sign, every flag; all that the writers see."""

from dataclasses import dataclass
from enum import StrEnum

from schedule2sign.model.bench import BenchPlan, SignCut
from schedule2sign.model.braille import BrailleLine, Engine, RiskTerm
from schedule2sign.model.flag import Flag
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
class SignWork:
    """What was made of a sign's content alone, wherever in the schedule it stands: a later run can take it over.

    Attributes:
        key: hash of all it was made from: the content, its braille, the template, and `made_with`.
        made_with: hash of what all signs of its job were made with: standard, font, process and the program itself.
        layout: None where no layout could be made. Its request has only the content; the flags have no source yet.
        design: hash of the geometry, "" without a layout.
        cut: None where something found here holds the sign.
    """

    key: str
    made_with: str
    layout: SignLayout | None
    verdicts: tuple[Verdict, ...]
    flags: tuple[Flag, ...]
    design: str
    cut: SignCut | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SignRecord:
    """One sign from request to verdict.

    Attributes:
        layout: None where no layout could be made (the flags say why).
        flags: all flags of the sign, from reading to rules, worst first.
        design: hash of the geometry, "" without a layout; equal designs can be cut from one file.
        files: paths of its production files inside the output folder; () for a held sign.
        cut: what the bench does for one piece, None for a sign that was held when it was made.
        work: what a later run can take over, None for a sign of another origin.
    """

    request: SignRequest
    braille: tuple[BrailleLine, ...]
    layout: SignLayout | None
    verdicts: tuple[Verdict, ...]
    flags: tuple[Flag, ...]
    status: Status
    design: str
    files: tuple[str, ...]
    cut: SignCut | None = None
    work: SignWork | None = None


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
