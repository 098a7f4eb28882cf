"""Model values in words a shop reads."""

from schedule2sign.model.job import SignRecord
from schedule2sign.model.settings import Finality
from schedule2sign.model.sign import Side, SignRequest

_SIDES = {
    Side.CORRIDOR: "corridor side",
    Side.ROOM: "room side",
    Side.STAIR: "stair side",
    Side.EXTERIOR: "exterior side",
}

_FINALITY = {
    Finality.FINAL: "The job file says the room numbers are the final ones of the finished building.",
    Finality.NOT_FINAL: "PROVISIONAL: the job file says the room numbers are not final. Do not cut from this issue.",
    Finality.UNKNOWN: "PROVISIONAL: nobody has said whether the room numbers are the final ones of the finished "
    "building. Ask before cutting: construction numbers are often not the posted numbers.",
}


def finality_words(finality: Finality) -> str:
    """What is known of the room numbers, in a sentence."""
    return _FINALITY[finality]


def side_words(request: SignRequest) -> str:
    """The side the sign is read from, and what is known of the door's hand."""
    if request.hand.startswith("on the door itself"):
        return f"{_SIDES[request.side]}; {request.hand}"
    hand = f"door hand as given: {request.hand}" if request.hand else "latch side: check in the field"
    return f"{_SIDES[request.side]}; {hand}"


def sentence(text: str) -> str:
    """The text with a full stop, so that what follows it does not run on."""
    return text if text.endswith((".", ".)", "?", "!", ":")) else f"{text}."


def raised_lines(record: SignRecord) -> tuple[str, ...]:
    """Raised text as cut, top to bottom; as asked for where the sign has no layout."""
    if record.plate is None:
        return tuple(message.text for message in record.request.messages)
    return record.plate.texts
