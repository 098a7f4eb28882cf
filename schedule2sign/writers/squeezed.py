"""Bytes that wait small until they are written: what stands before them depends on all of them."""

import zlib
from collections.abc import Iterable, Iterator

_PIECE = 1 << 16
_LEVEL = 1  # fast; a tenth of what it was is small enough


class Squeezed:
    """The bytes of these pieces, kept compressed; `size` and `crc` (CRC-32) are those of the bytes themselves."""

    def __init__(self, pieces: Iterable[bytes]) -> None:
        self.size = self.crc = 0
        self._held: list[bytes] = []
        squeeze = zlib.compressobj(_LEVEL)
        for piece in pieces:
            self.size += len(piece)
            self.crc = zlib.crc32(piece, self.crc)
            if small := squeeze.compress(piece):
                self._held.append(small)
        self._held.append(squeeze.flush())

    def __iter__(self) -> Iterator[bytes]:
        """The bytes, in other pieces."""
        swell = zlib.decompressobj()
        for small in self._held:
            while small:
                yield swell.decompress(small, _PIECE)  # of what repeats, little can hold a thousand times as much
                small = swell.unconsumed_tail
        yield swell.flush()
