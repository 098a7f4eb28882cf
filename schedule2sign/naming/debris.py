"""N04, N05, N06: what a drawing leaves in a name that no sign should say."""

import re

from schedule2sign.naming.draft import Draft
from schedule2sign.naming.tables import read_table

_FOOTNOTE = re.compile(r"\s*\[\s*\d+(?:\s*,\s*\d+)*\s*\]|\s*[*†‡]+\s*\d*$|\s+[*†‡]+(?=\s)")
_STRAY = re.compile(r"[\s,;:*_~^|\\#-]+$|^[\s,;:*_~^|\\-]+|(?<=[A-Z]{2})\.{2,}$")
_DEBRIS = (
    re.compile(r"\((?:E|N|EX|EXIST|EXISTING|NEW|TYP|SIM|U\.?N\.?O|V\.?I\.?F)\.?\)"),
    re.compile(r"(?<![A-Z])(?:TYP\.?|SIM\.|U\.N\.O\.?|V\.I\.F\.?|VIF\.?)$"),
    re.compile(r"(?<![A-Z])(?:EXISTING|EXIST\.?|ETR)(?![A-Z])"),
    re.compile(
        r"\(?\b\d[\d,]*(?:\.\d+)?\s*(?:SQ\.?\s*FT\.?|S\.F\.|SF|SQFT|NSF|GSF|M²|M2|SQM|SQ\.?\s*M\.?)(?![A-Z])\)?"
    ),
    re.compile(r"\b(?:CLG|CEILING)\s*(?:HT|HGT|HEIGHT)?\.?\s*[:=@]?\s*\d+'?-?\s*\d*\"?"),
    re.compile(r"\(\s*\d+\s*(?:OCC|OCCUPANTS?|PEOPLE|PERSONS?|SEATS?)?\.?\s*\)"),
)
_KEEPS_NUMBER = frozenset(read_table("debris.toml")["keeps_number"])
_GLUED_NUMBER = re.compile(r"\s+\d+[A-Z]+\.\d+$")
_NUMBER_LENGTH = 3
_NUMBER_WORDS = frozenset({"ROOM", "RM", "RM.", "NO", "NO.", "NUMBER"})
_NUMBER_ONLY = re.compile(r"(?:(?:ROOM|RM\.?|NO\.?|#)\s*)?[A-Z]{0,2}\d+[A-Z]?")


def strip_debris(draft: Draft) -> None:
    """N06: status marks, areas, ceiling heights and counts of people go; the change is told."""
    text = draft.text
    for pattern in _DEBRIS:
        text = pattern.sub(" ", text).strip()
    if text == draft.text:
        return
    before = draft.text
    draft.change("N06", " ".join(text.split()).strip(" .,;-"))
    if not draft.text:
        draft.note("no-name", f"{draft.given!r} holds drawing notes and no name.")
    else:
        draft.note("debris", f"Drawing notes were taken out of the name: {before!r} is now {draft.text!r}.")


def strip_marks(draft: Draft) -> None:
    """N04: footnote marks and stray signs at the end."""
    text = " ".join(_STRAY.sub("", _FOOTNOTE.sub("", draft.text)).split())
    if text and text != draft.text:
        before = draft.text
        draft.change("N04", text)
        draft.note("debris", f"Footnote or stray marks were taken out of the name: {before!r} is now {text!r}.")


def strip_number(draft: Draft, number: str) -> None:
    """N05: the row's own number repeated in its name; N30: the number word before it."""
    words = draft.text.split()
    if number and words and words[-1].strip("#") == number and set(words[:-1]) <= _NUMBER_WORDS:
        draft.change("N05", "")
        draft.note("no-name", f"{draft.given!r} only repeats the number {number!r}: there is no name.")
        return
    if number and len(words) > 1:
        if words[0].strip("#.:-") == number and len(number) >= _NUMBER_LENGTH:
            draft.change("N05", " ".join(words[1:]).lstrip("-: "))
        elif words[-1].strip("#") == number and len(number) >= _NUMBER_LENGTH and words[-2] not in _KEEPS_NUMBER:
            draft.change("N05", " ".join(words[:-1]).rstrip("-: "))
    glued = _GLUED_NUMBER.search(draft.text)
    if glued:
        found = glued.group().strip()
        draft.change("N05", draft.text[: glued.start()])
        draft.ask(
            "number-in-name",
            f"{draft.given!r} ends in {found!r}, which reads as a room number; it was left off the name.",
            fix="Confirm, and check that the number column holds it.",
        )
    if _NUMBER_ONLY.fullmatch(draft.text):
        draft.ask(
            "number-in-name",
            f"The name {draft.given!r} reads as a room number.",
            fix="Give the name, or leave the cell empty for a sign with the number alone.",
        )
