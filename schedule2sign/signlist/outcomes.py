"""Rows decided one by one, looked at together: several doors of a room, many signs that say the same."""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from schedule2sign.model.flag import Flag, Severity, holds
from schedule2sign.model.named import NamedRow
from schedule2sign.model.sign import Role, RowOutcome, SignRequest
from schedule2sign.signlist.openings import Opening
from schedule2sign.signlist.questions import ask_row
from schedule2sign.signlist.secondsigns import LOAD

SAME_WORDS = "signlist/same-words"
# More signs of one level that say the same and nothing else are rather a list of room types: common practice, no source.
_MOST_ALIKE = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One row's decision while its ids are still to be made."""

    row: NamedRow
    outcome: RowOutcome
    rule: str
    reason: str
    flags: tuple[Flag, ...]
    requests: tuple[SignRequest, ...] = ()


def ask_several_doors(outcomes: Sequence[Outcome], openings: Mapping[int, Opening]) -> list[Outcome]:
    """Doors of one room that all get its sign: the same sign each, asked about."""
    signed: defaultdict[tuple[str, str], list[int]] = defaultdict(list)
    for index, outcome in enumerate(outcomes):
        opening = openings.get(index)
        if opening and outcome.row.door and outcome.requests and outcome.requests[0].template not in ("stair", "exit"):
            signed[opening.room].append(index)
    result = list(outcomes)
    for indexes in signed.values():
        marks = sorted({outcomes[index].row.door for index in indexes})
        if len(marks) < 2:
            continue
        for index in indexes:
            outcome = outcomes[index]
            number = openings[index].number
            message = f"Room {number} gets its sign at each of its doors {', '.join(marks)}."
            fix = "Say which doors carry it; owners often want the main doors only."
            flag = ask_row(outcome.row, "several-doors", Severity.ASK, message, fix, "owner")
            # What hangs beside the room's sign goes where that one goes.
            requests = tuple(
                replace(request, flags=(*request.flags, flag)) if request.messages else request
                for request in outcome.requests
            )
            result[index] = replace(outcome, flags=(*outcome.flags, flag), requests=requests)
    return result


def post_one_load(outcomes: Sequence[Outcome], openings: Mapping[int, Opening]) -> list[Outcome]:
    """A room with several doors posts its occupant load once: at the first of its doors by mark, until somebody says which."""
    posting: defaultdict[tuple[str, str], list[int]] = defaultdict(list)
    for index, outcome in enumerate(outcomes):
        if any(request.template == LOAD for request in outcome.requests) and openings[index].room[1]:
            posting[openings[index].room].append(index)
    result = list(outcomes)
    for indexes in posting.values():
        first = min(indexes, key=lambda index: (outcomes[index].row.door, outcomes[index].row.raw.as_given))
        for index in indexes:
            if index != first:
                kept = tuple(request for request in outcomes[index].requests if request.template != LOAD)
                flags = tuple(flag for flag in outcomes[index].flags if not flag.code.startswith(f"signlist/{LOAD}"))
                released = any(not holds(request.flags) for request in kept)
                made = RowOutcome.SIGNED if released else RowOutcome.HELD
                result[index] = replace(outcomes[index], outcome=made, requests=kept, flags=flags)
    return result


def ask_same_words(outcomes: Sequence[Outcome]) -> list[Outcome]:
    """Signs that say the same name and no number, from rows without a door: nobody knows where each one hangs."""
    alike: defaultdict[tuple[str, tuple[str, ...]], list[int]] = defaultdict(list)
    for index, outcome in enumerate(outcomes):
        if outcome.row.door or not outcome.requests:
            continue
        first = outcome.requests[0]
        if first.messages and all(message.role is not Role.NUMBER for message in first.messages):
            alike[first.template, tuple(message.text for message in first.messages)].append(index)
    result = list(outcomes)
    for (_, words), indexes in alike.items():
        if len(indexes) < 2:
            continue
        on_one_level = max(Counter(outcomes[index].requests[0].level for index in indexes).values())
        severity = Severity.HOLD if on_one_level > _MOST_ALIKE else Severity.NOTE
        text = " / ".join(words)
        message = (
            f"{text!r} stands on {len(indexes)} rows without a door or a number: nothing says where each sign hangs."
        )
        fix = "Give numbers, or say how many signs there are and where; a list of room types is no schedule."
        for index in indexes:
            outcome = outcomes[index]
            flag = ask_row(outcome.row, SAME_WORDS.partition("/")[2], severity, message, fix, "architect")
            requests = tuple(replace(request, flags=(*request.flags, flag)) for request in outcome.requests)
            kind = RowOutcome.HELD if severity is Severity.HOLD else outcome.outcome
            result[index] = replace(outcome, outcome=kind, flags=(*outcome.flags, flag), requests=requests)
    return result
