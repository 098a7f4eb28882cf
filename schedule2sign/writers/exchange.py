"""Two folders swapped in one step, where the system can."""

import ctypes
import os
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
