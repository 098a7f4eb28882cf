"""Which questions an answer settles, and how that is put on record."""

import tomllib
from collections.abc import Sequence
from dataclasses import replace
from fnmatch import fnmatchcase
from functools import cache
from importlib.resources import files

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.schedule import Field
from schedule2sign.model.sign import Answer, SignRequest, Verb

_FIELDS = {
    Verb.RENAME: frozenset({Field.ROOM_NAME}),
    Verb.RENUMBER: frozenset({Field.DOOR, Field.ROOM_NUMBER, Field.FINAL_NUMBER}),
}


def settle(flag: Flag, answer: Answer, field: Field | None) -> Flag:
    """The flag as a note where the answer settles it, else as it is.

    Args:
        field: what the cell means that the flag is about.
    """
    if flag.severity is Severity.NOTE:
        return flag
    if answer.verb is Verb.ACCEPT:
        if not was_seen(flag, answer):
            return flag
        stays = flag.severity is Severity.HOLD and _is_listed(flag.code, "needs_text")
        return _not_enough(flag, answer) if stays else settled(flag, answer)
    about = field in _FIELDS[answer.verb] and flag.code.startswith(("naming/", "intake/"))
    return settled(flag, answer) if about or _is_listed(flag.code, answer.verb.value) else flag


def settle_later(request: SignRequest, flags: Sequence[Flag]) -> tuple[Flag, ...]:
    """Flags that later stages raised for a sign, settled where a person saw and accepted them and that is enough."""
    accepts = [answer for answer in request.answers if answer.verb is Verb.ACCEPT]
    return tuple(_settle_late(flag, accepts) for flag in flags)


def _settle_late(flag: Flag, accepts: Sequence[Answer]) -> Flag:
    if flag.severity not in (Severity.ASK, Severity.HOLD):
        return flag
    seen = next((answer for answer in accepts if was_seen(flag, answer)), None)
    if _is_listed(flag.code, "later"):
        return settled(flag, seen) if seen else flag
    # Of a strange word the list asks once, under the code of the stage that speaks first.
    told = next((answer for answer in accepts if answer is seen or _is_listed(flag.code, "asked_before")), None)
    return _not_enough(flag, told) if told and flag.severity is Severity.HOLD else flag


def was_seen(flag: Flag, answer: Answer) -> bool:
    """True when the question stood in the list that the person answered."""
    return answer.questions is None or flag.code in answer.questions


def settled(flag: Flag, answer: Answer) -> Flag:
    """The flag as a note that says who settled it."""
    return replace(flag, severity=Severity.NOTE, message=f"{flag.message} Settled: {said(answer)}.")


def _not_enough(flag: Flag, answer: Answer) -> Flag:
    """The flag as it was, with what became of the answer: who typed it would wait for nothing."""
    return replace(
        flag, message=f"{flag.message} {said(answer)}, which does not release it: it needs what is asked for."
    )


def said(answer: Answer, what: str = "it") -> str:
    """Who answered what, as a sentence without its end."""
    words = {
        Verb.ACCEPT: f"accepted {what}",
        Verb.HOLD: f"held {what}",
        Verb.OMIT: f"omitted {what}",
        Verb.RENAME: f"renamed {what} to {answer.text!r}",
        Verb.RENUMBER: f"renumbered {what} to {answer.text!r}",
    }
    return f"{answer.who or 'Somebody'} {words[answer.verb]}"


def _is_listed(code: str, key: str) -> bool:
    return any(fnmatchcase(code, known) for known in _table()[key])


@cache
def _table() -> dict[str, list[str]]:
    return tomllib.loads(files("schedule2sign.signlist").joinpath("answers.toml").read_text(encoding="utf-8"))
