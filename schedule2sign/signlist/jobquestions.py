"""What is asked once for the whole job, and what the file does not contain."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Field
from schedule2sign.model.settings import Finality, Settings
from schedule2sign.model.sign import Decision, SignRequest
from schedule2sign.signlist.identity import level_code
from schedule2sign.signlist.outcomes import SAME_WORDS
from schedule2sign.signlist.questions import ask_job
from schedule2sign.signlist.rulebook import RuleBook
from schedule2sign.signlist.secondsigns import SYMBOLS

_MOST_STORIES_WITHOUT_PLACARD = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubts:
    """Counts of doors in doubt for one and the same reason.

    Attributes:
        suffixed: the number hangs on the meaning of a suffix letter.
        sideless: the reading side was assumed.
    """

    suffixed: int
    sideless: int


def ask_whole_job(
    rows: Sequence[NamedRow],
    decisions: Sequence[Decision],
    requests: Sequence[SignRequest],
    settings: Settings,
    book: RuleBook,
    doubts: Doubts,
) -> tuple[Flag, ...]:
    """Questions for the job as a whole, in a fixed order."""
    if not rows:
        return ()
    fired = Counter(decision.rule for decision in decisions)
    templates = Counter(request.template for request in requests)
    flags = [*_about_rules(book), *_about_numbers(rows, settings, doubts.suffixed)]
    flags += _about_joining(rows, decisions)
    flags += _about_egress(rows, decisions, requests)
    for rule in book.rules:
        if rule.once and fired[rule.id]:
            message = f"{rule.once} Rows: {fired[rule.id]}."
            flags.append(ask_job(rule.code, rule.once_severity, message, rule.fix, rule.who, clause=rule.clause))
    levels = {row.level for row in rows if row.level}
    if templates["stair"] and len(levels) > _MOST_STORIES_WITHOUT_PLACARD:
        message = (
            f"The file names {len(levels)} levels. Stairs that serve more than three stories also need a large visual "
            "placard at each landing; it is not a tactile sign and is not made here."
        )
        fix = "Make sure somebody has it in his contract."
        flags.append(ask_job("stair-placard", Severity.NOTE, message, fix, "shop", clause="IFC 1022.9 (2012)"))
    if toilets := templates["restroom"] + templates["all-gender"]:
        flags += _about_restrooms(toilets, sum(templates[symbol] for symbol in SYMBOLS))
    flags += _about_discharge(requests, settings, book)
    flags += _about_same_words(decisions)
    if doubts.sideless:
        message = (
            f"{doubts.sideless} doors have no FROM room that the file knows; their signs are taken to be read from the "
            "corridor side and to name the room behind."
        )
        flags.append(ask_job("reading-side", Severity.NOTE, message, "Check the sides on the plan.", "shop"))
    if any(row.door for row in rows) and not any(row.raw.text(Field.HAND) for row in rows):
        message = "The file has no hand of doors, so no sign says on which side of its door it goes."
        fix = "Send a schedule with a hand column, or check each latch side in the field."
        flags.append(ask_job("no-hands", Severity.ASK, message, fix, "architect", clause="ADA 703.4.2"))
    return tuple(flags)


def has_number(row: NamedRow) -> bool:
    """True when the row has a door mark or a number that may be posted."""
    return bool(row.door or row.room_number or row.raw.text(Field.FINAL_NUMBER))


def _about_rules(book: RuleBook) -> list[Flag]:
    parts = [
        f"{what} {', '.join(ids)}"
        for what, ids in (("adds", book.added), ("changes", book.changed), ("switches off", book.switched_off))
        if ids
    ]
    if not parts:
        return []
    return [ask_job("job-rules", Severity.NOTE, f"Decision rules: the job file {'; '.join(parts)}.", "", "shop")]


def _about_numbers(rows: Sequence[NamedRow], settings: Settings, suffixed: int) -> list[Flag]:
    if not any(has_number(row) for row in rows):
        message = f"None of the {len(rows)} rows has a door mark or a room number, so signs show names only."
        fix = "Send a schedule with numbers, or confirm that the building has none."
        return [ask_job("no-numbers", Severity.ASK, message, fix, "owner")]
    flags = []
    if settings.finality is not Finality.FINAL and not all(row.raw.text(Field.FINAL_NUMBER) for row in rows):
        what = "Nobody said whether these are" if settings.finality is Finality.UNKNOWN else "These are not"
        message = f"{what} the numbers of the finished building; every number is provisional until somebody does."
        fix = 'Ask the owner; then set numbers = "final" under [job] in the job file.'
        flags.append(ask_job("numbers-provisional", Severity.ASK, message, fix, "owner"))
    if suffixed:
        message = f"{suffixed} doors are held until it is known what a letter after a door's number means."
        fix = 'Set suffix = "door" (121A is a second door of 121) or "inner-room" (a room inside it) under [job].'
        flags.append(ask_job("suffix-meaning", Severity.ASK, message, fix, "architect"))
    return flags


def _about_joining(rows: Sequence[NamedRow], decisions: Sequence[Decision]) -> list[Flag]:
    doors = [row for row in rows if row.door]
    if doors and not any(row.name or row.room_number for row in rows):
        message = f"The file has {len(doors)} door marks, but neither a room number nor a room name."
        fix = "Give the room schedule in the same run; doors are joined to it by number."
        return [ask_job("no-room-data", Severity.ASK, message, fix, "architect")]
    unfit = sum(
        flag.code == "signlist/door-mark-as-number" and flag.severity is Severity.HOLD
        for decision in decisions
        for flag in decision.flags
    )
    if unfit and any(not row.door for row in rows):
        message = f"{unfit} of {len(doors)} doors fit no room of the room schedule."
        fix = "Check that both schedules are of the same building, issue and numbering."
        return [ask_job("schedules-misfit", Severity.ASK, message, fix, "architect")]
    return []


def _about_egress(
    rows: Sequence[NamedRow], decisions: Sequence[Decision], requests: Sequence[SignRequest]
) -> list[Flag]:
    rules = {request.rule for request in requests}
    kinds = (("EXIT", {"L4", "L5"}), ("stair-level", {"L2"}), ("area-of-refuge", {"L6"}))
    missing = [name for name, known in kinds if not rules & known]
    if not missing:
        return []
    candidates = sum(flag.code == "signlist/exit-candidate" for decision in decisions for flag in decision.flags)
    levels = len({row.level for row in rows if row.level})
    stated = f"{levels} level{'s' if levels != 1 else ''}" if levels else "an unknown number of levels"
    doors = f" and {candidates} outside doors of ways out" if candidates else ""
    message = f"The file makes no {' and no '.join(missing)} sign; a building with {stated}{doors} normally has some."
    fix = "Compare with the life-safety plan: missing exit signs stop the inspection."
    return [
        ask_job(
            "no-egress-rows", Severity.ASK, message, fix, "building official", clause="ADA 216.4; IBC 1013.4, 1023.9"
        )
    ]


def _about_restrooms(count: int, symbols: int) -> list[Flag]:
    message = (
        f"{count} toilet-room signs carry no access symbol. It is asked for where not all toilet rooms comply, and on a "
        "room that does not comply it would be a false claim."
    )
    fix = "Say which rooms carry it, if any."
    flags = [ask_job("access-symbol", Severity.ASK, message, fix, "architect", clause="ADA 216.8")]
    if symbols:
        message = (
            f"{symbols} geometric symbols are made for the toilet-room doors themselves (ids that end in -D), beside the signs "
            "on the wall. They carry neither letters nor braille. Bathing rooms may want one too; none is made for them."
        )
        fix = "Check that each door is one leaf that can take a 12 in symbol."
        flags.append(ask_job("door-symbol", Severity.NOTE, message, fix, "shop", clause="CBC 11B-703.7.2.6"))
    return flags


def _about_same_words(decisions: Sequence[Decision]) -> list[Flag]:
    """One question a group of signs that say the same and nothing else."""
    seen = dict.fromkeys(flag for decision in decisions for flag in decision.flags if flag.code == SAME_WORDS)
    groups = dict.fromkeys((flag.message, flag.fix, flag.severity is Severity.HOLD) for flag in seen)
    return [
        ask_job("same-words", Severity.ASK, f"{message}{' They are held.' if held else ''}", fix, "architect")
        for message, fix, held in sorted(groups)
    ]


def _about_discharge(requests: Sequence[SignRequest], settings: Settings, book: RuleBook) -> list[Flag]:
    """Where the profile asks for a star, the level it stands on must be known."""
    levels = [request for request in requests if request.template == "stair-level"]
    if not levels or not book.wants("star", settings.standard):
        return []
    starred = {level_code(request.level) for request in levels if request.pictogram == "star"}
    clause = "CBC 1023.9, 11B-504.8"
    if len(starred) > 1:
        message = "The schedule names more than one level of exit discharge; the stair signs of each carry the star."
        fix = "Confirm it, or set discharge_level under [job] in the job file."
        return [ask_job("stair-star", Severity.ASK, message, fix, "architect", clause=clause)]
    if starred:
        return []
    if settings.discharge_level:
        message = (
            f"The job file gives {settings.discharge_level!r} as the level of exit discharge; no stair of the schedule is on it, "
            "so no sign carries the star."
        )
        fix = "Check discharge_level against the levels of the schedule."
        return [ask_job("stair-star", Severity.ASK, message, fix, "architect", clause=clause)]
    if any(flag.code == "signlist/stair-star" for request in levels for flag in request.flags):
        message = (
            "A raised star stands left of the level's name at the level of exit discharge, and only there. The schedule does "
            f"not say which level that is, so {len(levels)} stair-level signs are held."
        )
        fix = 'Set discharge_level = "LEVEL 1" (or whichever it is) under [job] in the job file.'
        return [ask_job("stair-star", Severity.ASK, message, fix, "architect", clause=clause)]
    return []
