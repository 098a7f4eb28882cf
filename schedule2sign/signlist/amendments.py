"""A sign with a person's new name or number in place of the default."""

import re
from dataclasses import replace

from schedule2sign.model.flag import Severity
from schedule2sign.model.named import Change
from schedule2sign.model.sign import Message, Role, SignRequest
from schedule2sign.signlist.phrases import plain

_RULE = "ANSWER"
# Templates that take a number once it is known, below the name or above it.
_NUMBER_BELOW = ("restroom", "all-gender", "changing", "elevator-equipment")
_NUMBER_ABOVE = ("utility", "lactation", "exterior")


def rename(request: SignRequest, text: str) -> SignRequest:
    """The new words in place of the name, or of the level; on a sign with a window they go into the insert."""
    text = plain(text)
    role = Role.LEVEL if request.template == "stair-level" else Role.NAME
    old = next((message.text for message in request.messages if message.role is role), "")
    change = Change(rule=_RULE, field="name", before=old or request.insert_text, after=text)
    changes = (*request.changes, change)
    if not request.messages:
        return _reword_flat(request, text)
    if not old and request.template == "room-insert":
        return replace(request, insert_text=text, changes=changes)
    if old:
        return replace(request, messages=_swap(request.messages, role, text), changes=changes)
    template = "room" if request.template == "number" else request.template
    messages = (*request.messages, Message(role=role, text=text))
    return replace(request, messages=messages, template=template, changes=changes)


def renumber(request: SignRequest, text: str) -> SignRequest:
    """The new number in place of the old one; a sign with a name alone gets one."""
    text = plain(text)
    change = Change(rule=_RULE, field="number", before=request.room_number, after=text)
    old = any(message.role is Role.NUMBER for message in request.messages)
    messages = _swap(request.messages, Role.NUMBER, text)
    if not old and request.template in _NUMBER_BELOW:
        messages = (*messages, Message(role=Role.NUMBER, text=text))
    if not old and request.template in _NUMBER_ABOVE:
        messages = (Message(role=Role.NUMBER, text=text), *messages)
    if not old and request.template == "name":
        # A name that stood in for a number only, where the rule keeps names off, gives way to it.
        alone = any(flag.code == "signlist/no-number" and flag.severity is Severity.HOLD for flag in request.flags)
        messages = (Message(role=Role.NUMBER, text=text), *(() if alone else messages))
        request = replace(request, template="number" if alone else "room")
    if request.template == "suite" and request.room_number:
        messages = tuple(replace(message, text=message.text.replace(request.room_number, text)) for message in messages)
    return replace(request, messages=messages, room_number=text, changes=(*request.changes, change))


def _reword_flat(request: SignRequest, text: str) -> SignRequest:
    """A sign of flat text takes the new words; a symbol has none and stays."""
    if request.template != "occupant-load":
        return request
    change = Change(rule=_RULE, field="name", before=request.insert_text, after=text)
    lines = f"MAXIMUM OCCUPANCY\n{text}" if text.isdigit() else re.sub(r" (\d+)$", r"\n\1", text)
    return replace(request, insert_text=lines, changes=(*request.changes, change))


def words(request: SignRequest) -> str:
    """What the sign says, on one line."""
    raised = " / ".join(message.text for message in request.messages)
    return f"{raised}, insert {request.insert_text}" if request.insert_text else raised


def _swap(messages: tuple[Message, ...], role: Role, text: str) -> tuple[Message, ...]:
    return tuple(replace(message, text=text) if message.role is role else message for message in messages)
