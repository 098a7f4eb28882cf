"""A file made of many small pieces, in chunks that are worth a write to the disk each."""

from collections.abc import Iterable, Iterator

_CHUNK = 1 << 17  # bytes, about


def in_chunks(pieces: Iterable[bytes]) -> Iterator[bytes]:
    """The same bytes; of the pieces no more is held than one chunk."""
    held: list[bytes] = []
    size = 0
    for piece in pieces:
        held.append(piece)
        size += len(piece)
        if size >= _CHUNK:
            yield b"".join(held)
            held, size = [], 0
    if held:
        yield b"".join(held)
