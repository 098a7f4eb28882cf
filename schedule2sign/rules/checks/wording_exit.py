"""Wording of exit signs."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import Stated, rule


@rule(
    id="wording/exit",
    title="Wording of a tactile exit sign",
    why="In smoke nobody guesses: the code fixes the words.",
    fix="Use the code's wording; the life-safety plan tells which one.",
    requirements=("exit_wording",),
    codes={"other-wording": Severity.HOLD},
    applies=lambda sign: any("EXIT" in message.text.split() for message in sign.request.messages),
    otherwise="No message says EXIT.",
    waivable=False,
)
def check_exit_wording(sign: SignLayout) -> Iterator[Stated]:
    """Each message with the word EXIT, as it is decided to be cut."""
    for message in sign.request.messages:
        if "EXIT" in message.text.split():
            where = f"message {message.text!r}"
            yield Stated(
                requirement="exit_wording", value=" ".join(message.text.split()), code="other-wording", where=where
            )
