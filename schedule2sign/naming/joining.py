"""N17, N18: joining words, slashes and punctuation that is no part of the spelling."""

import re

from schedule2sign.naming.draft import Draft
from schedule2sign.naming.vocabulary import Vocabulary

_FRACTION = re.compile(r"\d+\s*/\s*\d+(?!\S*[A-Z])|[\u00bc-\u00be\u2150-\u215e]")
_SLASH = re.compile(r"\s*/\s*")
_JOINER = re.compile(r"(?:(?<=\s)|^)(?:&|\+|'?N')(?=\s)")
_TIGHT = re.compile(r"(?<=[A-Z]{3})\s*[&+]\s*(?=[A-Z]{3})")
_INITIAL = re.compile(r"(?:(?<=\s)|^)(?:[A-Z]|DR|ST|MR|MRS|MS|FT|MT)\.(?=\s)")
_QUOTED = re.compile(r"(?<![\w])(?:'|\")([A-Z][\w ]*)(?:'|\")(?!\w)")
_HASH = re.compile(r"#\s*(?=\d)")
_DOTTED = re.compile(r"(?<![A-Z.])(?:[A-Z]\.){2,}[A-Z]?\.?(?![A-Z])")


def join_words(draft: Draft, joiner: str) -> None:
    """`&`, `+` and `N'` become the job's joining word."""
    text = _TIGHT.sub(f" {joiner} ", _JOINER.sub(joiner, draft.text))
    draft.change("N17", " ".join(text.split()))


def join_slashes(draft: Draft, vocabulary: Vocabulary, joiner: str) -> None:
    """A slash becomes the job's joining word too, and is asked about."""
    if fraction := _FRACTION.search(draft.text):
        draft.hold(
            "character",
            f"{fraction.group()!r} in {draft.given!r} reads as a fraction, which a raised name does not carry.",
            fix="Give the wording under [lexicon.approved] in the job file.",
        )
        return
    words = draft.text.split()
    slashes = len(_SLASH.findall(" ".join(word for word in words if word.strip(",.") not in vocabulary.acronyms)))
    if not slashes:
        return
    before = draft.text
    after = " ".join(
        word if word.strip(",.") in vocabulary.acronyms else _SLASH.sub(f" {joiner} ", word) for word in words
    )
    draft.change("N17", " ".join(after.split()))
    message = f"The slash in {before!r} was read as {joiner}: {draft.text!r}."
    fix = "Confirm, or give the wording under [lexicon.approved] in the job file."
    if slashes == 1:
        draft.ask("slash", message, fix=fix, subject=before)
    else:
        draft.hold("slash", f"{message} {slashes} slashes join too much for one sign.", fix=fix)


def drop_punctuation(draft: Draft) -> None:
    """Periods, commas, colons and number signs go, but for initials and titles before a name."""
    text, before = draft.text, ""
    while text != before:
        before, text = text, _without_punctuation(text)
    draft.change("N18", text)


def _without_punctuation(text: str) -> str:
    text = _DOTTED.sub(lambda found: found.group().replace(".", "") + " ", text)
    text = _QUOTED.sub(r"\1", _HASH.sub("", text))
    kept = {found.end() - 1 for found in _INITIAL.finditer(text)}
    out = []
    for place, char in enumerate(text):
        inside = 0 < place < len(text) - 1 and text[place - 1].isdigit() and text[place + 1].isdigit()
        is_dropped = char in ".,;:!" and place not in kept and not (char in ".:" and inside)
        out.append(" " if is_dropped else char)
    return " ".join("".join(out).split()).strip(" -")
