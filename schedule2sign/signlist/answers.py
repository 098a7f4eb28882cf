"""Puts a person's answers over the defaults, keyed by identity, and records each: applied, stale or without a place."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

from schedule2sign.model.flag import Flag, Severity, holds
from schedule2sign.model.schedule import Field
from schedule2sign.model.sign import Answer, Decision, RowOutcome, SignList, SignRequest, Verb
from schedule2sign.model.source import Source
from schedule2sign.signlist.amendments import rename, renumber, words
from schedule2sign.signlist.inforce import contradict, drop_doubles, keep_newest, merge_accepts
from schedule2sign.signlist.settling import said, settle, settled

_OMITTED = "omitted by answer"


def apply_answers(sign_list: SignList, answers: Sequence[Answer]) -> SignList:
    """The sign list with every answer applied, or told why it was not: no answer is dropped without a flag."""
    if not answers:
        return sign_list
    applier = _Applier(sign_list)
    for answer in answers:
        applier.take(answer)
    after = {request.sign_id: applier.answered(request) for request in sign_list.requests}
    after = _ask_taken_numbers(sign_list.requests, after)
    decisions = tuple(applier.decision(decision, after) for decision in sign_list.decisions)
    return SignList(
        decisions=decisions,
        requests=tuple(request for request in after.values() if request is not None),
        flags=(*sign_list.flags, *applier.flags),
        unused=tuple(applier.unused),
    )


class _Applier:
    """Sorts answers to signs and rows, then applies them. `flags` and `unused` tell what found no place."""

    def __init__(self, sign_list: SignList) -> None:
        self._before = {request.sign_id: request for request in sign_list.requests}
        self._fields: dict[Source, Field] = {
            decision.row.raw.source_of(cell.field): cell.field
            for decision in sign_list.decisions
            for cell in decision.row.raw.cells
        }
        self._rows: defaultdict[tuple[str, ...], list[Decision]] = defaultdict(list)
        for decision in sign_list.decisions:
            self._rows[_row_key(decision)].append(decision)
        self._row_of = {sign_id: decision.row for decision in sign_list.decisions for sign_id in decision.sign_ids}
        self._of_sign: defaultdict[str, list[Answer]] = defaultdict(list)
        self._of_row: defaultdict[Source, list[Answer]] = defaultdict(list)
        self.flags: list[Flag] = []
        self.unused: list[Answer] = []

    def take(self, answer: Answer) -> None:
        """Note an answer for the signs or rows it is about; what this schedule does not have is flagged and kept."""
        for sign_id in answer.sign_ids:
            if sign_id in self._before:
                self._of_sign[sign_id].append(answer)
            else:
                self._lose(replace(answer, sign_ids=(sign_id,)), sign_id)
        if answer.sign_ids:
            return
        rows = self._rows.get(answer.row, [])
        # A row without signs and its twin with signs say the same; what was answered about the first is not for the second.
        for decision in [decision for decision in rows if not decision.sign_ids] or rows:
            for sign_id in decision.sign_ids:
                self._of_sign[sign_id].append(answer)
            if not decision.sign_ids:
                self._of_row[decision.row.raw.source].append(answer)
        if not rows:
            self._lose(answer, " ".join(part for part in answer.row if part) or "a row without any identity")

    def _lose(self, answer: Answer, name: str) -> None:
        self.unused.append(replace(answer, fate="not in this schedule"))
        message = f"{said(answer, name)}, which this schedule does not have; nothing was changed."
        self.flags.append(
            Flag(
                code="signlist/answer-unknown",
                severity=Severity.ASK,
                source=answer.source,
                given=answer.text,
                message=message,
                fix="Look for its new door or number, and answer there; or clear the line in the sign list.",
                who="shop",
            )
        )

    def answered(self, request: SignRequest) -> SignRequest | None:
        """The sign after its answers; None where it is omitted."""
        answers = drop_doubles(self._of_sign.get(request.sign_id, ()))
        fresh = [answer for answer in answers if not self._is_stale(answer, request)]
        stale = [answer for answer in answers if answer not in fresh]
        fresh, dropped = keep_newest(fresh)
        fresh = merge_accepts(fresh, request.flags)
        self._of_sign[request.sign_id] = fresh
        notes = [
            _flag(request, "answer-replaced", Severity.NOTE, f"{said(answer)} earlier; a newer answer took its place.")
            for answer in (*dropped, *(stale if fresh else ()))
        ]
        if not fresh:
            notes += [self._stale(answer, request) for answer in stale]
        if contradict(fresh):
            told = "; ".join(f"{said(answer)} ({answer.source})" for answer in fresh)
            notes.append(_flag(request, "answers-disagree", Severity.HOLD, f"Answers contradict each other: {told}."))
            return replace(request, flags=(*request.flags, *notes), answers=tuple(fresh))
        result = replace(request, flags=(*request.flags, *notes), answers=tuple(fresh))
        for answer in fresh:
            if answer.verb is Verb.OMIT:
                return None
            result = self._apply(answer, result)
        return result

    def _is_stale(self, answer: Answer, request: SignRequest) -> bool:
        """The schedule says something else now than what the person saw."""
        if answer.seen is None:
            return False
        row = self._row_of[request.sign_id]
        number, name = answer.seen
        return number not in {_squeeze(request.number_as_given), _squeeze(row.room_number)} or name not in {
            _squeeze(request.name_as_given),
            _squeeze(row.name_as_given),
        }

    def _stale(self, answer: Answer, request: SignRequest) -> Flag:
        number, name = answer.seen or ("", "")
        then, now = f"{number} {name!r}".strip(), f"{request.number_as_given} {request.name_as_given!r}".strip()
        self.unused.append(
            replace(answer, sign_ids=(request.sign_id,), fate=f"the schedule said {then} then, {now} now")
        )
        message = f"{said(answer, then)}; the schedule now says {now}. The answer was not applied."
        severity = Severity.ASK if answer.verb is Verb.ACCEPT else Severity.HOLD
        flag = _flag(request, "answer-stale", severity, message)
        return replace(flag, fix="Answer again for the schedule as it is now.")

    def _apply(self, answer: Answer, request: SignRequest) -> SignRequest:
        if answer.verb is Verb.HOLD:
            message = f"{said(answer)}: {answer.text or 'no reason given'}."
            flag = _flag(request, "answer-hold", Severity.HOLD, message)
            return replace(request, flags=(*request.flags, flag))
        flags = tuple(
            settle(flag, answer, self._fields.get(flag.source) if flag.source else None) for flag in request.flags
        )
        if answer.verb is Verb.ACCEPT:
            message = f"{said(answer)} as it is: {words(request)!r}."
            return replace(request, flags=(*flags, _flag(request, "answered", Severity.NOTE, message)))
        changed = rename(request, answer.text) if answer.verb is Verb.RENAME else renumber(request, answer.text)
        before, after = words(request), words(changed)
        message = f"{said(answer)}: {before!r} " + ("stays." if before == after else f"is now {after!r}.")
        return replace(changed, flags=(*flags, _flag(request, "answered", Severity.NOTE, message)))

    def decision(self, decision: Decision, after: Mapping[str, SignRequest | None]) -> Decision:
        """The row's decision after the answers to its signs, or to the row itself."""
        if not decision.sign_ids:
            return self._row_decision(decision)
        kept = tuple(sign_id for sign_id in decision.sign_ids if after[sign_id] is not None)
        answers: dict[Answer, None] = {}
        settlements: dict[Flag, Flag] = {}
        omissions = []
        for sign_id in decision.sign_ids:
            before, request = self._before[sign_id], after[sign_id]
            if request is not None:
                settlements |= zip(before.flags, request.flags, strict=False)
                continue
            for answer in self._of_sign[sign_id]:
                answers[answer if not answer.sign_ids else replace(answer, sign_ids=(sign_id,))] = None
                settlements |= {
                    flag: settled(flag, answer) for flag in before.flags if flag.severity is not Severity.NOTE
                }
                message = f"{said(answer, f'sign {sign_id}')}: {words(before)!r}."
                omissions.append(_row_flag(decision, "answered", Severity.NOTE, message))
        flags = (*(settlements.get(flag, flag) for flag in decision.flags), *omissions)
        given = tuple(answers)
        if not kept:
            return replace(
                decision, outcome=RowOutcome.UNSIGNED, rule="ANSWER", reason=_OMITTED, sign_ids=(), flags=flags,
                answers=given,
            )  # fmt: skip
        released = any(not holds(request.flags) for sign_id in kept if (request := after[sign_id]) is not None)
        outcome = RowOutcome.SIGNED if released else RowOutcome.HELD
        return replace(decision, outcome=outcome, sign_ids=kept, flags=flags, answers=given)

    def _row_decision(self, decision: Decision) -> Decision:
        """A row without a sign: answers say that this is right, or that it is not."""
        answers, _ = keep_newest(drop_doubles(self._of_row.get(decision.row.raw.source, ())))
        answers = merge_accepts(answers, decision.flags)
        for answer in answers:
            decision = self._answer_row(decision, answer)
        return replace(decision, answers=tuple(answers)) if answers else decision

    def _answer_row(self, decision: Decision, answer: Answer) -> Decision:
        if answer.verb is Verb.HOLD and decision.outcome is not RowOutcome.MERGED:
            message = f"{said(answer, 'the row')}: {answer.text or 'no reason given'}."
            flag = _row_flag(decision, "answer-hold", Severity.HOLD, message)
            return replace(decision, outcome=RowOutcome.HELD, flags=(*decision.flags, flag))
        if answer.verb not in (Verb.ACCEPT, Verb.OMIT):
            message = f"{said(answer, 'the row')}, but it makes no sign; nothing was changed."
            flag = _row_flag(decision, "answer-without-sign", Severity.ASK, message)
            fix = "Write YES into a sign-type column of the schedule to get a sign."
            return replace(decision, flags=(*decision.flags, replace(flag, fix=fix)))
        note = _row_flag(decision, "answered", Severity.NOTE, f"{said(answer, 'the row')}, without a sign.")
        if answer.verb is Verb.OMIT:
            known = decision.outcome in (RowOutcome.MERGED, RowOutcome.UNSIGNED)
            flags = tuple(flag if flag.severity is Severity.NOTE else settled(flag, answer) for flag in decision.flags)
            return replace(
                decision, outcome=decision.outcome if known else RowOutcome.UNSIGNED,
                reason=decision.reason if known else _OMITTED, flags=(*flags, note),
            )  # fmt: skip
        flags = (*(settle(flag, answer, None) for flag in decision.flags), note)
        if decision.outcome is not RowOutcome.HELD or holds(flags):
            return replace(decision, flags=flags)
        # A room decided at its doors stays with them.
        outcome = RowOutcome.MERGED if decision.rule == "JOIN" else RowOutcome.UNSIGNED
        return replace(decision, outcome=outcome, flags=flags)


def _ask_taken_numbers(
    before: Sequence[SignRequest], after: Mapping[str, SignRequest | None]
) -> dict[str, SignRequest | None]:
    """Signs that a new number made twins of: one number, two names, on one level."""
    numbered: defaultdict[tuple[str, str], list[SignRequest]] = defaultdict(list)
    for request in after.values():
        if request is not None and request.room_number:
            numbered[request.level, request.room_number].append(request)
    old = {request.sign_id: request.room_number for request in before}
    result = dict(after)
    for (_, number), group in numbered.items():
        names = {request.name_as_given for request in group}
        if len(names) < 2 or all(old[request.sign_id] == number for request in group):
            continue
        told = ", ".join(f"{request.sign_id} ({request.name_as_given})" for request in group)
        for request in group:
            message = f"By the answers, number {number} now stands on several rooms' signs: {told}."
            flag = _flag(request, "answer-number-taken", Severity.HOLD, message)
            fix = "Give each room a number of its own."
            result[request.sign_id] = replace(request, flags=(*request.flags, replace(flag, fix=fix)))
    return result


def _row_key(decision: Decision) -> tuple[str, str, str, str]:
    row = decision.row
    return _squeeze(row.level), _squeeze(row.door), _squeeze(row.room_number), _squeeze(row.name_as_given)


def _squeeze(text: str) -> str:
    return " ".join(text.split())


def _flag(request: SignRequest, code: str, severity: Severity, message: str) -> Flag:
    return Flag(
        code=f"signlist/{code}",
        severity=severity,
        message=message,
        source=request.source,
        given=request.name_as_given,
        who="shop",
    )


def _row_flag(decision: Decision, code: str, severity: Severity, message: str) -> Flag:
    row = decision.row
    return Flag(
        code=f"signlist/{code}",
        severity=severity,
        message=message,
        source=row.raw.source,
        given=row.name_as_given,
        who="shop",
    )
