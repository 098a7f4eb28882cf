"""The short list a transcriber signs: every word of a job's braille that a rule alone does not settle."""

import csv
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache

from schedule2sign.braille.lexicon import read_data
from schedule2sign.geometry.dotgrid import BLANK
from schedule2sign.model.braille import BrailleLine, RiskTerm, Token, TokenKind
from schedule2sign.model.flag import Severity

_GRADE_1 = "\u2830"
_SIGNED_OFF = "job's lexicon"
_SIGN_OFF = {
    TokenKind.NAME: "names",
    TokenKind.SPELLED: "spelled",
    TokenKind.SPOKEN: "spoken",
    TokenKind.INITIALS: "spelled",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """A word the second engine writes otherwise, and the section that decides for our cells."""

    typed: str
    ours: str
    second: str
    reason: str
    clause: str
    why: str
    judgment: bool


def risk_lines(lines: Iterable[BrailleLine]) -> tuple[RiskTerm, ...]:
    """Distinct terms to look at, in order of first appearance. Terms of the job's lexicon are signed off already.

    Args:
        lines: every braille line of the job, as translated (not as broken on the plate).
    """
    found: dict[tuple[str, str], RiskTerm] = {}
    for line in lines:
        for term in _risks_of_line(line):
            old = found.get((term.term, term.typed))
            if old is None:
                found[term.term, term.typed] = term
                continue
            found[term.term, term.typed] = RiskTerm(
                term=old.term,
                typed=old.typed,
                cells=old.cells,
                back=old.back,
                reasons=tuple(dict.fromkeys((*old.reasons, *term.reasons))),
                seen_in=tuple(dict.fromkeys((*old.seen_in, *term.seen_in))),
                sign_off=old.sign_off,
            )
    return tuple(found.values())


def count_lines(lines: Iterable[BrailleLine]) -> tuple[int, int]:
    """Distinct braille lines, and how many of them hold a term to look at."""
    distinct = {(line.text, line.code): line for line in lines}
    return len(distinct), sum(any(_risks_of_line(line)) for line in distinct.values())


def _risks_of_line(line: BrailleLine) -> Iterator[RiskTerm]:
    words = line.text.split()
    groups = line.cells.split(BLANK)
    backs = line.back.split(" ")
    told_apart = len(words) == len(groups) == len(backs)
    position = 0
    rest = ""
    for token in line.tokens:
        if not rest:
            rest = words[position].replace("\u2019", "'") if position < len(words) else ""
            position += 1
        rest = rest[len(token.text) :]
        reasons = tuple(_reasons(token, groups[position - 1] if told_apart else ""))
        if reasons:
            yield RiskTerm(
                term=words[position - 1] if told_apart else token.text,
                typed=token.typed,
                cells=groups[position - 1] if told_apart else "",
                back=backs[position - 1] if told_apart else "",
                reasons=reasons,
                seen_in=(line.text,),
                sign_off="" if token.kind is TokenKind.UNKNOWN else _SIGN_OFF.get(token.kind, "words"),
            )
    reasons = tuple(flag.message for flag in line.flags if flag.severity is Severity.HOLD and _is_of_line(flag.code))
    if reasons:
        yield RiskTerm(
            term=line.text,
            typed=" ".join(token.typed for token in line.tokens),
            cells=line.cells,
            back=line.back,
            reasons=reasons,
            seen_in=(line.text,),
        )


def _is_of_line(code: str) -> bool:
    """Faults of the whole line rather than of one word."""
    return code not in ("braille/unknown-word", "braille/ordinal")


def _reasons(token: Token, cells: str) -> Iterator[str]:
    if _SIGNED_OFF in token.reason:
        return
    if token.kind is TokenKind.UNKNOWN:
        yield "in no word list: name, acronym or misspelling?"
    elif token.kind is TokenKind.NAME and token.reason != "proper name":
        yield f"name ({token.reason}): capitals and contractions"
    elif token.reason in ("taken as a common word", "common word that may be a name"):
        yield token.reason
    elif token.reason.startswith("compound of"):
        yield f"{token.reason}: no contraction across the join"
    if token.kind in (TokenKind.SPELLED, TokenKind.SPOKEN, TokenKind.NAME) and cells.startswith(_GRADE_1):
        yield "its letters look like a shortform, so it takes the grade 1 indicator"
    difference = load_differences().get(token.typed)
    if difference and difference.judgment:
        yield f"a second engine writes {difference.second}: {difference.why} ({difference.clause})"


@cache
def load_differences() -> dict[str, Difference]:
    """Every word of our lists on which the second engine differs, by the text handed to the engine."""
    reasons = tomllib.loads(read_data("second_engine.toml"))
    return {
        row["typed"]: Difference(
            typed=row["typed"],
            ours=row["ours"],
            second=row["second"],
            reason=row["reason"],
            clause=reasons[row["reason"]]["clause"],
            why=reasons[row["reason"]]["why"],
            judgment=reasons[row["reason"]]["judgment"],
        )
        for row in csv.DictReader(read_data("second_engine.csv").splitlines())
    }
