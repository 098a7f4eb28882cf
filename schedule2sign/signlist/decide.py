"""Decides for every data row which signs it makes, and says why."""

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from schedule2sign.model.flag import Flag, Severity, holds
from schedule2sign.model.named import NamedRow
from schedule2sign.model.schedule import Field
from schedule2sign.model.settings import Finality, Settings, SuffixMeaning
from schedule2sign.model.sign import Decision, Message, Role, RowOutcome, Side, SignList, SignRequest
from schedule2sign.signlist.identity import sign_id
from schedule2sign.signlist.rulebook import DecisionRule, load_rules

_PERSON = re.compile(r"(?:(?:MR|MRS|MS|DR)\. ?[A-Z'-]+|[A-Z]\. ?[A-Z][A-Z'-]+)")
_PAIR = re.compile(r"\b(?:PR|PAIR)\b")
# Letters before or after the digits, joined by hyphens or periods: 101, 101A, B-014, 2-104, P1.07.
_POSTABLE = re.compile(r"[A-Z]{0,4}-?\d{1,5}[A-Z]{0,2}(?:[-.][A-Z]{0,2}\d{0,4}[A-Z]{0,2}){0,2}")
_DATE = re.compile(r"(?:19|20)\d\d-\d\d-\d\d.*|\d{1,2}-[A-Z]{3}(?:-\d+)?")
_DOOR_LETTER = re.compile(r"(?<=\d)-?[A-Z]{1,2}$")
_EGRESS = frozenset({"L1", "L4", "L5", "L6"})
_NAMED = DecisionRule(
    id="R1", pattern=re.compile(""), look="name", last=False, template="room", also="", pictogram="",
    side=Side.CORRIDOR, severity=Severity.NOTE, who="shop", reason="permanent named room (ADA 216.2)",
)  # fmt: skip


def decide_signs(rows: Sequence[NamedRow], settings: Settings) -> SignList:
    """One decision a row, in source order; every unknown is asked or held, never chosen silently."""
    first, conflicts = _find_repeats(rows)
    decided = [
        _merge(row, first[row.raw.source]) if row.raw.source in first else _decide(row, settings, conflicts)
        for row in rows
    ]
    decided = _resolve_collisions(decided)
    return SignList(
        decisions=tuple(decision for decision, _ in decided),
        requests=tuple(request for _, requests in decided for request in requests),
        flags=_file_flags(rows, decided, settings),
    )


_Decided = tuple[Decision, tuple[SignRequest, ...]]


def _identity(row: NamedRow) -> tuple[str, str]:
    return row.level, row.door or row.room_number


def _content(row: NamedRow) -> tuple[str, ...]:
    return row.room_number, row.name, row.raw.text(Field.SIGN_TYPE).upper(), row.raw.text(Field.REMARKS).upper()


def _find_repeats(rows: Sequence[NamedRow]) -> tuple[dict[object, NamedRow], dict[object, str]]:
    """Rows of one door: the same data is merged into the first, different data is a conflict of all."""
    groups: defaultdict[tuple[str, str], list[NamedRow]] = defaultdict(list)
    for row in rows:
        if row.door or (row.room_number and not row.raw.text(Field.DOOR)):
            groups[_identity(row)].append(row)
    first: dict[object, NamedRow] = {}
    conflicts: dict[object, str] = {}
    for group in groups.values():
        if len({_content(row) for row in group}) > 1:
            seen = "; ".join(f"{row.raw.source}: {row.name or 'no name'}" for row in group)
            conflicts |= {row.raw.source: seen for row in group}
        else:
            first |= {row.raw.source: group[0] for row in group[1:]}
    names: defaultdict[tuple[str, str], list[NamedRow]] = defaultdict(list)
    for row in rows:
        if row.room_number and row.name and row.raw.source not in first:
            names[row.level, row.room_number].append(row)
    for group in names.values():
        if len({row.name for row in group}) > 1:
            seen = "; ".join(f"{row.raw.source}: {row.name}" for row in group)
            conflicts |= {row.raw.source: seen for row in group if row.raw.source not in conflicts}
    return first, conflicts


def _merge(row: NamedRow, kept: NamedRow) -> _Decided:
    message = f"The same door stands in {kept.raw.source} with the same data; one sign is made."
    flags = (*row.flags, _flag(row, "signlist/duplicate", Severity.NOTE, message, "Nothing, if that is meant.", "shop"))
    reason = f"same as {kept.raw.source}"
    return Decision(row=row, outcome=RowOutcome.MERGED, rule="D1", reason=reason, flags=flags), ()


def _decide(row: NamedRow, settings: Settings, conflicts: dict[object, str]) -> _Decided:
    rule = _find_rule(row)
    flags = list(row.flags)
    if row.raw.source in conflicts:
        message = f"One door or room number, different data: {conflicts[row.raw.source]}."
        flags.append(_flag(row, "signlist/conflict", Severity.HOLD, message, "Say which row is right.", "architect"))
    number = _posted_number(row, settings)
    if not number and not row.name:
        message = "The row has neither door, number nor name that can be used."
        flags.append(_flag(row, "signlist/no-identity", Severity.HOLD, message, "Complete the row.", "architect"))
        return Decision(row=row, outcome=RowOutcome.HELD, rule="N0", reason="no identity", flags=tuple(flags)), ()
    if rule.severity is not Severity.NOTE:
        message = f"{row.name or number}: {rule.reason}."
        flags.append(_flag(row, f"signlist/{rule.id.lower()}", rule.severity, message, "Confirm or correct.", rule.who))
    if not rule.template:
        outcome = RowOutcome.HELD if holds(tuple(flags)) else RowOutcome.UNSIGNED
        return Decision(row=row, outcome=outcome, rule=rule.id, reason=rule.reason, flags=tuple(flags)), ()
    flags += _questions(row, number, settings)
    requests = _requests(row, number, rule, tuple(flags), settings)
    decision = Decision(
        row=row,
        outcome=RowOutcome.SIGNED,
        rule=rule.id,
        reason=rule.reason,
        sign_ids=tuple(request.sign_id for request in requests),
        flags=tuple(flags),
    )
    return decision, requests


def _posted_number(row: NamedRow, settings: Settings) -> str:
    """The room number; else the door mark, less its letter where the job says the letter counts doors."""
    if row.room_number or settings.suffix is not SuffixMeaning.DOOR:
        return row.room_number or row.door
    return _DOOR_LETTER.sub("", row.door)


def _find_rule(row: NamedRow) -> DecisionRule:
    everything = " | ".join(text.upper() for text in (row.name_as_given, row.room_number, row.raw.text(Field.REMARKS)))
    name = " ".join(row.name_as_given.upper().split())
    for rule in load_rules():
        texts = (
            [everything] if rule.look == "any" else [row.name, name] if rule.id.startswith(("ST", "T")) else [row.name]
        )
        if rule.last:
            texts = [text.rpartition(" ")[2] for text in texts]
        if any(rule.pattern.search(text) for text in texts):
            # An exit, stair or refuge "by others" still blocks the inspection when it is missing.
            if rule.id == "ST2" and any(
                egress.pattern.search(row.name) for egress in load_rules() if egress.id in _EGRESS
            ):
                return replace(rule, severity=Severity.HOLD)
            return rule
    if _PERSON.fullmatch(row.name):
        reason = "a person's name is never raised (ADA 216.1 exception 1); number with an insert is proposed"
        return replace(_NAMED, id="O3", template="room-insert", severity=Severity.HOLD, who="owner", reason=reason)
    if not row.name:
        return replace(
            _NAMED, id="R2", template="number", severity=Severity.ASK, who="owner", reason="number and no name"
        )
    if not (row.room_number or row.door):
        return replace(
            _NAMED, id="R3", template="name", severity=Severity.ASK, who="owner", reason="name and no number"
        )
    return _NAMED


def _questions(row: NamedRow, number: str, settings: Settings) -> list[Flag]:
    flags = []
    if number and (_DATE.fullmatch(number) or not _POSTABLE.fullmatch(number)):
        message = f"{number!r} does not look like one room number: a range, a look-alike letter, or a date made of it?"
        fix = "Give the number as it will be posted."
        flags.append(_flag(row, "signlist/odd-number", Severity.HOLD, message, fix, "architect"))
    lettered = _DOOR_LETTER.search(number) is not None and settings.suffix is SuffixMeaning.ASK
    if not row.room_number and row.door:
        message = f"The row has no room number; the door mark {row.door} gives {number}."
        # A door's letter on the wall would name a room that is not there.
        severity = Severity.HOLD if lettered else Severity.ASK
        fix = 'Give the room number that will be posted, or say in the job file what a letter means (suffix = "door").'
        flags.append(_flag(row, "signlist/door-mark-as-number", severity, message, fix, "owner"))
    elif lettered:
        message = f"{number}: is the letter a second door or a room inside? Taken as part of the number."
        fix = 'Set suffix = "door" or "inner-room" in the job file.'
        flags.append(_flag(row, "signlist/suffix", Severity.ASK, message, fix, "owner"))
    if _PAIR.search(f"{row.raw.text(Field.LEAF)} {row.raw.text(Field.QUANTITY)}".upper()):
        message = f"Door {row.door or number} is a pair: one sign; which leaf is active is not said (ADA 703.4.2)."
        fix = "One active leaf: on the inactive leaf. Both active: right of the right-hand door."
        flags.append(_flag(row, "signlist/pair", Severity.ASK, message, fix, "architect", clause="703.4.2"))
    glass = row.raw.text(Field.GLASS).upper()
    if glass in {"FG", "SL"} or "SIDELITE" in glass or "FULL" in glass:
        message = f"Door {row.door or number} has glass ({glass}) where the sign may go: a matching plate backs it up."
        flags.append(
            _flag(row, "signlist/glass", Severity.ASK, message, "Say whether the sign goes on glass.", "architect")
        )
    return flags


def _requests(
    row: NamedRow, number: str, rule: DecisionRule, flags: tuple[Flag, ...], settings: Settings
) -> tuple[SignRequest, ...]:
    made = [_request(row, rule.template, rule.side, _messages(row, number, rule.template), rule, flags, settings)]
    if rule.also == "stair-level":
        # One stair door makes two signs: its name on the corridor side, the floor level on the stair side.
        level = _level_words(row.level, settings)
        level_flags = flags
        if not level:
            message = f"{row.name}: the schedule does not say which level the door is on."
            fix = "Give the level as a column or heading."
            level_flags = (*flags, _flag(row, "signlist/no-level", Severity.HOLD, message, fix, "architect"))
        messages = (Message(role=Role.LEVEL, text=level),) if level else ()
        made.append(_request(row, "stair-level", Side.STAIR, messages, rule, level_flags, settings))
    return tuple(made)


def _messages(row: NamedRow, number: str, template: str) -> tuple[Message, ...]:
    name = (Message(role=Role.NAME, text=row.name),) if row.name else ()
    if template in ("name", "exit", "restroom", "stair"):
        return name
    if template in ("number", "room-insert") and number:
        return (Message(role=Role.NUMBER, text=number),)
    return (*((Message(role=Role.NUMBER, text=number),) if number else ()), *name)


def _request(
    row: NamedRow,
    template: str,
    side: Side,
    messages: tuple[Message, ...],
    rule: DecisionRule,
    flags: tuple[Flag, ...],
    settings: Settings,
) -> SignRequest:
    insert = row.raw.text(Field.INSERT) or (row.name if template == "room-insert" and rule.id != "O3" else "")
    return SignRequest(
        sign_id=sign_id(settings.job, row.level, row.door or row.room_number or row.name, side),
        source=row.raw.source,
        door=row.door,
        room_number=row.room_number,
        level=row.level,
        name_as_given=row.name_as_given,
        messages=messages,
        template=template,
        side=side,
        rule=rule.id,
        reason=rule.reason,
        changes=row.changes,
        flags=flags,
        pictogram=rule.pictogram if template == "restroom" else "",
        insert_text=insert if template == "room-insert" else "",
        hand=row.raw.text(Field.HAND),
    )


def _level_words(level: str, settings: Settings) -> str:
    if number := re.fullmatch(r"(?:LEVEL|FLOOR|STORY) ?([A-Z]?\d+)", level):
        return f"{settings.wording.level} {int(number[1]) if number[1].isdigit() else number[1]}"
    return level


def _resolve_collisions(decided: list[_Decided]) -> list[_Decided]:
    """Signs that would share an id get a number by their content, so that a re-sorted schedule changes nothing."""
    users: defaultdict[str, list[SignRequest]] = defaultdict(list)
    for _, requests in decided:
        for request in requests:
            users[request.sign_id].append(request)
    renamed: dict[int, SignRequest] = {}
    for shared, sharing in users.items():
        if len(sharing) > 1:
            ordered = sorted(sharing, key=lambda request: (request.name_as_given, request.room_number, request.source))
            for index, request in enumerate(ordered, start=1):
                flag = Flag(
                    code="signlist/shared-id",
                    severity=Severity.ASK,
                    message=f"{len(sharing)} signs would be {shared}; this one is number {index}.",
                    source=request.source,
                    fix="Give each door a mark of its own.",
                    who="architect",
                )
                renamed[id(request)] = replace(request, sign_id=f"{shared}_{index}", flags=(*request.flags, flag))
    result = []
    for decision, requests in decided:
        new = tuple(renamed.get(id(request), request) for request in requests)
        result.append((replace(decision, sign_ids=tuple(request.sign_id for request in new)), new))
    return result


def _file_flags(rows: Sequence[NamedRow], decided: list[_Decided], settings: Settings) -> tuple[Flag, ...]:
    flags = []
    fired = {decision.rule for decision, _ in decided}
    if rows and not fired & _EGRESS:
        flags.append(
            Flag(
                code="signlist/no-egress-rows",
                severity=Severity.ASK,
                message="No row names an exit, a stair or an area of refuge; most buildings have some.",
                fix="Compare with the life-safety plan.",
                who="building official",
            )
        )
    if settings.finality is not Finality.FINAL:
        flags.append(
            Flag(
                code="signlist/numbers-not-final",
                severity=Severity.ASK,
                message=f"Final building numbers: {settings.finality.value}. Everything is provisional until they are.",
                fix='Ask the owner; then set numbers = "final" in the job file.',
                who="owner",
            )
        )
    return tuple(flags)


def _flag(row: NamedRow, code: str, severity: Severity, message: str, fix: str, who: str, clause: str = "") -> Flag:
    return Flag(
        code=code, severity=severity, message=message, source=row.raw.source, given=row.name_as_given,
        clause=clause, fix=fix, who=who,
    )  # fmt: skip
