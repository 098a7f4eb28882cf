"""Every raised message is repeated in braille."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import Stated, rule


@rule(
    id="braille/repeats-text",
    title="Braille for every raised message",
    why="Raised characters without braille leave out readers who know braille only.",
    fix="Translate every message; a message that cannot be translated holds the sign.",
    requirements=("braille_repeats",),
    codes={"missing": Severity.HOLD, "extra": Severity.HOLD},
    applies=lambda sign: bool(sign.lines or sign.request.messages or sign.braille),
    otherwise="The sign has neither raised characters nor braille.",
    waivable=False,
)
def check_repeats_text(sign: SignLayout) -> Iterator[Stated]:
    """Word by word, in the order of the messages; how a message is broken into lines is free."""
    rest = [word for line in sign.braille if line.cells.strip("\u2800") for word in line.text.split()]
    for message in sign.request.messages:
        words = message.text.split()
        same = rest[: len(words)] == words
        value = "repeated" if same else f"followed by {' '.join(rest) or 'no more braille'!r}"
        yield Stated(requirement="braille_repeats", value=value, code="missing", where=f"message {message.text!r}")
        rest = rest[len(words) :] if same else rest
    if rest:
        yield Stated(
            requirement="braille_repeats",
            value="beyond the messages",
            code="extra",
            where=f"braille of {' '.join(rest)!r}",
        )
