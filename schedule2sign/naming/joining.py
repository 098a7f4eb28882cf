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


def join_words(draft: Draft, vocabulary: Vocabulary, joiner: str) -> None:
    """`&`, `+` and a slash become the job's joining word; a slash is asked about."""
    joiner = joiner.upper()
    text = _TIGHT.sub(f" {joiner} ", _JOINER.sub(joiner, draft.text))
    draft.change("N17", " ".join(text.split()))
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
    text = _DOTTED.sub(lambda found: found.group().replace(".", "") + " ", draft.text)
    text = _QUOTED.sub(r"\1", _HASH.sub("", text))
    kept = {found.start() + len(found.group()) - 1 for found in _INITIAL.finditer(text)}
    out = []
    for place, char in enumerate(text):
        inside = 0 < place < len(text) - 1 and text[place - 1].isdigit() and text[place + 1].isdigit()
        if char in ".,;:!" and place not in kept and not (char in ".:" and inside):
            out.append(" ")
        else:
            out.append(char)
    draft.change("N18", " ".join("".join(out).split()).strip(" -"))
