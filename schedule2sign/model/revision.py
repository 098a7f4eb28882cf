"""What changed from one issue of a job to the next."""

from dataclasses import dataclass
from enum import StrEnum


class ChangeKind(StrEnum):
    """What became of a sign; the first that fits, in this order, names it."""

    NEW = "new"
    DELETED = "deleted"
    RENUMBER = "renumber"
    TEXT = "text"
    BRAILLE = "braille only"
    MATERIAL = "material"
    LAYOUT = "layout"
    LOCATION = "location"
    QUANTITY = "quantity"
    STATUS = "status"
    LIST = "list data"
    UNCHANGED = "unchanged"


class Stage(StrEnum):
    """How far the old sign had come."""

    NOT_RELEASED = "not released"
    RELEASED = "released"
    CUT = "cut"
    SHIPPED = "shipped"
    INSTALLED = "installed"


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldChange:
    """One value that differs; `cell_before` and `cell_after` say where each stands, "" where it stands in no cell."""

    field: str
    before: str
    after: str
    cell_before: str = ""
    cell_after: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SignChange:
    """One sign of either issue.

    Attributes:
        sign_id: in the new issue; of a deleted sign, in the old.
        old_id: in the old issue, "" for a new sign.
        text_before, text_after: the raised messages, "/" between them.
        marked_before, marked_after: the same with what differs in brackets.
        stage: how far the old sign had come, None for a new sign.
        action: what to do at that stage.
        held: the new sign is held; nothing of it is made until that is settled.
        pieces: pieces to make because of the change.
        chain: room numbers of a swap, old to new ("204->206->208"), "" without one.
        why: what the new schedule says where the sign is gone.
    """

    kind: ChangeKind
    sign_id: str
    old_id: str = ""
    text_before: str = ""
    text_after: str = ""
    marked_before: str = ""
    marked_after: str = ""
    fields: tuple[FieldChange, ...] = ()
    stage: Stage | None = None
    action: str = ""
    held: bool = False
    pieces: int = 0
    chain: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowChange:
    """A row without a sign that is new, gone, or ended otherwise than before."""

    label: str
    before: str
    after: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two issues side by side.

    Attributes:
        old, new: what each is called: job, revision and inputs.
        changes: every sign of both issues once, unchanged ones too; deleted signs last.
        totals: kind -> count, kinds that occur, in the order of `ChangeKind`; sums to len(changes).
        rows: rows without a sign that differ.
        alerts: what concerns the whole job: another standard, font, braille table or material.
    """

    old: str
    new: str
    changes: tuple[SignChange, ...]
    totals: tuple[tuple[ChangeKind, int], ...]
    rows: tuple[RowChange, ...] = ()
    alerts: tuple[str, ...] = ()

    @property
    def differs(self) -> bool:
        """True when anything at all is not as before."""
        return bool(self.rows or self.alerts) or any(kind is not ChangeKind.UNCHANGED for kind, _ in self.totals)

    @property
    def pieces(self) -> int:
        """Pieces to make."""
        return sum(change.pieces for change in self.changes)

    @property
    def tally(self) -> str:
        """Everything that happened to the signs in one line: "of 7 signs: 1 new, 6 unchanged; to make: 1 piece"."""
        counts = ", ".join(f"{count} {kind}" for kind, count in self.totals) or "none"
        made = f"{self.pieces} piece{'s' * (self.pieces != 1)}"
        return f"of {len(self.changes)} signs: {counts}; to make: {made}"

    @property
    def remake(self) -> tuple[SignChange, ...]:
        """The signs to make: released now, and new or not as they were cut."""
        return tuple(change for change in self.changes if change.pieces)
