"""What a verification compared and found."""

from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from schedule2sign.verification.difference import Difference


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmeasured:
    """A rule that was not re-measured, on how many signs, and why."""

    rule: str
    signs: int
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """The result. Counts say what was really compared: nothing that is not counted was.

    Attributes:
        files: files whose checksum was compared.
        drawings: drawing files read, `sheets` of them stock sheets; `signs` signs were rebuilt in full.
        values: measured values compared with the recorded ones; `judged` counts rules times signs.
        braille_lines: lines decoded and read back as the text.
        notes: what limits the comparison, in words.
    """

    folder: Path
    standard: str
    version: str
    differences: tuple[Difference, ...]
    files: int
    drawings: int
    sheets: int
    signs: int
    letters: int
    dots: int
    braille_lines: int
    judged: int
    values: int
    unmeasured: tuple[Unmeasured, ...]
    notes: tuple[str, ...] = ()


@dataclass(slots=True)
class Tally:
    """Counts while they are taken."""

    differences: list[Difference] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)
    unmeasured: Counter[tuple[str, str]] = field(default_factory=Counter)

    def report(self, folder: Path, standard: str, version: str, notes: tuple[str, ...]) -> Report:
        return Report(
            folder=folder,
            standard=standard,
            version=version,
            differences=tuple(dict.fromkeys(self.differences)),
            files=self.counts["files"],
            drawings=self.counts["drawings"],
            sheets=self.counts["sheets"],
            signs=self.counts["signs"],
            letters=self.counts["letters"],
            dots=self.counts["dots"],
            braille_lines=self.counts["braille_lines"],
            judged=self.counts["judged"],
            values=self.counts["values"],
            unmeasured=tuple(
                Unmeasured(rule=rule, signs=signs, why=why) for (rule, why), signs in self.unmeasured.items()
            ),
            notes=notes,
        )
