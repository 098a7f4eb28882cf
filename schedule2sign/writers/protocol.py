"""What every writer offers."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

from schedule2sign.model.job import Imprint, Job, SignRecord
from schedule2sign.model.outfile import OutFile
from schedule2sign.writers.marks import Marks
from schedule2sign.writers.pieces import PieceDocument

Portion = Callable[[], Iterable[OutFile]]


class Writer(Protocol):
    """A pure renderer: the same job gives the same files, byte for byte, on any machine."""

    name: str

    def render(self, job: Job) -> Iterator[OutFile]: ...


@runtime_checkable
class InPortions(Protocol):
    """A writer of many files: what it renders in pieces that need nothing of each other."""

    def portions(self, job: Job) -> Iterator[Portion]: ...


@runtime_checkable
class OfPieces(Writer, Protocol):
    """A writer of long documents, of which a later run takes over the pieces that would be the same."""

    def documents(self, job: Job, marks: Marks) -> Iterator[PieceDocument]: ...


@dataclass(frozen=True, slots=True)
class Keepable:
    """A file that a later run takes over where it would be the same.

    Attributes:
        recipe: hash of all it is made of; "" where that is not on record.
    """

    path: str
    recipe: str
    render: Callable[[], OutFile]


@runtime_checkable
class KeepsFiles(Writer, Protocol):
    """A writer of files each of which may be taken over."""

    def keepables(self, job: Job) -> Iterator[Keepable]: ...


@runtime_checkable
class SignFiles(Writer, Protocol):
    """A writer of one file a released sign; a later run takes over those that would be the same."""

    suffix: str

    def draw(self, records: Iterable[SignRecord], imprint: Imprint) -> Iterator[OutFile]:
        """The files of the released signs among these."""
        ...

    def recipe(self, record: SignRecord, imprint: Imprint) -> str:
        """Hash of all the sign's file is made of; "" where its work is not on record."""
        ...
