"""The braille code and grade."""

from collections.abc import Iterator

from schedule2sign.model.flag import Severity
from schedule2sign.model.shape import SignLayout
from schedule2sign.rules.rule import Stated, rule


@rule(
    id="braille/grade",
    title="Braille code and grade",
    why="Readers of a country expect its own code; contracted and uncontracted braille read differently.",
    fix="Use the profile's braille code; a second language on a sign needs the word of a transcriber.",
    requirements=("braille_code",),
    codes={"other-code": Severity.HOLD, "job-code": Severity.ASK},
    applies=lambda sign: bool(sign.braille),
    otherwise="The sign has no braille.",
    waivable=False,
)
def check_grade(sign: SignLayout) -> Iterator[Stated]:
    """A code the job chose for one message is asked about; any other is held."""
    chosen = {message.code for message in sign.request.messages if message.code}
    for index, line in enumerate(sign.braille):
        code = "job-code" if line.code in chosen else "other-code"
        yield Stated(requirement="braille_code", value=line.code, code=code, where=f"braille line {index + 1}")
