"""A zip archive made part after part, with fixed dates and no compression, which differs from one machine to the next.

Numbers in names are sections of the format's published description (APPNOTE.TXT 6.3.10). What `zipfile` writes to a file
it can go back in, byte for byte: there the checksum before a part is filled in after it.
"""

import struct
from collections.abc import Iterable, Iterator
from zipfile import ZipInfo

from schedule2sign.writers.squeezed import Squeezed

_DATE = (1980, 1, 1, 0, 0, 0)
_DATE_BITS = (1 << 5) | 1  # 4.4.6: years from 1980, month, day
_CENTRAL = struct.Struct("<4s4B4H3L5H2L")  # 4.3.12
_END = struct.Struct("<4s4H2LH")  # 4.3.16
_MOST_BYTES, _MOST_PARTS = 0xFFFF_FFFF, 0xFFFF  # 4.4.1.4: beyond them other records are needed


def zip_chunks(parts: Iterable[tuple[str, Iterable[bytes]]]) -> Iterator[bytes]:
    """The archive of parts by name; a part is made when those before it are written.

    Raises:
        ValueError: it grows past 4 GiB or 65,535 parts.
    """
    done: list[ZipInfo] = []
    offset = 0
    for name, pieces in parts:
        part = pieces if isinstance(pieces, Squeezed) else Squeezed(pieces)
        info = ZipInfo(name, _DATE)
        info.create_system, info.external_attr = 3, 0o644 << 16
        info.CRC, info.file_size, info.compress_size, info.header_offset = part.crc, part.size, part.size, offset
        header = info.FileHeader(zip64=False)
        offset += len(header) + part.size
        if offset > _MOST_BYTES or len(done) >= _MOST_PARTS:
            raise ValueError(f"{name} makes an archive larger than 4 GiB or of more than {_MOST_PARTS} parts")
        done.append(info)
        yield header
        yield from part
    directory = b"".join(map(_entry, done))
    yield directory
    yield _END.pack(b"PK\5\6", 0, 0, len(done), len(done), len(directory), offset, 0)


def _entry(info: ZipInfo) -> bytes:
    plain = info.filename.isascii()
    name = info.filename.encode("ascii" if plain else "utf-8")
    bits = info.flag_bits if plain else info.flag_bits | 0x800  # 4.4.4: the name is UTF-8
    versions = (info.create_version, info.create_system, info.extract_version, 0)
    sizes = (info.CRC, info.compress_size, info.file_size)
    lengths = (len(name), 0, 0, 0, 0)
    return (
        _CENTRAL.pack(
            b"PK\1\2", *versions, bits, 0, 0, _DATE_BITS, *sizes, *lengths, info.external_attr, info.header_offset
        )
        + name
    )
