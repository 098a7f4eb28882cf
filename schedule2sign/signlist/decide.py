"""Decides for every data row which signs it makes, and says why."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from schedule2sign.model.flag import Flag, Severity, holds
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Field
from schedule2sign.model.settings import Settings
from schedule2sign.model.sign import Decision, RowOutcome, SignList, SignRequest
from schedule2sign.signlist.choice import Chooser
from schedule2sign.signlist.identity import Place, is_marked, make_ids
from schedule2sign.signlist.jobquestions import Doubts, ask_whole_job, has_number
from schedule2sign.signlist.leaves import read_leaves
from schedule2sign.signlist.levels import find_discharge, settle_levels
from schedule2sign.signlist.openings import Opener, Opening, doors_by_room
from schedule2sign.signlist.outcomes import Outcome, ask_same_words, ask_several_doors, post_one_load
from schedule2sign.signlist.questions import ask_row
from schedule2sign.signlist.repeats import Repeats, find_repeats, row_content
from schedule2sign.signlist.requests import make_requests
from schedule2sign.signlist.rooms import Rooms
from schedule2sign.signlist.rulebook import RuleBook, load_rules
from schedule2sign.signlist.secondsigns import LOAD, SYMBOLS
from schedule2sign.signlist.sides import Choice

# Questions about wording that change no decision.
_MOOT = frozenset({"naming/slash", "naming/unknown-word", "naming/possessive", "naming/parentheses"})
_KEEPS = frozenset({"signlist/sources-disagree", "signlist/read-from-circulation"})


def decide_signs(rows: Sequence[NamedRow], settings: Settings, book: RuleBook | None = None) -> SignList:
    """One decision a row, in source order; every unknown is asked or held, never chosen silently.

    Args:
        book: the rules; None means those of the settings.
    """
    book = book or load_rules(settings.wording, settings.rules)
    outcomes, doubts = _decide_rows(rows, settings, book)
    made_up, named = _identify(outcomes, settings)
    decisions = tuple(
        _decision(outcome, flags, requests) for outcome, flags, requests in zip(outcomes, made_up, named, strict=True)
    )
    requests = tuple(request for of_row in named for request in of_row)
    job_flags = ask_whole_job(rows, decisions, requests, settings, book, doubts)
    return SignList(decisions=decisions, requests=requests, flags=job_flags)


def _decide_rows(rows: Sequence[NamedRow], settings: Settings, book: RuleBook) -> tuple[list[Outcome], Doubts]:
    """Every row's outcome, without ids yet; all that was known of the openings is let go with it."""
    levels = settle_levels(rows)
    repeats = find_repeats(rows, levels)
    rooms = Rooms(rows, levels, book)
    opener = Opener(rows, rooms, settings)
    skipped = {**repeats.kept, **repeats.partners}
    openings = {index: opener.open(row, levels[index]) for index, row in enumerate(rows) if index not in skipped}
    doors = doors_by_room(list(openings.values()))
    chooser = Chooser(book, list(openings.values()), doors, settings.lexicon.names)
    discharge = find_discharge(rows, levels, settings.discharge_level, book)
    decider = _Decider(rows, levels, repeats, doors, chooser, settings, book, discharge)
    outcomes = [
        decider.merge(index, skipped[index]) if index in skipped else decider.decide(index, openings[index])
        for index in range(len(rows))
    ]
    outcomes = ask_same_words(post_one_load(ask_several_doors(outcomes, openings), openings))
    return outcomes, Doubts(suffixed=opener.suffixed, sideless=opener.sideless)


class _Decider:
    """Decides row by row, knowing repeats and the doors of each room."""

    def __init__(
        self,
        rows: Sequence[NamedRow],
        levels: Sequence[str],
        repeats: Repeats,
        doors: Mapping[tuple[str, str], Sequence[Opening]],
        chooser: Chooser,
        settings: Settings,
        book: RuleBook,
        discharge: frozenset[str],
    ) -> None:
        self._discharge = discharge
        self._rows = rows
        self._repeats = repeats
        self._doors = doors
        self._chooser = chooser
        self._settings = settings
        self._book = book
        self._hands_given = any(row.raw.text(Field.HAND) for row in rows)
        self._numberless = not any(has_number(row) for row in rows)
        self._any_joined = any(
            not row.door and (level, row.room_number) in doors for row, level in zip(rows, levels, strict=True)
        )

    def merge(self, index: int, kept: int) -> Outcome:
        """A row that another row stands for."""
        row, other = self._rows[index], self._rows[kept]
        what = f"door {other.door}" if other.door else f"room {other.room_number}"
        if index in self._repeats.partners:
            rule, reason = "PAIR", f"other leaf of {what}, one sign for the pair"
            message = f"Doors {row.door} and {other.door} read as the two leaves of one pair: one sign is made, for {other.door}."
            flag = ask_row(
                row, "pair-rows", Severity.ASK, message, "Say which leaf is active.", "architect", clause="ADA 703.4.2"
            )
        else:
            rule, reason = "SAME", f"same data as another row of {what}"
            message = f"{what.capitalize()} stands in {other.raw.source} with the same data: one sign is made."
            flag = ask_row(row, "duplicate", Severity.NOTE, message, "", "shop")
        return Outcome(
            row=row, outcome=RowOutcome.MERGED, rule=rule, reason=reason, flags=(*row.raw.flags, *row.flags, flag)
        )

    def decide(self, index: int, opening: Opening) -> Outcome:
        """One row that stands for itself."""
        row = opening.row
        given = opening.given_flags
        conflict = self._conflict(index, row)
        if not (row.door or row.room_number or row.name):
            message = "The row has neither a door, nor a number, nor a name that can be used."
            flag = ask_row(row, "no-identity", Severity.HOLD, message, "Complete the row, or take it out.", "architect")
            reason = "nothing that names a door or a room"
            return Outcome(row=row, outcome=RowOutcome.HELD, rule="R0", reason=reason, flags=(*given, flag))
        if not row.door and opening.room in self._doors and row.room_number:
            return self._at_doors(opening, conflict)
        choice = self._chooser.choose(opening)
        if not choice.template:
            kept = tuple(flag for flag in opening.flags if flag.code in _KEEPS)
            mild = tuple(replace(flag, severity=Severity.ASK) for flag in conflict)
            flags = (*(_without_sign(flag) for flag in given), *kept, *mild, *choice.flags)
            held = holds(choice.flags) if choice.final else holds(flags)
            outcome = RowOutcome.HELD if held else RowOutcome.UNSIGNED
            return Outcome(row=row, outcome=outcome, rule=choice.rule, reason=choice.reason, flags=flags)
        leaves = read_leaves(row, self._book, hands_given=self._hands_given)
        flags = (*given, *opening.flags, *conflict, *choice.flags, *leaves.flags, *self._doorless(opening, choice))
        requests = make_requests(opening, choice, leaves, flags, self._settings, self._book, self._discharge)
        if self._numberless:
            requests = tuple(replace(one, flags=tuple(map(_asked_once, one.flags))) for one in requests)
        flags = tuple(dict.fromkeys((*flags, *(flag for request in requests for flag in request.flags))))
        released = [request for request in requests if not holds(request.flags)]
        if not requests and not holds(flags):
            message = "Nothing in the row may be raised on a sign."
            flags = (
                *flags,
                ask_row(row, "nothing-to-raise", Severity.HOLD, message, "Give a number or a name.", "owner"),
            )
        return Outcome(
            row=row,
            outcome=RowOutcome.SIGNED if released else RowOutcome.HELD,
            rule="R3" if choice.rule == "R1" and not opening.number else choice.rule,
            reason=choice.reason,
            flags=flags,
            requests=requests,
        )

    def _conflict(self, index: int, row: NamedRow) -> tuple[Flag, ...]:
        if index not in self._repeats.conflicts:
            return ()
        message = f"Rows contradict each other: {self._repeats.conflicts[index]}."
        return (ask_row(row, "conflict", Severity.HOLD, message, "Say which row is right.", "architect"),)

    def _at_doors(self, opening: Opening, flags: tuple[Flag, ...]) -> Outcome:
        """A room row whose doors are rows of their own: they carry its signs, and the flags of this row."""
        marks = ", ".join(sorted({door.row.door for door in self._doors[opening.room]}))
        return Outcome(
            row=opening.row,
            outcome=RowOutcome.HELD if holds(flags) else RowOutcome.MERGED,
            rule="JOIN",
            reason=f"room decided at its doors: {marks}",
            flags=flags,
        )

    def _doorless(self, opening: Opening, choice: Choice) -> tuple[Flag, ...]:
        if opening.row.door or not self._any_joined or choice.category == "open":
            return ()
        message = f"Room {opening.number} {opening.name}: no door of the file leads to it; one sign is made."
        fix = "Say at which door it hangs, or omit it."
        return (ask_row(opening.row, "room-without-door", Severity.ASK, message, fix, "architect"),)


def _asked_once(flag: Flag) -> Flag:
    """Without any number in the file, that a name has none is one question for the job, not one a row."""
    once = flag.severity is Severity.ASK and flag.code == "signlist/no-number"
    return replace(flag, severity=Severity.NOTE) if once else flag


def _without_sign(flag: Flag) -> Flag:
    """How a name is worded that nobody raises is no question any more."""
    moot = flag.severity is Severity.ASK and flag.code in _MOOT
    return replace(flag, severity=Severity.NOTE) if moot else flag


def _identify(outcomes: Sequence[Outcome], settings: Settings) -> tuple[list[list[Flag]], list[list[SignRequest]]]:
    """The signs of every outcome with their ids, and flags where an id had to be told apart from another."""
    flat = [(index, request) for index, outcome in enumerate(outcomes) for request in outcome.requests]
    places = [_place(outcomes[index].row, request) for index, request in flat]
    ids, shared = make_ids(settings.job, places)
    made_up: list[list[Flag]] = [[] for _ in outcomes]
    named: list[list[SignRequest]] = [[] for _ in outcomes]
    for at, (index, request) in enumerate(flat):
        flags = request.flags
        if at in shared or is_marked(places[at].mark):
            why = (
                "several rows would get the same sign id"
                if at in shared
                else f"{places[at].mark[:40]!r} cannot be part of a file name as it is"
            )
            message = f"Sign id {ids[at]} carries a mark of its own: {why}."
            row = outcomes[index].row
            severity = Severity.ASK if row.door or row.room_number else Severity.NOTE
            flag = ask_row(row, "made-up-id", severity, message, "Give each door its own short mark.", "architect")
            flags = (*flags, flag)
            made_up[index].append(flag)
        named[index].append(replace(request, sign_id=ids[at], flags=flags))
    return made_up, named


def _place(row: NamedRow, request: SignRequest) -> Place:
    field = Field.DOOR if row.door else Field.ROOM_NUMBER if row.room_number else Field.ROOM_NAME
    return Place(
        level=request.level,
        mark=row.door or row.room_number or row.name,
        given=" ".join(row.raw.text(field).split()),
        # Rows without a mark are told apart by whatever else they say, such as a model's element id.
        content=row_content(row) if row.door or row.room_number else row.raw.as_given,
        side=request.side,
        kind="L" if request.template == LOAD else "D" if request.template in SYMBOLS and not request.messages else "",
    )


def _decision(outcome: Outcome, made_up: Sequence[Flag], requests: Sequence[SignRequest]) -> Decision:
    return Decision(
        row=outcome.row,
        outcome=outcome.outcome,
        rule=outcome.rule,
        reason=outcome.reason,
        sign_ids=tuple([request.sign_id for request in requests]),
        flags=(*outcome.flags, *made_up),
    )
