"""Which of several answers to one sign or row are in force."""

from collections.abc import Sequence
from dataclasses import replace

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.sign import Answer, Verb


def drop_doubles(answers: Sequence[Answer]) -> list[Answer]:
    """Each answer once, wherever it stands twice."""
    return list({(answer.verb, answer.text, answer.questions, answer.earlier): answer for answer in answers}.values())


def keep_newest(answers: list[Answer]) -> tuple[list[Answer], list[Answer]]:
    """Answers in force, and those carried along from an earlier round that a newer one replaces."""
    new = {answer.verb for answer in answers if not answer.earlier}
    kept = [answer for answer in answers if not (answer.earlier and _is_replaced(answer.verb, new))]
    return kept, [answer for answer in answers if answer not in kept]


def _is_replaced(verb: Verb, new: set[Verb]) -> bool:
    if Verb.OMIT in new or verb in (Verb.OMIT, Verb.HOLD):
        return bool(new)
    return verb in new and verb is not Verb.ACCEPT


def merge_accepts(answers: list[Answer], flags: Sequence[Flag]) -> list[Answer]:
    """One acceptance instead of several, of all questions seen; a list without question ids means what is open now."""
    accepts = [answer for answer in answers if answer.verb is Verb.ACCEPT]
    if not accepts:
        return answers
    now = tuple(flag.code for flag in flags if flag.severity is not Severity.NOTE)
    seen = [code for answer in accepts for code in (now if answer.questions is None else answer.questions)]
    who = " and ".join(dict.fromkeys(answer.who for answer in accepts if answer.who))
    merged = replace(accepts[0], who=who, questions=tuple(dict.fromkeys(seen)))
    return [merged, *(answer for answer in answers if answer.verb is not Verb.ACCEPT)]


def contradict(answers: Sequence[Answer]) -> bool:
    """True for two new names, two new numbers, or a sign both omitted and not."""
    texts = {(answer.verb, answer.text) for answer in answers if answer.verb in (Verb.RENAME, Verb.RENUMBER)}
    verbs = {answer.verb for answer in answers}
    return len(texts) > len({verb for verb, _ in texts}) or (Verb.OMIT in verbs and len(verbs) > 1)
