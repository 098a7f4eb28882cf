"""Zip archives made in one go against the standard library's writer, which goes back to fill in what it knows late."""

import io
import zipfile
import zlib

import pytest

from schedule2sign.writers.chunks import in_chunks
from schedule2sign.writers.squeezed import Squeezed
from schedule2sign.writers.zipstream import zip_chunks

PARTS = (
    ("[Content_Types].xml", (b"<x/>",)),
    ("xl/empty.bin", ()),
    ("xl/long.xml", tuple(b"<row>%d</row>" % number for number in range(20_000))),
    ("xl/médias/été.png", (bytes(range(256)), b"", b"end")),
)


def by_zipfile() -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_STORED) as archive:
        for name, pieces in PARTS:
            info = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            info.create_system, info.external_attr = 3, 0o644 << 16
            with archive.open(info, "w") as part:
                part.writelines(pieces)
    return stream.getvalue()


def test_the_bytes_are_those_of_the_standard_library() -> None:
    data = b"".join(zip_chunks(PARTS))
    assert data == by_zipfile()
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None


def test_a_part_is_made_when_those_before_it_are_written() -> None:
    made = []

    def parts():
        for name in "abc":
            made.append(name)
            yield name, (name.encode(),)

    chunks = zip_chunks(parts())
    assert made == []
    next(chunks)
    assert made == ["a"]


def test_more_parts_than_the_format_can_count_are_refused() -> None:
    with pytest.raises(ValueError, match="parts"):
        for _ in zip_chunks((str(number), ()) for number in range(0x10000)):
            pass


def test_squeezed_bytes_come_back_with_their_size_and_checksum() -> None:
    pieces = [b"word " * number for number in range(500)]
    squeezed, data = Squeezed(iter(pieces)), b"".join(pieces)
    assert b"".join(squeezed) == b"".join(squeezed) == data
    assert (squeezed.size, squeezed.crc) == (len(data), zlib.crc32(data))
    assert max(map(len, squeezed)) <= 1 << 16


@pytest.mark.parametrize("size", [0, 1, 65_535, 65_536, 65_537, 5_000_001])
def test_squeezed_bytes_that_repeat_swell_a_piece_at_a_time(size: int) -> None:
    squeezed = Squeezed([bytes(size)])
    assert b"".join(squeezed) == bytes(size)
    assert max(map(len, squeezed)) <= 1 << 16


@pytest.mark.parametrize(
    ("pieces", "count"), [([], 0), ([b""], 1), ([b"a", b"b"], 1), ([b"x" * 70_000] * 5, 3), ([b"x" * 200_000] * 2, 2)]
)
def test_chunks_hold_the_pieces_in_their_order(pieces: list[bytes], count: int) -> None:
    chunks = list(in_chunks(pieces))
    assert b"".join(chunks) == b"".join(pieces)
    assert len(chunks) == count
