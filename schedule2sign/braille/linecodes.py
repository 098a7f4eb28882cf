"""Which braille code each line of a sign is in, and the second language of a bilingual sign."""

from collections.abc import Container
from dataclasses import replace

from schedule2sign.braille.codes import find_code
from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.settings import Settings
from schedule2sign.model.sign import Message, Role, SignRequest

# Templates that give the name once in each language, by the template for one language.
_BILINGUAL = {"room": "room-bilingual"}


def choose_codes(request: SignRequest, settings: Settings, templates: Container[str]) -> SignRequest:
    """The request with the job file's second language added and the code of each line named.

    Args:
        request: a sign as decided.
        settings: the job.
        templates: names of the sign templates there are.

    Raises:
        InputError: the job file names a braille code there is none of.
    """
    chosen = {_key(line): find_code(code).name for line, code in settings.line_codes}
    if chosen:
        messages = tuple(replace(message, code=_code_of(message, chosen)) for message in request.messages)
        request = replace(request, messages=messages)
    return _add_language(request, settings, templates) if settings.second_language else request


def _code_of(message: Message, chosen: dict[str, str]) -> str:
    """The code the job file gives the line itself, else its role, else what it has: "" is the job's own."""
    return chosen.get(_key(message.text)) or chosen.get(_key(message.role)) or message.code


def _add_language(request: SignRequest, settings: Settings, templates: Container[str]) -> SignRequest:
    code = find_code(settings.second_language).name
    wordings = {_key(first): " ".join(second.upper().split()) for first, second in settings.second_names}
    names = [message for message in request.messages if message.role is Role.NAME and message.code != code]
    if not names:
        return request
    missing = [message.text for message in names if _key(message.text) not in wordings]
    template = _BILINGUAL.get(request.template, "")
    if missing or template not in templates:
        return replace(request, flags=(*request.flags, _one_language(request, names, missing, code)))
    messages: list[Message] = []
    for message in request.messages:
        messages.append(message)
        if message in names:
            messages.append(Message(role=Role.NAME, text=wordings[_key(message.text)], code=code))
    return replace(request, messages=tuple(messages), template=template)


def _one_language(request: SignRequest, names: list[Message], missing: list[str], code: str) -> Flag:
    text = " / ".join(message.text for message in names)
    if missing:
        message = f"{text!r} has no {code} wording in the job file, so its sign is in one language."
        fix = f'Give it under [second_language.names]: "{missing[0]}" = "...".'
    else:
        message = f"The sign of {text!r} is in one language: there is no {request.template!r} template for two."
        fix = "Have the sign designed by hand, or confirm that one language is enough."
    return Flag(
        code="braille/one-language",
        severity=Severity.ASK,
        message=message,
        given=text,
        fix=fix,
        who="architect",
    )


def _key(text: str) -> str:
    return " ".join(text.upper().replace("\u2019", "'").split())
