"""Commas and parentheses: department suffixes, inverted names, asides."""

import re
from collections import Counter
from collections.abc import Iterable

from schedule2sign.naming.draft import Draft
from schedule2sign.naming.vocabulary import Vocabulary

_ASIDE = re.compile(r"\s*\(([^()]*)\)\s*")
_REPEATED = 3
_SHORTEST_ACRONYM = 2
_LONGEST_ACRONYM = 6
_DIRECTIONS = frozenset("NESW")


def repeated_tails(names: Iterable[str]) -> frozenset[str]:
    """What stands after the comma in three or more different names: the mark of a department column."""
    heads: dict[str, set[str]] = {}
    for name in names:
        head, comma, tail = name.upper().rpartition(",")
        if comma and tail.strip() and head.strip():
            heads.setdefault(" ".join(tail.split()), set()).add(" ".join(head.split()))
    counts = Counter({tail: len(found) for tail, found in heads.items()})
    return frozenset(tail for tail, count in counts.items() if count >= _REPEATED)


def order_parts(draft: Draft, vocabulary: Vocabulary, tails: frozenset[str]) -> None:
    """Take a department off the end, set an inverted name straight; both are questions."""
    head, colon, rest = (piece.strip() for piece in draft.text.partition(": "))
    if colon and head and rest:
        draft.change("N18", f"{head} {rest}")
        draft.ask(
            "colon",
            f"{head!r} before the colon of {draft.given!r} may be a department, not part of the name; it is kept.",
            fix="Confirm, or give the wording under [lexicon.approved] in the job file.",
            subject=head,
        )
    parts = [part.strip() for part in draft.text.split(",")]
    if len(parts) < 2 or not all(parts):
        return
    *front, tail = parts
    before = draft.text
    if tail in tails or _is_department(tail, vocabulary):
        draft.change("N20", ", ".join(front))
        draft.ask(
            "department-suffix",
            f"{tail!r} after the comma reads as a department and was left off: {before!r} is now {draft.text!r}.",
            fix="Confirm, or give the wording under [lexicon.approved] in the job file.",
            subject=tail,
        )
        parts = front
    if len(parts) == 1:
        return
    before = draft.text
    if len(parts) == 2 and parts[0].split()[-1] in vocabulary.heads:
        draft.change("N20", f"{parts[1]} {parts[0]}")
        draft.ask(
            "inverted-name",
            f"{before!r} is written like an index entry; set straight it is {draft.text!r}.",
            fix="Confirm, or give the wording under [lexicon.approved] in the job file.",
            subject=before,
        )
        return
    draft.hold(
        "comma",
        f"The comma in {before!r} may part a list, a department or an inverted name.",
        fix="Give the wording of the sign under [lexicon.approved] in the job file.",
    )


def place_asides(draft: Draft) -> None:
    """Words in parentheses: an acronym of the words before goes; the rest becomes a line of its own."""
    found = _ASIDE.search(draft.text)
    if not found:
        return
    before = draft.text
    inside = found[1].strip()
    front, rest = draft.text[: found.start()].strip(), draft.text[found.end() :].strip()
    if not inside or _abbreviates(inside, front):
        after = f"{front} {rest}"
    elif rest or not front:
        after = f"{front} {inside} {rest}"
    else:
        after = f"{front} - {inside}"
    draft.change("N20", " ".join(after.split()))
    draft.ask(
        "parentheses",
        f"The parentheses of {before!r} were resolved: {draft.text!r}.",
        fix="Say whether the words in parentheses go on the sign, in an insert, or nowhere.",
        subject=inside,
    )
    place_asides(draft)


def _is_department(tail: str, vocabulary: Vocabulary) -> bool:
    last = tail.split()[-1].strip(".")
    return vocabulary.expand.get(last, last) in vocabulary.departments or tail in vocabulary.acronyms


def _abbreviates(inside: str, front: str) -> bool:
    """True when a short form spells, in order, letters of the words before it and starts where one of them starts."""
    letters = re.sub(r"[^A-Z]", "", inside)
    if len(letters) < _SHORTEST_ACRONYM or len(inside) > _LONGEST_ACRONYM or set(letters) <= _DIRECTIONS:
        return False
    words = re.split(r"[\s/-]+", front)
    return any(
        word.startswith(letters[0]) and _runs_through(letters, "".join(words[place:]))
        for place, word in enumerate(words)
    )


def _runs_through(letters: str, text: str) -> bool:
    rest = iter(text)
    return all(letter in rest for letter in letters)
