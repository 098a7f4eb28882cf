"""Header texts to fields: synonyms, how strongly they speak, and what the column holds."""

import functools
import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from schedule2sign.intake.grid import is_void, load_table, squeeze
from schedule2sign.intake.patterns import is_code, is_level_value, is_mark, is_wordy
from schedule2sign.model.schedule import Field

STRENGTHS = {"strong": 3, "usual": 2, "weak": 1}
IDENTITY = (Field.DOOR, Field.ROOM_NUMBER, Field.ROOM_NAME, Field.FINAL_NUMBER)
# A schedule may well have several of these; all of them are read.
SEVERAL = (Field.REMARKS, Field.LEAF, Field.GLASS)
_PLAIN = (Field.DOOR, Field.ROOM_NUMBER, Field.ROOM_NAME, Field.LEVEL)
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_BRACKETS = re.compile(r"\([^)]*\)|\[[^\]]*\]")
_APOSTROPHES = re.compile(r"['\u2018\u2019]")
_OTHER_SIGNS = re.compile(r"[^a-z0-9]+")
_MISFIT = 2
_FIT_SHARE = 0.5
_MISFIT_SHARE = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """A field some column may hold: how strongly, and by which header text."""

    column: int
    field: Field
    strength: int
    evidence: str


@functools.lru_cache(maxsize=1024)
def normalize_header(text: str) -> str:
    """ "ROOM\\nNO." and "Room #" are "room no"; "SpaceName" is "space name"; units in brackets go."""
    tokens = load_table("headers.toml")["tokens"]
    if text.isascii() and text.isalnum() and text == text.upper():
        word = text.lower()  # one plain word, or the number of a door or room
        return str(tokens.get(word, word))
    plain = unicodedata.normalize("NFKC", squeeze(text)).replace("#", " no ").replace("\u2116", " no ")
    plain = _APOSTROPHES.sub("", _BRACKETS.sub(" ", _CAMEL.sub(" ", plain)))
    words = _OTHER_SIGNS.sub(" ", plain.lower()).split()
    words = [tokens.get(word, word) for word in words]
    # "ROOM NO. #" says it twice.
    return " ".join(word for index, word in enumerate(words) if index == 0 or word != words[index - 1])


@functools.cache
def _synonyms() -> Mapping[str, tuple[tuple[Field, int], ...]]:
    table = load_table("headers.toml")
    found: dict[str, list[tuple[Field, int]]] = {}
    for field_name, groups in table["fields"].items():
        for group, headers in groups.items():
            for header in headers:
                found.setdefault(header, []).append((Field(field_name), STRENGTHS[group]))
    for header in table["messages"]["headers"]:
        found.setdefault(header, []).append((Field.ROOM_NAME, STRENGTHS["strong"]))
    return {header: tuple(claims) for header, claims in found.items()}


@functools.cache
def _known() -> frozenset[str]:
    return frozenset(_synonyms()) | frozenset(load_table("headers.toml")["other"]["headers"])


def is_known_header(text: str) -> bool:
    """True for a text that stands in headers of schedules, whether or not signs need the column."""
    return normalize_header(text) in _known()


def names_message(parts: Sequence[str]) -> bool:
    """True when a header says that the column holds ready-made sign wording."""
    return bool(parts) and normalize_header(parts[-1]) in load_table("headers.toml")["messages"]["headers"]


def fields_named(text: str) -> tuple[tuple[Field, int], ...]:
    """Fields a single header text may stand for, with strength."""
    return _synonyms().get(normalize_header(text), ())


def claims_of(column: int, parts: Sequence[str], values: Sequence[str], *, for_doors: bool) -> list[Claim]:
    """Every field the column may hold, by its header parts (top to bottom) and its contents.

    Args:
        for_doors: the table is one of openings, so a plain "NO." is the door's.
    """
    best: dict[Field, Claim] = {}
    group = " ".join(normalize_header(part) for part in parts[:-1]).split()
    foreign = any(word in load_table("headers.toml")["foreign-groups"]["words"] for word in group)
    texts = [" ".join(parts), " ".join(parts[-2:]), parts[-1]] if parts else []
    for rank, text in enumerate(dict.fromkeys(texts)):
        for field, strength in fields_named(text):
            # Under "FRAME" a plain "NO." is the frame's.
            if foreign and field in _PLAIN and rank > 0:
                continue
            if for_doors and normalize_header(text) == "no":
                strength = {Field.DOOR: 2, Field.ROOM_NUMBER: 1}.get(field, strength)
            fit, remark = _fit(field, values)
            evidence = f"header {text!r}{remark}"
            claim = Claim(column=column, field=field, strength=strength + fit, evidence=evidence)
            if field not in best or claim.strength > best[field].strength:
                best[field] = claim
        if best:
            break
    return sorted(best.values(), key=lambda claim: -claim.strength)


def _fit(field: Field, values: Sequence[str]) -> tuple[int, str]:
    """Bonus or malus of the column's contents, and words for the evidence."""
    filled = [squeeze(value) for value in values if not is_void(value)]
    if not filled:
        return (-1, ", column empty") if field in IDENTITY else (0, "")
    tests: dict[Field, tuple[Callable[[str], bool], str]] = {
        Field.DOOR: (is_mark, "marks"),
        Field.ROOM_NUMBER: (is_code, "numbers"),
        Field.FINAL_NUMBER: (is_code, "numbers"),
        Field.ROOM_NAME: (is_wordy, "words"),
        Field.LEVEL: (is_level_value, "levels"),
        Field.QUANTITY: (str.isdigit, "counts"),
    }
    if field not in tests:
        return 0, ""
    test, what = tests[field]
    share = sum(map(test, filled)) / len(filled)
    remark = f", {share:.0%} of {len(filled)} values are {what}"
    least = _FIT_SHARE if field in (Field.LEVEL, Field.QUANTITY) else _MISFIT_SHARE
    return (-_MISFIT if share < least else 0), remark


def assign_fields(claims: Sequence[Claim]) -> tuple[dict[int, Claim], list[tuple[Claim, Claim]]]:
    """Give each field to its strongest column.

    Returns:
        Chosen claim by column, and pairs (chosen, equally strong rival) that a person should look at.
    """
    chosen: dict[int, Claim] = {}
    holder: dict[Field, Claim] = {}
    rivals = []
    for claim in sorted(claims, key=lambda claim: (-claim.strength, claim.column)):
        if claim.strength <= 0 or claim.column in chosen:
            continue
        if claim.field in holder and claim.field not in SEVERAL:
            first = holder[claim.field]
            other = any(
                rival.column == claim.column and rival.field not in holder and rival.strength > 0 for rival in claims
            )
            if first.strength == claim.strength and not other:
                rivals.append((first, claim))
            continue
        chosen[claim.column] = claim
        holder.setdefault(claim.field, claim)
    return chosen, rivals
