"""What every writer offers."""

from collections.abc import Callable, Iterable, Iterator
from typing import Protocol, runtime_checkable

from schedule2sign.model.job import Job
from schedule2sign.model.outfile import OutFile

Portion = Callable[[], Iterable[OutFile]]


class Writer(Protocol):
    """A pure renderer: the same job gives the same files, byte for byte, on any machine."""

    name: str

    def render(self, job: Job) -> Iterator[OutFile]: ...


@runtime_checkable
class InPortions(Protocol):
    """A writer of many files: what it renders in pieces that need nothing of each other."""

    def portions(self, job: Job) -> Iterator[Portion]: ...
