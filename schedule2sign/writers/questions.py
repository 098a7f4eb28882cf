"""Open flags as the questions a person is asked: what many rows ask in the same words is one question with many rows."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from schedule2sign.model.flag import Flag, Severity
from schedule2sign.model.job import Job
from schedule2sign.model.source import Source
from schedule2sign.writers.places import Places
from schedule2sign.writers.words import sentence

# Who is asked first: the one who drew the schedule, the owner, then those who look at their own part of it.
_ASKED = ("architect", "owner", "building official", "transcriber", "shop", "")
_NOBODY = "not said"
_MOST_PLACES = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question to one person.

    Attributes:
        number: place in the list of this issue, from 1; another issue may count otherwise.
        flags: everything it was asked of, in source order; alike in severity, code, who decides and what to do.
        places: doors, rooms, sign ids or cells it was asked of, each once; () for the whole job.
    """

    number: int
    flags: tuple[Flag, ...]
    places: tuple[str, ...]

    @property
    def label(self) -> str:
        """Q7."""
        return f"Q{self.number}"

    @property
    def first(self) -> Flag:
        """The flag whose words stand for all of them."""
        return self.flags[0]

    @property
    def who(self) -> str:
        """Who can answer."""
        return self.first.who or _NOBODY

    @property
    def what(self) -> str:
        """What is asked, in the words of its first flag."""
        same = all(flag.message == self.first.message for flag in self.flags)
        return sentence(self.first.message) if same else f"Such as: {sentence(self.first.message)}"

    @property
    def where(self) -> str:
        """The places in a line."""
        if not self.places:
            return "the whole job"
        more = len(self.places) - _MOST_PLACES
        shown = ", ".join(self.places[:_MOST_PLACES])
        return f"{shown} and {more} more" if more > 0 else shown


def ask_questions(job: Job) -> tuple[Question, ...]:
    """Every flag that is no note, grouped; by who must answer, what holds first, then what the most rows ask."""
    places = Places(job)
    groups: dict[tuple[Severity, str, str, str], list[Flag]] = {}
    for flag in job.flags:
        if flag.severity is not Severity.NOTE:
            # The word or the number in doubt stands in what is to be done, so unlike doubts stay apart.
            groups.setdefault((flag.severity, flag.code, flag.who, flag.fix), []).append(flag)
    ranked = sorted(groups.values(), key=_rank)
    return tuple(
        Question(number=number, flags=tuple(flags), places=_places(flags, places))
        for number, flags in enumerate(ranked, start=1)
    )


def label_flags(questions: Iterable[Question]) -> dict[Flag, str]:
    """The question each open flag belongs to."""
    labels: dict[Flag, str] = {}
    for question in questions:
        labels.update(dict.fromkeys(question.flags, question.label))
    return labels


def tally(questions: Sequence[Question]) -> str:
    """How many questions there are, and how many of them hold a sign or a row."""
    holds = sum(question.first.severity in (Severity.HOLD, Severity.STOP) for question in questions)
    flags = sum(len(question.flags) for question in questions)
    asked = f"{len(questions)} question{'' if len(questions) == 1 else 's'}"
    return f"{asked} from {flags} open flags, of which {holds} hold{'s' if holds == 1 else ''} signs or rows until answered"


def _rank(flags: Sequence[Flag]) -> tuple[int, str, int, int, str]:
    first = flags[0]
    asked = _ASKED.index(first.who) if first.who in _ASKED else len(_ASKED) - 1
    return asked, first.who, -first.severity.rank, -len(flags), first.code


def _places(flags: Iterable[Flag], places: Places) -> tuple[str, ...]:
    found = (_place(flag, flag.source, places) for flag in flags)
    return tuple(dict.fromkeys(place for place in found if place))


def _place(flag: Flag, source: Source | None, places: Places) -> str:
    """What people call the place: the door or the room, else the sign, else the cell."""
    if source is None:
        return flag.sign_id
    return places.door(source) or flag.sign_id or (str(source) if source.row else "")
