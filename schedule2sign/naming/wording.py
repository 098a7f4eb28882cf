"""N13 to N16: restrooms, stairs, janitors and possessives in the job's own words."""

import re
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from schedule2sign.model.settings import Wording
from schedule2sign.naming.draft import Draft
from schedule2sign.naming.tables import read_table

_SPLIT = re.compile(r"[\s/,.;:()-]+")
_FLOOR = re.compile(r"\b(?:\d{1,2}(?:ST|ND|RD|TH) FLOOR|(?:LEVEL|FLOOR) \d{1,2})\b|#\s*\d+|\b\d{1,2}\b")
_DESIGNATOR = re.compile(r"(.*?)[\s-]*(?:#|NO\.?)?\s*([A-Z]|\d{1,2}[A-Z]?)")


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseWords:
    """The words of wording.toml by group and kind."""

    table: dict[str, Any]

    def of(self, group: str, kind: str) -> frozenset[str]:
        return frozenset(self.table[group][kind])

    def words(self) -> frozenset[str]:
        """Every word these rules know, however it is written."""
        titles = self.of("title", "singular")
        plain = (
            word for group in ("restroom", "stair", "janitor") for kind in self.table[group].values() for word in kind
        )
        known = {word for word in plain if len(word) > 1}
        return frozenset(known | set(self.table["possessive"]) | titles | {f"{title}S" for title in titles})


def load_house_words() -> HouseWords:
    """Read wording.toml."""
    return HouseWords(table=read_table("wording.toml"))


def use_house_words(draft: Draft, house: HouseWords, job: Wording) -> None:
    """Put the job's word for a restroom, a stair or a janitor's closet; set possessives."""
    if _name_restroom(draft, house, job) or _name_stair(draft, house, job) or _name_janitor(draft, house, job):
        return
    _set_possessives(draft, house)


def house_wordings(job: Wording) -> frozenset[str]:
    """The job's own words: right by definition."""
    toilets = (job.men, job.women, job.single_toilet, job.family_toilet, job.staff_toilet)
    return frozenset(word.upper() for word in (*toilets, job.stair, job.janitor))


def _name_restroom(draft: Draft, house: HouseWords, job: Wording) -> bool:
    words = {word for word in _SPLIT.split(_FLOOR.sub(" ", draft.text)) if word}
    facility = words & house.of("restroom", "facility")
    men = house.of("restroom", "men") | (house.of("restroom", "men_letter") if facility else frozenset())
    women = house.of("restroom", "women") | (house.of("restroom", "women_letter") if facility else frozenset())
    kinds = {"men": men, "women": women} | {
        kind: house.of("restroom", kind) for kind in ("single", "several", "family", "accessible", "staff")
    }
    if words & kinds["several"]:
        kinds["several"] |= house.of("restroom", "shared")
        kinds["single"] -= house.of("restroom", "shared")
    if draft.text in house.of("restroom", "schools"):
        draft.note("restroom-wording", f"{draft.given!r} was kept: BOYS and GIRLS are usual in schools.")
        return False
    if not facility and not words & (men | women) and draft.text not in house.of("restroom", "alone"):
        return False
    if words - facility - house.of("restroom", "also") - frozenset().union(*kinds.values()):
        if words & house.of("restroom", "schools"):
            draft.note("restroom-wording", f"{draft.given!r} was kept: BOYS and GIRLS are usual in schools.")
        return False
    found = {kind for kind, known in kinds.items() if words & known}
    wording, asked = _restroom_wording(found, words, house, job)
    if not wording:
        return False
    before = draft.text
    changed = draft.change("N13", wording)
    if "accessible" in found:
        draft.ask(
            "access-symbol",
            f"{draft.given!r} says an accessible room; its sign says {wording} and carries no access symbol.",
            fix="Say whether the room is accessible and whether the owner wants the symbol on it.",
        )
    elif asked:
        draft.ask(
            "restroom-wording",
            f"{draft.given!r} is taken as {wording}.",
            fix="Confirm the wording: for single-user rooms it is law in some places.",
            who="owner",
            subject=f"{before} {wording}",
        )
    elif changed:
        draft.note("restroom-wording", f"The job's wording replaces {before!r}: {wording!r}.")
    return True


def _restroom_wording(found: set[str], words: set[str], house: HouseWords, job: Wording) -> tuple[str, bool]:
    """Wording and whether it is a question; "" where the words are no restroom we know how to name."""
    staff = "STAFF " if "staff" in found else ""
    if {"men", "women"} <= found or "single" in found:
        return staff + job.single_toilet.upper(), True
    if "men" in found:
        return staff + job.men.upper(), "several" in found
    if "women" in found:
        return staff + job.women.upper(), "several" in found
    if "family" in found:
        return job.family_toilet.upper(), True
    if "accessible" in found:
        return staff + job.single_toilet.upper(), True
    if staff:
        return job.staff_toilet.upper(), "several" in found
    return (job.single_toilet.upper() if words & house.of("restroom", "bare") else ""), "several" in found


def _name_stair(draft: Draft, house: HouseWords, job: Wording) -> bool:
    known = house.of("stair", "words")
    wording = job.stair.upper()
    if draft.text in known:
        draft.change("N14", wording)
        return True
    found = _DESIGNATOR.fullmatch(draft.text)
    if not found or found[1] not in known:
        return False
    draft.change("N14", f"{wording} {found[2]}")
    return True


def _name_janitor(draft: Draft, house: HouseWords, job: Wording) -> bool:
    words = set(_SPLIT.split(draft.text))
    known = house.of("janitor", "words")
    if not words & known or words - known - house.of("janitor", "also"):
        return False
    before = draft.text
    if draft.change("N15", job.janitor.upper()):
        draft.note("janitor-wording", f"The job's wording replaces {before!r}: {draft.text!r}.")
    return True


def _set_possessives(draft: Draft, house: HouseWords) -> None:
    words = draft.text.split()
    rooms = house.of("title", "rooms")
    singular = house.of("title", "singular")
    certain = house.table["possessive"]
    draft.change("N16", " ".join(certain.get(word, word) for word in words))
    words = draft.text.split()
    for index, (word, following) in enumerate(pairwise(words)):
        if word.endswith("S") and word[:-1] in singular and following in rooms:
            words[index] = f"{word[:-1]}'S"
            draft.ask(
                "possessive",
                f"{word} in {draft.given!r} is taken as {words[index]}.",
                fix=f"Confirm {words[index]} {following}, or give the owner's wording under [lexicon.approved].",
                who="owner",
                subject=f"{word} {following}",
            )
    draft.change("N16", " ".join(words))
