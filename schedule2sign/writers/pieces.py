"""Documents made of pieces: one that would be the same as in an earlier run is taken from that run's file."""

from array import array
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Protocol

from schedule2sign.model.outfile import OutFile
from schedule2sign.writers.chunks import in_chunks

Facts = Any  # a plain value, as JSON has it


@dataclass(frozen=True, slots=True)
class Piece:
    """Bytes of a document, and what a later run needs to take them over.

    Attributes:
        recipe: hash of all they are made of; "" for what is made anew every time.
        facts: what a later run must know of the piece beside its bytes.
    """

    data: bytes
    recipe: str = ""
    facts: Facts = None


class Earlier(Protocol):
    """The pieces of one document as an earlier run wrote it."""

    def find(self, recipe: str) -> Piece | None: ...


class NoEarlier:
    """There was no earlier run."""

    def find(self, recipe: str) -> Piece | None:  # noqa: ARG002
        return None


@dataclass(frozen=True, slots=True)
class PieceDocument:
    """A document of pieces; what is found in the earlier one is not made again."""

    path: str
    pieces: Callable[[Earlier], Iterable[Piece]]

    def whole(self) -> OutFile:
        """The file with every piece made."""
        return OutFile(self.path, lambda: in_chunks(piece.data for piece in self.pieces(NoEarlier())))


def take_or_make(earlier: Earlier, recipe: str, make: Callable[[], bytes]) -> Piece:
    """A piece, made only where the earlier document does not have it."""
    found = earlier.find(recipe) if recipe else None
    return found if found is not None else Piece(make(), recipe)


class PieceRecord:
    """What a later run needs to know of the pieces of a document."""

    def __init__(self) -> None:
        self._recipes: list[str] = []
        self._begins, self._ends = array("Q"), array("Q")
        self._facts: dict[str, Facts] = {}

    def follow(self, pieces: Iterable[Piece]) -> Iterator[bytes]:
        """The bytes of the pieces of a whole document, each counted in as it goes by."""
        place = 0
        for piece in pieces:
            begin, place = place, place + len(piece.data)
            if piece.recipe:
                if piece.facts is not None:
                    self._facts[str(len(self._recipes))] = piece.facts
                self._recipes.append(piece.recipe)
                self._begins.append(begin)
                self._ends.append(place)
            yield piece.data

    def plain(self) -> dict[str, Any]:
        """Recipes, where the piece of each begins and ends, and facts by the number of the piece."""
        return {
            "recipes": self._recipes,
            "begins": self._begins.tolist(),
            "ends": self._ends.tolist(),
            "facts": self._facts,
        }
