"""Stable sign ids, from what the source says of a door, never from where its row stands."""

import hashlib
import re

from schedule2sign.model.sign import Side

MOST_CHARACTERS = 40
_RESERVED = re.compile(r"(?:CON|PRN|AUX|NUL|COM\d|LPT\d)")


def sign_id(job: str, level: str, place: str, side: Side) -> str:
    """JOB-LEVEL-PLACE-SIDE, safe as a file name on any system.

    Two places that differ only in characters a file name cannot carry get different ids: the id of a place that
    had to be changed ends in a hash of the place as given.
    """
    return "-".join((job, _level_code(level), _place_code(place), side.value))


def _level_code(level: str) -> str:
    if number := re.search(r"\d+", level):
        prefix = "B" if "BASEMENT" in level else "P" if "PARKING" in level else ""
        return prefix + number.group().zfill(2)[-3:]
    letters = re.sub(r"[^A-Z0-9]", "", level.upper())
    return letters[:4] or "00"


def _place_code(place: str) -> str:
    code = re.sub(r"[^A-Z0-9-]", "_", place).strip("-_")
    if code == place and len(code) <= 14 and not _RESERVED.fullmatch(code):
        return code.zfill(4) if code.isdigit() else code
    digest = hashlib.sha256(place.encode("utf-8", "replace")).hexdigest()[:6].upper()
    return f"{code[:10] or 'X'}_{digest}"
