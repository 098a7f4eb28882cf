"""The short list a transcriber signs: every word of a job's braille that a rule alone does not settle."""

import csv
import tomllib
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import groupby

from schedule2sign.braille.lexicon import load_policy, read_data
from schedule2sign.braille.translator import open_passages
from schedule2sign.geometry.dotgrid import BLANK
from schedule2sign.model.braille import BrailleLine, RiskTerm, Token, TokenKind
from schedule2sign.model.flag import Flag, Severity

_GRADE_1 = "\u2830"
_ASKED_BY_WORD = frozenset(
    f"braille/{code}" for code in ("unknown-word", "name", "name-or-word", "name-extent", "compound", "language-words")
)
_SIGNED_OFF = "job's lexicon"
_COMPARED = "ueb-contracted"  # the code the second engine was compared in
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
    found: dict[tuple[str, str, str, bool], RiskTerm] = {}
    for line in lines:
        for term in _risks_of_line(line):
            old = found.setdefault((term.term, term.typed, term.code, term.sign_off == "line"), term)
            found[term.term, term.typed, term.code, term.sign_off == "line"] = replace(
                old,
                reasons=tuple(dict.fromkeys((*old.reasons, *term.reasons))),
                seen_in=tuple(dict.fromkeys((*old.seen_in, *term.seen_in))),
            )
    return tuple(found.values())


def count_lines(lines: Iterable[BrailleLine]) -> tuple[int, int]:
    """Distinct braille lines, and how many of them hold a term to look at."""
    distinct = {(line.text, line.code): line for line in lines}
    return len(distinct), sum(any(_risks_of_line(line)) for line in distinct.values())


def _risks_of_line(line: BrailleLine) -> Iterator[RiskTerm]:
    if any(flag.code == "braille/signed-line" for flag in line.flags):
        return
    chunks = _chunks(line)
    tokens = [(token, index) for index, chunk in enumerate(chunks) for token in chunk]
    groups = open_passages(line.cells.split(BLANK))
    backs = line.back.split(" ")
    told_apart = len(chunks) == len(groups) == len(backs)
    start = 0
    while start < len(tokens):
        end = _end_of_name(tokens, start)
        first, last = tokens[start][1], tokens[end - 1][1] + 1
        cells = BLANK.join(groups[first:last]) if told_apart else ""
        reasons = tuple(
            dict.fromkeys(why for token, _ in tokens[start:end] for why in _reasons(token, cells, line.code))
        )
        if reasons and not _is_bare_title(tokens[start:end]):
            written = _join(tokens[start:end], lambda token: token.typed)
            covered = " ".join("".join(token.typed for token in chunk) for chunk in chunks[first:last])
            kind = tokens[end - 1][0].kind
            unknown = kind is TokenKind.UNKNOWN
            yield RiskTerm(
                term=_join(tokens[start:end], lambda token: token.text),
                # Capitals and cells of an unknown word wait for somebody to say what it is.
                typed="" if unknown else written,
                cells="" if unknown else cells,
                back=" ".join(backs[first:last]) if told_apart and not unknown else "",
                reasons=reasons,
                seen_in=(line.text,),
                sign_off="" if unknown else _SIGN_OFF.get(kind, "words"),
                code=line.code,
                stands_in="" if covered == written else covered,
            )
        start = end
    if asked := [flag for flag in line.flags if _is_of_line(flag)]:
        unreadable = any(flag.code == "braille/unknown-character" for flag in asked)
        yield RiskTerm(
            term=line.text,
            typed=" ".join("".join(token.typed for token in chunk) for chunk in chunks),
            cells="" if unreadable else line.cells,
            back=line.back,
            reasons=tuple(flag.message for flag in asked),
            seen_in=(line.text,),
            # What the architect must correct is not for a transcriber to sign.
            sign_off="line" if all(flag.who == "transcriber" for flag in asked) else "",
            code=line.code,
        )


def _chunks(line: BrailleLine) -> list[list[Token]]:
    """The tokens of each word between two spaces."""
    chunks: list[list[Token]] = []
    waiting = list(line.tokens)
    for word in line.text.split():
        chunk: list[Token] = []
        while waiting and sum(len(token.text) for token in chunk) < len(word):
            chunk.append(waiting.pop(0))
        chunks.append(chunk)
    return chunks


def _end_of_name(tokens: Sequence[tuple[Token, int]], start: int) -> int:
    """Where the name that starts here ends: Dr. Vale Library and J. Vale are one name each."""
    end = start + 1
    if not _is_open_name(tokens[start][0]) and tokens[start][0].reason != "initial":
        return end
    for spot in range(start + 1, len(tokens)):
        token = tokens[spot][0]
        if _is_open_name(token):
            end = spot + 1
        elif token.text != "." and not (token.kind is TokenKind.WORD and token.text in load_policy().joiners):
            break
    return end


def _is_open_name(token: Token) -> bool:
    return token.kind is TokenKind.NAME and token.reason != "proper name" and _SIGNED_OFF not in token.reason


def _is_bare_title(tokens: Sequence[tuple[Token, int]]) -> bool:
    """DR. in front of a name that is signed already."""
    return len(tokens) == 1 and tokens[0][0].reason.startswith("title before")


def _join(tokens: Sequence[tuple[Token, int]], text: Callable[[Token], str]) -> str:
    words = (group for _, group in groupby(tokens, key=lambda item: item[1]))
    return " ".join("".join(text(token) for token, _ in group) for group in words)


def _is_of_line(flag: Flag) -> bool:
    """Asked of the line as it stands, not of one of its words, which have a row of their own."""
    asked = flag.severity in (Severity.ASK, Severity.HOLD) and flag.code.startswith("braille/")
    return asked and flag.code not in _ASKED_BY_WORD


def _reasons(token: Token, cells: str, code: str) -> Iterator[str]:
    if _SIGNED_OFF in token.reason:
        return
    if token.kind is TokenKind.UNKNOWN:
        yield "in no word list: name, acronym or misspelling?"
    elif token.kind is TokenKind.NAME and token.reason != "proper name":
        yield f"name: {token.reason}"
    elif token.reason in ("taken as a common word", "common word that may be a name"):
        yield token.reason
    elif token.reason.startswith("compound of"):
        yield f"{token.reason}: no contraction across the join"
    if token.kind in (TokenKind.SPELLED, TokenKind.SPOKEN, TokenKind.NAME) and cells.startswith(_GRADE_1):
        yield "its letters look like a shortform, so it takes the grade 1 indicator"
    difference = load_differences().get(token.typed) if code == _COMPARED else None
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
