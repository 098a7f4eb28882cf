"""Dated, private, placeholder and easily confused wording: asked about, never renamed."""

import csv
import re
from dataclasses import dataclass

from schedule2sign.naming.draft import Draft
from schedule2sign.naming.tables import read_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One line of terms.csv: wording a person must see before it is raised."""

    text: str
    whole: bool
    hold: bool
    code: str
    proposal: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """All terms, and one pattern that tells quickly that a name holds none."""

    by_text: dict[str, Term]
    pattern: re.Pattern[str]


def load_terms() -> Terms:
    """Read terms.csv, the list that a shop edits."""
    rows = csv.DictReader(read_text("terms.csv").splitlines())
    terms = [
        Term(
            text=row["term"],
            whole=row["where"] == "whole",
            hold=row["severity"] == "HOLD",
            code=row["code"],
            proposal=row["proposal"],
            reason=row["reason"],
        )
        for row in rows
    ]
    longest_first = sorted((term.text for term in terms), key=lambda text: (-len(text), text))
    pattern = re.compile(rf"(?<![A-Z0-9])(?:{'|'.join(map(re.escape, longest_first))})(?![A-Z0-9'])")
    return Terms(by_text={term.text: term for term in terms}, pattern=pattern)


def flag_terms(draft: Draft, terms: Terms) -> None:
    """Flag every listed term in the name as it stands now."""
    for found in dict.fromkeys(terms.pattern.findall(draft.text)):
        term = terms.by_text[found]
        if term.whole and draft.text != term.text:
            continue
        proposal = f" Proposed: {term.proposal}." if term.proposal else ""
        message = f"{term.text!r} in {draft.given!r}: {term.reason}.{proposal}"
        fix = "Give the owner's wording under [lexicon.approved] in the job file."
        if term.hold:
            draft.hold(term.code, message, fix=fix, who="owner")
        else:
            draft.ask(term.code, message, fix=fix, who="owner", subject=term.text)
