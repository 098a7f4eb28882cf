"""A text on its way to the sign: what it says now, what was changed, what a person must see."""

import dataclasses

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.named import Change


@dataclasses.dataclass(slots=True, kw_only=True)
class Draft:
    """One cell being cleaned. Mutable on purpose, and never leaves the stage.

    Attributes:
        subjects: what a question is about, where one answer serves the whole job: it is asked once.
    """

    field: str
    given: str
    text: str
    changes: list[Change] = dataclasses.field(default_factory=list)
    flags: list[Flag] = dataclasses.field(default_factory=list)
    subjects: dict[Flag, str] = dataclasses.field(default_factory=dict)

    def change(self, rule: str, after: str) -> bool:
        """Take the new text and record it under the rule; False when nothing changed."""
        if after == self.text:
            return False
        self.changes.append(Change(rule=rule, field=self.field, before=self.text, after=after))
        self.text = after
        return True

    def note(self, code: str, message: str, *, fix: str = "", who: str = "shop") -> None:
        """Tell, and go on."""
        self._add(code, Severity.NOTE, message, fix, who)

    def ask(self, code: str, message: str, *, fix: str, who: str = "architect", subject: str = "") -> None:
        """Take a default that a person must tick."""
        flag = self._add(code, Severity.ASK, message, fix, who)
        if subject:
            self.subjects[flag] = subject

    def hold(self, code: str, message: str, *, fix: str, who: str = "architect") -> None:
        """Make no production file until a person answers."""
        self._add(code, Severity.HOLD, message, fix, who)

    def _add(self, code: str, severity: Severity, message: str, fix: str, who: str) -> Flag:
        flag = Flag(code=f"naming/{code}", severity=severity, message=message, given=self.given, fix=fix, who=who)
        if flag not in self.flags:
            self.flags.append(flag)
        return flag
