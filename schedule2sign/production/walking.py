"""Walking order: floors from the bottom up, on a floor by room or door number as people count."""

import functools
import re
import tomllib
from collections import defaultdict
from collections.abc import Iterable, Iterator
from importlib.resources import files

from schedule2sign.model.sign import SignRequest

_DIGITS = re.compile(r"(\d+)")
_WORD = re.compile(r"[A-Z][A-Z-]+")
_BELOW = re.compile(r"(?:\b|[^A-Z])[BP](\d+)\b")
_Key = tuple[tuple[int, int, str], ...]
_Floor = tuple[float, _Key]


def walking_order(requests: Iterable[SignRequest]) -> tuple[SignRequest, ...]:
    """Signs floor by floor, rooms in natural order (9 before 10, 101A after 101)."""
    floors: defaultdict[_Floor, list[SignRequest]] = defaultdict(list)
    for request in requests:
        floors[floor_key(request.level)].append(request)
    # Floor by floor, for the keys of all signs of a large job take more memory than the signs.
    return tuple(request for floor in sorted(floors) for request in _on_floor(floors[floor]))


def _on_floor(requests: list[SignRequest]) -> Iterator[SignRequest]:
    by_room: defaultdict[_Key, list[SignRequest]] = defaultdict(list)
    for request in requests:
        by_room[natural_key(request.room_number or request.door)].append(request)
    for room in sorted(by_room):
        yield from _at_room(by_room[room])


def _at_room(requests: list[SignRequest]) -> list[SignRequest]:
    """Signs of one room, by door."""
    if len(requests) == 1:
        return requests  # as most
    return sorted(requests, key=lambda request: (natural_key(request.door), natural_key(request.sign_id)))


_LONG = 19  # digits that no number on a door has


def natural_key(text: str) -> _Key:
    """Digits compare as numbers, the rest as capitals."""
    parts = (part for part in _DIGITS.split(text.upper()) if part)
    return tuple((0, int(part), part) if part.isdecimal() and len(part) < _LONG else (1, 0, part) for part in parts)


@functools.lru_cache(maxsize=1024)  # a floor has many signs
def floor_key(level: str) -> _Floor:
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
