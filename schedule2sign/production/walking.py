"""Walking order: floors from the bottom up, on a floor by room or door number as people count."""

import functools
import re
import tomllib
from collections.abc import Iterable
from importlib.resources import files
from itertools import chain

from schedule2sign.model.sign import SignRequest

_DIGITS = re.compile(r"(\d+)")
_WORD = re.compile(r"[A-Z][A-Z-]+")
_BELOW = re.compile(r"(?:\b|[^A-Z])[BP](\d+)\b")
_Key = tuple[tuple[int, int, str], ...]


def walking_order(requests: Iterable[SignRequest]) -> tuple[SignRequest, ...]:
    """Signs floor by floor, rooms in natural order (9 before 10, 101A after 101)."""
    floors: dict[tuple[float, _Key], list[SignRequest]] = {}
    key = functools.cache(floor_key)  # signs say the same few levels again and again
    for request in requests:
        floors.setdefault(key(request.level), []).append(request)
    # Floor by floor, for the keys of all signs of a large job take more memory than the signs.
    return tuple(chain.from_iterable(sorted(floors[floor], key=_place_key) for floor in sorted(floors)))


def _place_key(request: SignRequest) -> tuple[_Key, _Key, _Key]:
    return natural_key(request.room_number or request.door), natural_key(request.door), natural_key(request.sign_id)


_LONG = 19  # digits that no number on a door has


def natural_key(text: str) -> _Key:
    """Digits compare as numbers, the rest as capitals."""
    parts = (part for part in _DIGITS.split(text.upper()) if part)
    return tuple((0, int(part), part) if part.isdecimal() and len(part) < _LONG else (1, 0, part) for part in parts)


def floor_key(level: str) -> tuple[float, _Key]:
    """Height of a floor among floors: basements, ground, numbers, roof; an unknown or empty name comes last."""
    name = level.upper()
    number = _DIGITS.search(name)
    for word in _WORD.findall(name):
        rank = _ranks().get(word)
        if rank is not None:
            # Basement 2 lies under basement 1.
            return rank - (int(number[1]) / 100 if number and rank < 0 else 0), natural_key(name)
    if below := _BELOW.search(name):
        return -float(below[1]), natural_key(name)
    if number:
        return float(number[1]), natural_key(name)
    return float("inf"), natural_key(name)


@functools.cache
def _ranks() -> dict[str, float]:
    text = (files("schedule2sign.production") / "walking.toml").read_text(encoding="utf-8")
    return {word: float(rank) for word, rank in tomllib.loads(text)["rank"].items()}
