"""What the system can do in one step and Python has no name for: two folders swapped, a whole disk flushed."""

import ctypes
import os
import re
import sys
from pathlib import Path

_FROM_HERE = -100  # AT_FDCWD
_EXCHANGE = 2  # RENAME_EXCHANGE: rename(2), Linux 3.15 and later


def exchange(one: Path, other: Path) -> bool:
    """Give each of two folders on one disk the name of the other; False where the system or the disk cannot.

    There is no moment at which one of the names is missing.
    """
    rename = getattr(ctypes.CDLL(None), "renameat2", None)
    if rename is None:
        return False
    return bool(rename(_FROM_HERE, os.fsencode(one), _FROM_HERE, os.fsencode(other), _EXCHANGE) == 0)


def flush_disk(folder: Path) -> bool:
    """Force all that was written on the disk of a folder to it; False where the system has no such call.

    One call for ten thousand files, where one for each takes longer than drawing them (syncfs(2): it tells of errors
    since Linux 5.8).

    Raises:
        OSError: the disk refuses.
    """
    sync = getattr(ctypes.CDLL(None, use_errno=True), "syncfs", None)
    if sync is None or _linux() < (5, 8):
        return False
    handle = os.open(folder, os.O_RDONLY)
    try:
        if sync(handle):
            number = ctypes.get_errno()
            raise OSError(number, os.strerror(number), str(folder))
    finally:
        os.close(handle)
    return True


def _linux() -> tuple[int, ...]:
    if sys.platform != "linux":
        return (0,)
    return tuple(int(part) for part in re.findall(r"\d+", os.uname().release)[:2])
