"""A file to be written: a path inside the output folder and its bytes, whole or made while they are written."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path


class OutFile:
    """`path` is relative, with forward slashes; the content is written as it is.

    Args:
        path: of the file.
        content: its bytes; or what makes them, a chunk after the other and the same ones at every call, for a file
            that is too large to be held.
    """

    __slots__ = ("_content", "path")

    def __init__(self, path: str, content: bytes | Callable[[], Iterable[bytes]]) -> None:
        self.path = path
        self._content = content

    def chunks(self) -> Iterator[bytes]:
        """The bytes from the first to the last; every call begins anew, and makes again what is not held."""
        if isinstance(self._content, bytes):
            yield self._content
        else:
            yield from self._content()

    @property
    def data(self) -> bytes:
        """All bytes at once; where they are not held, every use makes them again."""
        return self._content if isinstance(self._content, bytes) else b"".join(self._content())

    def __reduce__(self) -> tuple[type["OutFile"], tuple[str, bytes]]:
        # To another process go bytes: what makes them would need the job there.
        return OutFile, (self.path, self.data)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, OutFile) and (self.path, self.data) == (other.path, other.data)

    def __hash__(self) -> int:
        return hash(self.path)

    def __repr__(self) -> str:
        return f"OutFile({self.path!r})"


@dataclass(frozen=True, slots=True)
class KeptFile:
    """A file that an earlier run wrote just as it would be written now.

    Attributes:
        path: inside the output folder.
        at: where it lies.
        sha256: of its bytes, as they were found there.
    """

    path: str
    at: Path
    sha256: str
