"""N01, N02, N07, N08: spaces, quotes and dashes, look-alike letters, damaged text."""

import re
import unicodedata
from dataclasses import dataclass

from schedule2sign.naming.draft import Draft
from schedule2sign.naming.tables import read_table

_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f]")
_QUESTION = re.compile(r"(?<=\w)\?(?=\w)|(?<=\w)\?\?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Characters:
    """What each odd character becomes, from characters.toml.

    Attributes:
        harmless: letters and digits that nothing is said about; a text of these alone stays as it is.
    """

    plain: dict[int, str]
    lookalike: dict[int, str]
    invisible: dict[int, None]
    damage: tuple[str, ...]
    raised: frozenset[str]
    harmless: frozenset[str]

    def tidy(self, text: str) -> str:
        """Plain quotes, dashes and single spaces, without recording: for keys and comparisons."""
        if self.harmless.issuperset(text):
            return text
        return " ".join(text.translate(self.plain).translate(self.invisible).split())


def load_characters() -> Characters:
    """Read characters.toml."""
    data = read_table("characters.toml")
    odd = {*data["plain"], *data["lookalike"], *data["invisible"]["codes"], *"".join(data["damage"]["marks"])}
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 "
    return Characters(
        plain=str.maketrans(data["plain"]),
        lookalike=str.maketrans(data["lookalike"]),
        invisible=dict.fromkeys(map(ord, data["invisible"]["codes"])),
        damage=tuple(data["damage"]["marks"]),
        raised=frozenset(letters + data["raised"]["marks"]),
        harmless=frozenset(letters + letters.lower()) - odd - {" "},
    )


def clean_characters(draft: Draft, characters: Characters) -> bool:
    """Apply N08, N07, N02 and N01 to the draft; False when the text is damaged and must not be read further."""
    if characters.harmless.issuperset(draft.text):
        return True
    if _is_damaged(draft.text, characters):
        repaired = _repair(draft.text)
        proposal = f" It may have been {repaired!r}." if repaired else ""
        draft.hold(
            "damaged-text",
            f"{draft.given!r} was read in the wrong encoding somewhere on its way.{proposal}",
            fix="Ask for the file again, or give the right text under [lexicon.approved] in the job file.",
        )
        if repaired:
            draft.change("N08", repaired)
        return False
    draft.change("N07", _CONTROL.sub("", draft.text).translate(characters.invisible))
    folded = "".join(_fold_width(char) for char in draft.text).translate(characters.lookalike)
    if draft.change("N07", folded):
        draft.hold(
            "look-alike",
            f"{draft.given!r} holds characters of another script that only look like ours; proposed: {folded!r}.",
            fix=f"Confirm that {folded!r} is meant.",
        )
    draft.change("N02", draft.text.translate(characters.plain))
    draft.change("N01", " ".join(draft.text.split()))
    return True


def upper_case(text: str) -> str:
    """Capitals without any locale; Python's own mapping turns a sharp s into SS."""
    return text.upper()


def _is_damaged(text: str, characters: Characters) -> bool:
    return any(mark in text for mark in characters.damage) or bool(_QUESTION.search(text))


def _repair(text: str) -> str:
    try:
        return text.encode("cp1252").decode("utf-8")
    except UnicodeError:
        return ""


def _fold_width(char: str) -> str:
    if unicodedata.east_asian_width(char) == "F" and char != "\u3000":
        return unicodedata.normalize("NFKC", char)
    return char
