"""N11, N12: short forms to whole words, from the table and from what follows them."""

import re
from collections.abc import Sequence
from itertools import pairwise

from schedule2sign.naming.draft import Draft
from schedule2sign.naming.people import opens_name
from schedule2sign.naming.vocabulary import Ambiguity, Vocabulary

_LONGEST_KEY = 3
_EDGE = ".,;:"
_DESIGNATOR = re.compile(r"[A-Z]|#?\d{1,4}[A-Z]?")
_WITH = re.compile(r"(?:(?<=\s)|^)W/(?=[A-Z]{3})")
_GLUED = re.compile(r"([A-Z]{2,})\.?[-#]?(\d{1,3}[A-Z]?)")


def expand_words(draft: Draft, vocabulary: Vocabulary) -> None:
    """Replace every short form that has one meaning; flag those that have several."""
    tokens = _WITH.sub(lambda found: f"{vocabulary.expand[found.group()]} ", draft.text).split()
    protected = _protected(tokens, vocabulary)
    out: list[str] = []
    rule = "N11"
    index = 0
    while index < len(tokens):
        if index in protected:
            out.append(tokens[index])
            index += 1
            continue
        size, long = _match(tokens, index, protected, vocabulary)
        if size:
            out.append(long + _tail(tokens[index + size - 1]))
            index += size
            continue
        following = _bare(tokens[index + 1]) if index + 1 < len(tokens) else ""
        word, by_context = _expand_token(tokens[index], following, draft, vocabulary)
        rule = "N12" if by_context else rule
        out.append(word)
        index += 1
    draft.change(rule, " ".join(out))


def _match(tokens: Sequence[str], index: int, protected: frozenset[int], vocabulary: Vocabulary) -> tuple[int, str]:
    """Length and meaning of the longest key of several words that starts here; then of the single word."""
    for size in range(min(_LONGEST_KEY, len(tokens) - index), 0, -1):
        run = tokens[index : index + size]
        if any(index + step in protected for step in range(size)) or any("," in token for token in run[:-1]):
            continue
        key = " ".join(_bare(token) for token in run)
        if key in vocabulary.expand and not (size == 1 and key in vocabulary.acronyms):
            return size, vocabulary.expand[key]
    return 0, ""


def _expand_token(token: str, following: str, draft: Draft, vocabulary: Vocabulary) -> tuple[str, bool]:
    bare, tail = _bare(token), _tail(token)
    if bare in vocabulary.acronyms or bare in vocabulary.words:
        return token, False
    if bare in vocabulary.designated and _DESIGNATOR.fullmatch(following):
        return vocabulary.designated[bare] + tail, True
    if bare in vocabulary.ambiguous:
        return _decide(bare, vocabulary.ambiguous[bare], draft) + tail, False
    glued = _GLUED.fullmatch(bare)
    if glued and (long := vocabulary.designated.get(glued[1]) or vocabulary.expand.get(glued[1])):
        return f"{long} {glued[2]}{tail}", False
    if glued and glued[1] in vocabulary.ambiguous and bare not in vocabulary.trade:
        return f"{_decide(glued[1], vocabulary.ambiguous[glued[1]], draft)} {glued[2]}{tail}", False
    for joint in ("/", "-", "&"):
        if joint in bare.strip(joint):
            parts = [_expand_part(part, joint, draft, vocabulary) for part in bare.split(joint)]
            return joint.join(parts) + tail, False
    return token, False


def _expand_part(part: str, joint: str, draft: Draft, vocabulary: Vocabulary) -> str:
    bare = _bare(part)
    if bare in vocabulary.acronyms or bare in vocabulary.words:
        return part
    if joint == "-" and (bare in vocabulary.english or bare in vocabulary.trade):
        return part  # DROP-OFF, MULTI-USE, PRE-OP: a whole word of its own
    if bare in vocabulary.expand:
        return vocabulary.expand[bare]
    if bare in vocabulary.ambiguous:
        return _decide(bare, vocabulary.ambiguous[bare], draft)
    return part


def _decide(short: str, ambiguity: Ambiguity, draft: Draft) -> str:
    choices = " or ".join(ambiguity.choices)
    fix = f'Say which under [lexicon.abbreviations] in the job file: {short} = "...".'
    default = ambiguity.default or (ambiguity.choices[0] if len(ambiguity.choices) == 1 else "")
    if default:
        draft.ask(
            "ambiguous-abbreviation",
            f"{short!r} in {draft.given!r} may stand for {choices}; taken as {default}.",
            fix=fix,
            subject=short,
        )
        return default
    draft.hold("ambiguous-abbreviation", f"{short!r} in {draft.given!r} may stand for {choices}.", fix=fix)
    return short


def _protected(tokens: Sequence[str], vocabulary: Vocabulary) -> frozenset[int]:
    """Places of tokens that belong to a proper name of the job."""
    found: set[int] = set()
    plain = [_bare(token) for token in tokens]
    for name in vocabulary.names:
        words = [_bare(word) for word in name]
        for start in range(len(plain) - len(words) + 1):
            if plain[start : start + len(words)] == words:
                found.update(range(start, start + len(words)))
    found |= {place for place, (word, after) in enumerate(pairwise(plain)) if opens_name(word, after, vocabulary)}
    return frozenset(found)


def _bare(token: str) -> str:
    stripped = token.strip(_EDGE)
    if re.fullmatch(r"(?:[A-Z]\.)+[A-Z]", stripped):
        return stripped.replace(".", "")
    return stripped


def _tail(token: str) -> str:
    return "," if token.endswith(",") else ""
