"""Which sign of the old issue is which of the new one."""

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass

from schedule2sign.revision.issue import IssuedSign

Pair = tuple[IssuedSign, IssuedSign]


@dataclass(frozen=True, slots=True, kw_only=True)
class Matching:
    """Every sign of both issues once: by its id, as the same plate elsewhere, as the same room with another number."""

    same_id: tuple[Pair, ...]
    moved: tuple[Pair, ...]
    renumbered: tuple[Pair, ...]
    gone: tuple[IssuedSign, ...]
    come: tuple[IssuedSign, ...]


def match_signs(old: Sequence[IssuedSign], new: Sequence[IssuedSign]) -> Matching:
    """Match by id; then tell moves and new numbers from removals and additions, only where there is one reading."""
    by_id = {sign.sign_id: sign for sign in old}
    new_ids = {sign.sign_id for sign in new}
    steady: list[Pair] = []
    changed: list[Pair] = []
    for sign in new:
        if before := by_id.get(sign.sign_id):
            (steady if before.text == sign.text else changed).append((before, sign))
    gone = [sign for sign in old if sign.sign_id not in new_ids]
    come = [sign for sign in new if sign.sign_id not in by_id]
    moved, gone, come = _pair_moved(gone, come)
    renumbered = _pair_renumbered([*gone, *(pair[0] for pair in changed)], [*come, *(pair[1] for pair in changed)])
    taken_old = {pair[0].sign_id for pair in renumbered}
    taken_new = {pair[1].sign_id for pair in renumbered}
    for before, after in changed:
        old_free, new_free = before.sign_id not in taken_old, after.sign_id not in taken_new
        if old_free and new_free:
            steady.append((before, after))
        elif old_free:
            gone.append(before)
        elif new_free:
            come.append(after)
    return Matching(
        same_id=tuple(steady),
        moved=tuple(moved),
        renumbered=tuple(renumbered),
        gone=tuple(sign for sign in gone if sign.sign_id not in taken_old),
        come=tuple(sign for sign in come if sign.sign_id not in taken_new),
    )


def find_chains(pairs: Sequence[Pair]) -> dict[str, str]:
    """Old id of each renumbered sign -> the chain of numbers it stands in ("204->206->208"); "" where it is alone."""
    step = {before.sign_id: (before.number, after.number) for before, after in pairs}
    next_of = dict(step.values())
    starts = [number for number in next_of if number not in set(next_of.values())]
    chains: dict[str, str] = {}
    seen: set[str] = set()
    for start in [*starts, *sorted(next_of)]:  # what no start reaches is a ring
        numbers = [start]
        while numbers[-1] in next_of and numbers[-1] not in seen:
            seen.add(numbers[-1])
            numbers.append(next_of[numbers[-1]])
        if len(numbers) > 2:
            chains.update(dict.fromkeys(numbers[:-1], "->".join(numbers)))
    return {sign_id: chains.get(before, "") for sign_id, (before, _) in step.items()}


def _pair_moved(
    gone: list[IssuedSign], come: list[IssuedSign]
) -> tuple[list[Pair], list[IssuedSign], list[IssuedSign]]:
    """Equal designs are interchangeable: as many as both sides have are moves."""
    waiting: defaultdict[str, list[IssuedSign]] = defaultdict(list)
    for sign in sorted(gone, key=lambda sign: sign.sign_id, reverse=True):
        if sign.design:
            waiting[sign.design].append(sign)
    moved: list[Pair] = []
    left: list[IssuedSign] = []
    for sign in come:
        if waiting[sign.design]:
            moved.append((waiting[sign.design].pop(), sign))
        else:
            left.append(sign)
    taken = {before.sign_id for before, _ in moved}
    return moved, [sign for sign in gone if sign.sign_id not in taken], left


def _pair_renumbered(old: Sequence[IssuedSign], new: Sequence[IssuedSign]) -> list[Pair]:
    """The same name on the same level, once in each issue, under another id."""
    olds, news = _unique(old, _room), _unique(new, _room)
    return [
        (before, after)
        for room, before in olds.items()
        if (after := news.get(room)) is not None and after.sign_id != before.sign_id and after.number != before.number
    ]


def _room(sign: IssuedSign) -> tuple[str, ...] | None:
    """What a room keeps when its number changes; None where the sign says nothing but a number."""
    place = dict(sign.place)
    return (sign.template, *sign.names, place["level"], place["side"]) if sign.names and sign.number else None


def _unique(
    signs: Sequence[IssuedSign], key: Callable[[IssuedSign], Hashable | None]
) -> dict[Hashable | None, IssuedSign]:
    counts = Counter(map(key, signs))
    return {key(sign): sign for sign in signs if key(sign) is not None and counts[key(sign)] == 1}
