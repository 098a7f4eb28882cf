"""The letters that are cut say what was decided."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import Stated, rule


@rule(
    id="raised/says-message",
    title="Raised letters against the message decided on",
    why="A letter lost or added between the sign list and the cutter makes a wrong sign.",
    fix="This is a fault of the program: report it with the schedule row.",
    requirements=("message_as_cut",),
    codes={"differs": Severity.HOLD},
    applies=lambda sign: bool(sign.lines or sign.request.messages),
    otherwise="The sign has no raised message.",
    waivable=False,
)
def check_says_message(sign: SignLayout) -> Iterator[Stated]:
    """Letter by letter, spaces left out: a line break takes the place of a space."""
    for index, message in enumerate(sign.request.messages):
        cut = "".join(g.outline.char for line in sign.lines if line.message == index for g in line.glyphs)
        value = "as decided" if cut == "".join(message.text.split()) else f"cut as {cut!r}"
        yield Stated(requirement="message_as_cut", value=value, code="differs", where=f"message {message.text!r}")
    for line in sign.lines:
        if not 0 <= line.message < len(sign.request.messages):
            yield Stated(
                requirement="message_as_cut", value="of no message", code="differs", where=f"raised line {line.text!r}"
            )
