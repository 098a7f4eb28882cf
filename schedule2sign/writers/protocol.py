"""What every writer offers."""

from collections.abc import Iterator
from typing import Protocol

from schedule2sign.model.job import Job
from schedule2sign.model.outfile import OutFile


class Writer(Protocol):
    """A pure renderer: the same job gives the same files, byte for byte, on any machine."""

    name: str

    def render(self, job: Job) -> Iterator[OutFile]: ...
