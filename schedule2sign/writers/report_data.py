"""All that the script of report.html shows, as JSON in pieces: signs and rows in source order, flags worst first."""

from collections.abc import Iterable, Iterator
from functools import partial
from typing import Any

from schedule2sign.model.flag import Flag
from schedule2sign.model.job import Job, SignRecord
from schedule2sign.model.sign import Decision, RowOutcome
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.pagejson import page_json
from schedule2sign.writers.pieces import Earlier, Piece, take_or_make
from schedule2sign.writers.places import Places
from schedule2sign.writers.report_shared import Shared, names_in
from schedule2sign.writers.report_signs import Signs, describe_flag, describe_row
from schedule2sign.writers.since import changes_by_sign

_COMMA = Piece(b",")


def report_data(job: Job, marks: Marks, earlier: Earlier) -> Iterator[Piece]:
    """One object: signs, what they share, flags, rows without a sign. A sign and a shared value are a piece each."""
    signs = Signs(Places(job), changes_by_sign(job), Shared())
    unsigned = (decision for decision in job.decisions if decision.outcome is not RowOutcome.SIGNED)
    needed: dict[str, SignRecord] = {}
    yield Piece(b'{"signs":[')
    yield from _sign_pieces(job, signs, marks, earlier, needed)
    yield Piece(b'],"shared":{')
    yield from _shared_pieces(signs, marks, earlier, needed)
    yield Piece(b'},"flags":[')
    yield from _array(_describe_listed(job, signs.places))
    yield Piece(b'],"unsigned":[')
    yield from _array(_describe_decision(decision, signs.places) for decision in unsigned)
    yield Piece(b"]}")


def _sign_pieces(
    job: Job, signs: Signs, marks: Marks, earlier: Earlier, needed: dict[str, SignRecord]
) -> Iterator[Piece]:
    """Every sign; the names of what they share go into `needed`, each with the first sign that needs it."""
    for number, record in enumerate(job.signs):
        if number:
            yield _COMMA
        piece = take_or_make(earlier, signs.recipe(record, marks), partial(signs.describe, record))
        for name in names_in(piece.data):
            needed.setdefault(name, record)
        yield piece


def _shared_pieces(signs: Signs, marks: Marks, earlier: Earlier, needed: dict[str, SignRecord]) -> Iterator[Piece]:
    """Every value that is needed, in the order it was first named: by a sign, or by another of these."""

    def define(name: str) -> bytes:
        text = signs.shared.text(name)
        if text is None:  # the sign was taken over, but not what it shares
            signs.describe(needed[name])
            text = signs.shared.text(name)
        if text is None:
            raise ValueError(f"no sign of the report defines {name}")
        return text.encode()

    names = list(needed)
    for number, name in enumerate(names):
        yield Piece(f'{"," if number else ""}"{name}":'.encode())
        piece = take_or_make(earlier, marks.recipe(name), partial(define, name))
        for inner in names_in(piece.data):
            if inner not in needed:
                needed[inner] = needed[name]
                names.append(inner)
        yield piece


def _array(values: Iterable[Any]) -> Iterator[Piece]:
    """Values that are made anew every time."""
    for number, value in enumerate(values):
        yield Piece(f"{',' if number else ''}{page_json(value)}".encode())


def _describe_listed(job: Job, places: Places) -> Iterator[Any]:
    """Every flag once: the number of a sign and of the flag among its own, or the flag itself."""
    of_signs: dict[Flag, tuple[int, int]] = {}
    for number, record in enumerate(job.signs):
        for place, flag in enumerate(record.flags):
            of_signs.setdefault(flag, (number, place))
    for flag in dict.fromkeys(sorted(job.flags, key=lambda flag: -flag.severity.rank)):
        yield of_signs.get(flag) or describe_flag(flag, places)


def _describe_decision(decision: Decision, places: Places) -> dict[str, Any]:
    row = decision.row
    return {
        "row": describe_row(row.raw.source, places),
        "outcome": decision.outcome.value,
        "door": row.door or row.room_number,
        "name": row.name_as_given,
        "rule": decision.rule,
        "why": decision.reason,
        "signs": decision.sign_ids,
    }
